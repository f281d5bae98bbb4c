"""GET /v1/honesty."""

from __future__ import annotations

from fastapi import APIRouter

from haulm.farm.quantities import percent
from haulm.forecast.scoring import Judged, Standing, Verdict
from haulm.jobs.growing.honesty_board import honesty_board
from haulm.rest.wire import Shape, TheDesk
from haulm.web.audience import Audience, only_for
from haulm.web.kept import kept

router = APIRouter(tags=["honesty"])

_VERDICTS = {
    Verdict.TOO_EARLY: "It is too early to say more.",
    Verdict.AS_STATED: "That is as it was said.",
    Verdict.TOO_BOLD: "That is fewer than chance allows: the promises were too bold.",
    Verdict.TOO_CAREFUL: "That is more than chance allows: more could have been promised.",
}


class JudgedShape(Shape):
    """How many statements came true, of those decided; `open` could not be decided by the records."""

    held: int
    decided: int
    open: int


class SeasonJudgedShape(Shape):
    """The same for one season."""

    season: str
    held: int
    decided: int


class LevelShape(Shape):
    """What was said at one level: the count, the share expected in the long run, and a verdict once it may be given."""

    level: float
    sentence: str
    judged: JudgedShape
    seasons: list[SeasonJudgedShape]
    share: float
    share_low: float
    share_high: float
    independent: float
    verdict: str


class PointShape(Shape):
    """A point of the reliability plot."""

    stated: float
    kept: float
    count: int


class HonestyShape(Shape):
    """The honesty board: promises, forecast weeks, skill, and the ranks of what came among what was stated."""

    promises: list[LevelShape]
    reliability: list[PointShape]
    within_80: JudgedShape
    within_50: JudgedShape
    weeks_known: int
    skill_over_weeks_rule: float | None
    ranks: list[float]


@router.get("/v1/honesty", dependencies=[only_for(Audience.OWNER), kept()])
def honesty(desk: TheDesk) -> HonestyShape:
    """What was promised and forecast, as it was said at the time, against what came.

    A cut with nothing said of what was left proves a promise kept, never broken: such cases are `open`. Promises of one
    season are good or bad together, so a verdict is given only over seasons.
    """
    found = honesty_board(desk)
    return HonestyShape(
        promises=[_level(one) for one in found.promises],
        reliability=[
            PointShape(stated=round(one.stated, 3), kept=round(one.judged.share, 3), count=one.judged.decided)
            for one in found.points
        ],
        within_80=_judged(found.within_80),
        within_50=_judged(found.within_50),
        weeks_known=found.weeks_known,
        skill_over_weeks_rule=None if found.skill is None else round(found.skill, 3),
        ranks=[round(share, 3) for share in found.ranks],
    )


def _level(found: Standing) -> LevelShape:
    judged = found.judged
    things = "thing" if judged.decided == 1 else "things"
    sentence = f"Of {judged.decided} {things} said at {percent(found.level)}, {judged.held} came true."
    return LevelShape(
        level=found.level,
        sentence=f"{sentence} {_VERDICTS[found.verdict]}",
        judged=_judged(judged),
        seasons=[
            SeasonJudgedShape(season=season, held=one.held, decided=one.decided)
            for season, one in found.by_season.items()
        ],
        share=round(found.share.mean, 3),
        share_low=round(found.share.low, 3),
        share_high=round(found.share.high, 3),
        independent=round(found.independent, 1),
        verdict=found.verdict,
    )


def _judged(found: Judged) -> JudgedShape:
    return JudgedShape(held=found.held, decided=found.decided, open=found.open_cases)
