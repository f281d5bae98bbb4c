"""One kind over the year: its weeks against what is promised, its gaps, its sowings; and the same with one supposed."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date

from haulm.errors import NotFound
from haulm.farm.batches import Batch
from haulm.farm.products import Product
from haulm.farm.varieties import Crop
from haulm.farm.words import Method
from haulm.forecast.typical import TypicalSeason
from haulm.jobs.desk.desk import Desk
from haulm.jobs.gaps.see_shortfalls import NamedGap, named_gaps
from haulm.jobs.gaps.see_year import YearRow, year_row
from haulm.jobs.gaps.standing_gaps import dated_gaps
from haulm.jobs.growing.batch_forecast import first_stem_of
from haulm.jobs.growing.plan_back import usual_method
from haulm.language.words import _
from haulm.planning.plan import Plan
from haulm.planning.season_picture import WeekFigures


@dataclass(frozen=True, slots=True)
class KindSowing:
    """A sowing of the kind, and the middling day of its first stem; None where it gives none."""

    batch: Batch
    first_stem: date | None


@dataclass(frozen=True, slots=True)
class SeenKind:
    """A kind over the weeks ahead.

    Attributes:
        crop: the kind.
        row: its weeks, from the first to the last with anything to show.
        gaps: what is short of it, by the day to decide.
        sowings: its sowings that are not over, by day.
        typical: a poor, a middling and a good season that could happen.
        level: the level of what is called sure, 0-1.
        method: how a sowing of it is begun where nobody says.
    """

    crop: Crop
    row: YearRow
    gaps: tuple[NamedGap, ...]
    sowings: tuple[KindSowing, ...]
    typical: tuple[TypicalSeason, ...]
    level: float
    method: Method


def see_kind(desk: Desk, variety: str) -> SeenKind:
    """A kind of the farm, its fresh stems.

    Raises:
        NotFound: the farm grows no such kind.
    """
    plan = desk.plan()
    product = Product(variety)
    crop = plan.crops.get(variety)
    if crop is None:
        raise NotFound(kind=_("variety"), key=variety)
    found = plan.season_picture.kinds.get(product) or plan.kind_weeks(product)
    gaps = [one for one in dated_gaps(desk, plan) if one.gap.asked == str(product)]
    typical = next((one.seasons for one in plan.typical_products if one.product == product), ())
    return SeenKind(
        crop,
        year_row(plan, product, _busy(found)),
        named_gaps(plan, gaps),
        tuple(_sowings(plan, variety)),
        typical,
        plan.farm.site.free_level,
        usual_method(plan, variety),
    )


def with_sowing(before: SeenKind, after: Plan) -> YearRow:
    """The weeks of a kind in another plan, over those that either shows."""
    product = Product(before.crop.key)
    weeks = after.kind_weeks(product)
    shown = {week.week for week in (*before.row.weeks, *_busy(weeks))}
    return year_row(after, product, [week for week in weeks if week.week in shown])


def _busy(weeks: Sequence[WeekFigures]) -> Sequence[WeekFigures]:
    busy = [place for place, week in enumerate(weeks) if not week.is_bare]
    return weeks[busy[0] : busy[-1] + 1] if busy else ()


def _sowings(plan: Plan, variety: str) -> Iterator[KindSowing]:
    own = (batch for batch in plan.growth.seen.batches if batch.variety == variety and not batch.is_over)
    for batch in sorted(own, key=lambda one: (one.sow_date or one.plant_out_date or date.min, one.key)):
        first = first_stem_of(plan, batch.key)
        yield KindSowing(batch, None if first is None else first[1])
