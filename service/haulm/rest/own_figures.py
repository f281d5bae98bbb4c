"""GET /v1/own-figures, and its steps: accept, refuse."""

from __future__ import annotations

from fastapi import APIRouter
from fastapi.responses import JSONResponse
from pydantic import Field

from haulm.forecast.learning import Learned
from haulm.jobs.farm.learn_figures import LearnedFigure, accept_figure, list_own_figures, refuse_figure
from haulm.rest.wire import Shape, TheCall, TheDesk
from haulm.web.audience import Audience, only_for
from haulm.web.kept import kept

router = APIRouter(tags=["own figures"])


class FigureSeasonShape(Shape):
    """What one season showed; `at_least` where it is only a lower bound."""

    season: str
    value: float
    batches: int
    at_least: bool


class MethodShape(Shape):
    """The same figure from the batches of one method alone."""

    method: str
    value: float
    batches: int


class OwnFigureShape(Shape):
    """A figure: before, the farm's own seasons, the result with its range, and what is in use."""

    variety: str
    figure: str
    in_use: float
    before: float
    own: float | None
    offered: float
    low: float
    high: float
    next_low: float
    next_high: float
    weight: float
    standing: str
    through: int | None = Field(description="The last season that the figure in use holds already.")
    seasons: list[FigureSeasonShape]
    by_method: list[MethodShape]


class OwnFiguresShape(Shape):
    """Every figure that a finished batch speaks of."""

    figures: list[OwnFigureShape]


@router.get("/v1/own-figures", dependencies=[only_for(Audience.OWNER), kept()])
def own_figures(desk: TheDesk) -> OwnFiguresShape:
    """What finished seasons say of weeks to flower, stems per plant and germination, beside the figure in use.

    Nothing changes until a figure is accepted. The range `low` to `high` holds the true figure four times in five, and
    `next_low` to `next_high` one batch of the next season.
    """
    return OwnFiguresShape(figures=[_shape(one) for one in list_own_figures(desk)])


@router.post(
    "/v1/own-figures/{variety}/{figure}/accept",
    response_model=OwnFigureShape,
    dependencies=[only_for(Audience.OWNER)],
)
def accept(call: TheCall, variety: str, figure: str) -> JSONResponse:
    """Write the offered figure as the variety's own; what stood before is kept in the entry."""
    return call.answer(lambda work: _shape(accept_figure(call.desk, work, variety, figure)), is_judged=True)


@router.post(
    "/v1/own-figures/{variety}/{figure}/refuse",
    response_model=OwnFigureShape,
    dependencies=[only_for(Audience.OWNER)],
)
def refuse(call: TheCall, variety: str, figure: str) -> JSONResponse:
    """Leave the figure as it is; it is offered again when another season has something to say."""
    return call.answer(lambda work: _shape(refuse_figure(call.desk, work, variety, figure)))


def _shape(found: LearnedFigure) -> OwnFigureShape:
    learned = found.learned
    return OwnFigureShape(
        variety=found.own.variety,
        figure=found.own.figure,
        in_use=round(found.in_use, 2),
        before=round(learned.prior.value, 2),
        own=None if learned.own is None else round(learned.own, 2),
        offered=found.offered,
        low=round(learned.low, 2),
        high=round(learned.high, 2),
        next_low=round(learned.next_low, 2),
        next_high=round(learned.next_high, 2),
        weight=round(learned.weight, 3),
        standing=found.standing,
        through=found.through,
        seasons=[
            FigureSeasonShape(season=one.season, value=round(one.value, 2), batches=one.batches, at_least=one.at_least)
            for one in learned.seasons
        ],
        by_method=[
            MethodShape(method=method, value=round(one.value, 2), batches=_batches(one))
            for method, one in found.own.by_method.items()
        ],
    )


def _batches(learned: Learned) -> int:
    return sum(one.batches for one in learned.seasons)
