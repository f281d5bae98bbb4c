"""GET /v1/batches/{key}/forecast."""

from __future__ import annotations

from fastapi import APIRouter

from haulm.jobs.growing.batch_forecast import BatchForecast, batch_forecast
from haulm.rest.doubt_shapes import PartOfDoubtShape, doubt_shapes
from haulm.rest.typical import TypicalShape, typical_shapes
from haulm.rest.wire import Shape, TheDesk
from haulm.web.audience import Audience, only_for
from haulm.web.kept import kept

router = APIRouter(tags=["batches"])


class FirstStemShape(Shape):
    """The day of the first stem, over the seasons that give stems; null where none does."""

    p10: str | None
    p50: str | None
    p90: str | None


class StemsShape(Shape):
    """Stems in all, over the seasons that give stems; null where none does."""

    p10: int | None
    p50: int | None
    p90: int | None


class WeekOfBatchShape(Shape):
    """Stems that become ready in one week: percentiles over all seasons."""

    week: str
    p10: int
    p50: int
    p90: int


class BatchForecastShape(Shape):
    """What one batch will give; `none` is the share of the seasons in which it gives no stem, 0 to 1."""

    batch: str
    first_stem: FirstStemShape
    stems: StemsShape
    none: float
    doubt: list[PartOfDoubtShape]
    weeks: list[WeekOfBatchShape]
    typical: list[TypicalShape]
    sentence: str


@router.get("/v1/batches/{key}/forecast", dependencies=[only_for(Audience.OWNER), kept()])
def forecast_of_batch(desk: TheDesk, key: str) -> BatchForecastShape:
    """What one batch will give from now on: when its first stem comes, how many there are, what is in doubt and why.

    Stems that were cut, or have gone over, are no part of it. Percentiles of each week belong to no season, and may be
    nought in every week of a batch that surely flowers in some: `typical` has three seasons that could happen. Where no
    season gives a stem, `sentence` says why.
    """
    return _shape(batch_forecast(desk, key))


def _shape(found: BatchForecast) -> BatchForecastShape:
    days = (None, None, None) if found.first_stem is None else [day.isoformat() for day in found.first_stem]
    stems = (None, None, None) if found.stems is None else found.stems
    return BatchForecastShape(
        batch=found.batch,
        first_stem=FirstStemShape(p10=days[0], p50=days[1], p90=days[2]),
        stems=StemsShape(p10=stems[0], p50=stems[1], p90=stems[2]),
        none=round(found.none, 6),
        doubt=doubt_shapes(found.doubt),
        weeks=[
            WeekOfBatchShape(week=str(one.week), p10=one.stems[0], p50=one.stems[1], p90=one.stems[2])
            for one in found.weeks
        ],
        typical=typical_shapes(found.typical),
        sentence=found.sentence,
    )
