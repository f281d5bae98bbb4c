"""GET /v1/back-plan."""

from __future__ import annotations

from datetime import date
from typing import Annotated

from fastapi import APIRouter, Query

from haulm.farm.products import Product
from haulm.farm.weeks import Week
from haulm.farm.words import Method
from haulm.forecast.back_plan import Tried
from haulm.jobs.growing.plan_back import MOST_STEMS, BackPlanAsked, BackPlanned, plan_back
from haulm.jobs.growing.said_back import said_back, way_of
from haulm.rest.reads import Confidence
from haulm.rest.wire import Shape, TheDesk
from haulm.web.audience import Audience, only_for
from haulm.web.kept import kept

router = APIRouter(tags=["back-planning"])


class TriedShape(Shape):
    """A sow date: the chance of the stems wanted, their mean, what is sure at the level, and the days out of the tray.

    `prick_out` and `plant_out` are null where it is sown or planted where it stays.
    """

    date: str
    confidence: float
    mean_stems: float
    sure_stems: int
    prick_out: str | None
    plant_out: str | None


class LastSowingShape(Shape):
    """The last sowing of the year: by the plain rule, by the forecast, and the more careful of the two."""

    rule: str | None
    forecast: str | None
    advised: str | None


class BackPlanShape(Shape):
    """Sow dates for a week or a day; `earliest`, `latest` are null where no date is sure enough, `best` is the surest.

    `ready_from` to `ready_to` are the days on which stems may become ready. `day` is null where a week was asked.
    """

    product: str
    week: str
    day: str | None
    ready_from: str
    ready_to: str
    method: str
    stems: int
    confidence: float
    places: int
    earliest: TriedShape | None
    latest: TriedShape | None
    best: TriedShape | None
    places_needed: int | None
    places_needed_on: str | None
    last_sowing: LastSowingShape
    sentence: str


@router.get("/v1/back-plan", dependencies=[only_for(Audience.OWNER), kept()])
def planned_back(
    desk: TheDesk,
    product: str,
    week: str,
    method: Method,
    stems: Annotated[int, Query(ge=1, le=MOST_STEMS)],
    confidence: Confidence = None,
) -> BackPlanShape:
    """When to sow a product for a week by a method: earliest, best and latest of every third day in season from today.

    `week` may also be the day on which the stems leave. A batch of 100 places is tried; `places_needed` says how many
    would do, where any number would.
    """
    wanted, day = _week_or_day(week)
    asked = BackPlanAsked(Product.parse(product), wanted, method, stems, confidence, day)
    found = plan_back(desk, asked)
    plan, last = found.plan, found.last
    return BackPlanShape(
        product=product,
        week=str(asked.week),
        day=None if day is None else day.isoformat(),
        ready_from=found.ready[0].isoformat(),
        ready_to=found.ready[1].isoformat(),
        method=method,
        stems=stems,
        confidence=found.level,
        places=plan.places,
        earliest=_tried(found, plan.earliest),
        latest=_tried(found, plan.latest),
        best=_tried(found, plan.best),
        places_needed=plan.places_needed,
        places_needed_on=None if plan.needed_day is None else plan.needed_day.isoformat(),
        last_sowing=LastSowingShape(
            rule=None if last.rule is None else last.rule.isoformat(),
            forecast=None if last.model is None else last.model.isoformat(),
            advised=None if last.advised is None else last.advised.isoformat(),
        ),
        sentence=said_back(found),
    )


def _week_or_day(text: str) -> tuple[Week, date | None]:
    try:
        day = date.fromisoformat(text) if "W" not in text.upper() else None
    except ValueError:
        day = None
    return (Week.parse(text), None) if day is None else (Week.of(day), day)


def _tried(found: BackPlanned, tried: Tried | None) -> TriedShape | None:
    if tried is None:
        return None
    tray = way_of(found, tried).tray
    return TriedShape(
        date=tried.day.isoformat(),
        confidence=round(tried.confidence, 6),
        mean_stems=round(tried.mean_stems, 1),
        sure_stems=tried.sure_stems,
        prick_out=None if tray is None or tray.prick_out is None else tray.prick_out.isoformat(),
        plant_out=None if tray is None else tray.plant_out.isoformat(),
    )
