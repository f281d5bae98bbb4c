"""The plan of a sowing as of today: when it is under glass, planted and counted from.

A plan that is not carried out slips: a planned batch whose day has passed counts as sown today for a week, and not at
all after that; the same for planting out.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date, timedelta

from haulm.farm.stated import ColdNeed
from haulm.farm.varieties import Crop
from haulm.farm.words import BatchStatus, LifeCycle, Method
from haulm.forecast.inputs import MonthDay, Sowing
from haulm.forecast.seasons import Seasons
from haulm.forecast.spring import ColdLacking, Spring, cold_lacking
from haulm.forecast.weather import NEXT_YEAR, THIS_YEAR, Span
from haulm.horticulture.spring_growth import COLD_BY_MONTH_DAY, COLD_BY_MONTH_DAY_SOUTH, YOUNG_WEEKS
from haulm.horticulture.time_to_flower import (
    BIENNIAL_MONTH_DAY,
    BIOFIX_MONTH_DAY,
    BIOFIX_MONTH_DAY_SOUTH,
    REFERENCE_MONTH_DAY,
)

GRACE_DAYS = 7
HALF_A_YEAR_DAYS = 182
MOST_OF_THE_WAY = 0.9

_IN_TRAYS = (Method.HEATED, Method.COVER)
_RAISED = (Method.HEATED, Method.COVER, Method.PLUGS)


@dataclass(frozen=True, slots=True)
class Cycle:
    """One growing of a batch, from its start to its frost; all days are numbers in the span.

    Attributes:
        key: names its own draws.
        start: from this day progress is counted.
        plant: from this day frost reaches it.
        reference_start: the weeks to flower are stated for a start on this day.
        seed: it has to germinate first.
        bench: it germinates on a heated bench.
        given: share of the way made before the start.
        not_before: no stem before this day.
        waits_for_light: no first stem on days shorter than ten hours.
        spring: for kinds that flower after winter, when they may; their progress is counted from its cold, not `start`.
    """

    key: str
    start: int
    plant: int
    reference_start: int
    seed: bool = False
    bench: bool = False
    given: float = 0.0
    not_before: int = 0
    waits_for_light: bool = True
    spring: Spring | None = None

    def __post_init__(self) -> None:
        assert 0 <= self.given <= MOST_OF_THE_WAY, "something of the way is left to make"
        assert self.seed or not self.bench, "only seed stands on the bench to come up"


def cycles(sowing: Sowing, seasons: Seasons) -> tuple[Cycle, ...]:
    """The growings of a batch that may give stems within the span.

    Args:
        sowing: the batch.
        seasons: for the span and today.

    Returns:
        None for a batch that is lost without a date, undated, overdue by more than a week, or out of the span; one
        for a sowing; this year's and next year's for perennials that stand already.

    Source: the project's own rules; perennials count their weeks from 1 March (1 September in the south), biennials,
    bulbs and tubers from the day their kind counts from (crop library; common practice). Perennials and biennials
    flower from the growing year after their start on, bulbs after the first winter that ends after planting.
    """
    if sowing.status is BatchStatus.LOST and sowing.evidence.lost_on is None:
        return ()
    if sowing.method is Method.ESTABLISHED or _stands_already(sowing, seasons):
        return _established(sowing, seasons)
    found = _from_sowing(sowing, seasons)
    if found is None or not 0 <= found.start < seasons.span.days:
        return ()
    return (found,)


def lacking_cold(sowing: Sowing, seasons: Seasons) -> ColdLacking | None:
    """Why most seasons bring no stems of a batch that waits for winter.

    Args:
        sowing: the batch.
        seasons: for the weather.

    Returns:
        The cold had and needed; None where winters are cold enough, or it waits for none.

    Source: `cold_lacking`.
    """
    springs = [cycle.spring for cycle in cycles(sowing, seasons) if cycle.spring is not None]
    return cold_lacking(springs[0], seasons) if springs else None


def is_overdue(sowing: Sowing, today: date) -> bool:
    """Whether a planned sowing or planting is more than a week late, with nothing recorded.

    Args:
        sowing: the batch.
        today: the day for which it is asked.

    Returns:
        True where the batch counts for nothing until somebody says what happened.

    Source: the project's own rule.
    """
    planned = _first_date(sowing) if sowing.status is BatchStatus.PLANNED else None
    if sowing.status is BatchStatus.SOWN and sowing.method in _RAISED:
        planned = sowing.plant_out_date
    return planned is not None and (today - planned).days > GRACE_DAYS


def _first_date(sowing: Sowing) -> date | None:
    """The day the batch starts on this farm: sown, or for bought plants planted."""
    if sowing.method is Method.PLUGS:
        return sowing.plant_out_date or sowing.sow_date
    if sowing.sow_date is None and sowing.plant_out_date is not None and sowing.method in _IN_TRAYS:
        return sowing.plant_out_date - timedelta(days=round(7 * sowing.crop.weeks_to_plant_out))
    return sowing.sow_date or sowing.plant_out_date


def _stands_already(sowing: Sowing, seasons: Seasons) -> bool:
    """A perennial sown in an earlier growing year flowers as an established one."""
    first = _first_date(sowing)
    this_year = seasons.span.starts[THIS_YEAR]
    perennial = sowing.crop.life_cycle is LifeCycle.PERENNIAL
    return perennial and first is not None and seasons.span.index(first) < this_year


def _established(sowing: Sowing, seasons: Seasons) -> tuple[Cycle, ...]:
    span = seasons.span
    biofix = BIOFIX_MONTH_DAY_SOUTH if span.south else BIOFIX_MONTH_DAY
    stated = span.index(sowing.sow_date) if sowing.sow_date is not None else -1
    found: list[Cycle] = []
    for year in (THIS_YEAR, NEXT_YEAR):
        usual = span.month_day(biofix, year=year)
        here = span.starts[year] <= stated < span.starts[year + 1]
        if stated >= span.starts[year + 1]:
            continue
        key = sowing.key if year == THIS_YEAR else f"{sowing.key} next year"
        cold = sowing.crop.cold
        spring = None if cold is None else Spring((year,), cold, 0, usual, grows_from=stated if here else None)
        start = stated if here else usual if spring is None else span.starts[year]
        plant = int(seasons.midsummer[year])
        found.append(Cycle(key, start, plant, usual, waits_for_light=False, spring=spring))
    return tuple(found)


def _from_sowing(sowing: Sowing, seasons: Seasons) -> Cycle | None:
    today, span = seasons.setting.today, seasons.span
    first = _first_date(sowing) or sowing.evidence.first_cut
    if first is None or is_overdue(sowing, today):
        return None
    if sowing.status is BatchStatus.PLANNED:
        first = max(first, today)
    start, method = span.index(first), sowing.method
    plugs, tuber = method is Method.PLUGS, method is Method.TUBER
    cycle = Cycle(
        sowing.key,
        start,
        start if plugs else span.index(_planted(sowing, first, today)),
        _reference_start(sowing, start, span),
        seed=not plugs and not tuber,
        bench=method is Method.HEATED,
        given=_given_to_plugs(sowing.crop) if plugs else 0.0,
        waits_for_light=not tuber,
    )
    if sowing.crop.cold is None or not 0 <= start < span.days:
        return cycle
    return _after_winter(cycle, sowing, seasons, sowing.crop.cold)


def _given_to_plugs(crop: Crop) -> float:
    """The share of the way that bought plants have behind them when they are planted."""
    # A farm may write 0 weeks to flower; less than a day is a day.
    return min(MOST_OF_THE_WAY, 7 * crop.weeks_to_plant_out / max(1.0, 7 * crop.weeks_to_flower))


def _reference_start(sowing: Sowing, start: int, span: Span) -> int:
    """The day of the start for which the weeks are stated.

    Sowings: 15 April. Biennials and tubers: the day their kind counts from, else 1 July and the planting itself. In
    the south 182 days later.
    """
    month_day: MonthDay | None = REFERENCE_MONTH_DAY
    if sowing.crop.life_cycle is LifeCycle.BIENNIAL:
        month_day = sowing.crop.counted_from or BIENNIAL_MONTH_DAY
    elif sowing.method is Method.TUBER:
        month_day = sowing.crop.counted_from
    if month_day is None:
        return start
    if not span.south:
        return span.month_day(month_day, year=THIS_YEAR)
    # A growing year in the south begins in July, so the spring half a year before its own belongs to the one before.
    year = THIS_YEAR if month_day >= (7, 1) else THIS_YEAR - 1
    return span.month_day(month_day, year=year) + HALF_A_YEAR_DAYS


def _planted(sowing: Sowing, first: date, today: date) -> date:
    """The day the batch stands in the open: as said, else after its usual weeks in trays; late ones today."""
    out = sowing.plant_out_date
    if out is None:
        in_trays = sowing.crop.weeks_to_plant_out * 7 if sowing.method in _IN_TRAYS else 0
        return first + timedelta(days=round(in_trays))
    if sowing.method is Method.DIRECT:
        return first
    waiting = sowing.status in (BatchStatus.PLANNED, BatchStatus.SOWN)
    return max(first, out, today) if waiting else max(first, out)


def _after_winter(cycle: Cycle, sowing: Sowing, seasons: Seasons, cold: ColdNeed) -> Cycle | None:
    """The same growing of a kind that waits for winter; None where the span ends before it may flower."""
    span = seasons.span
    last = len(span.starts)
    if sowing.method is Method.TUBER:
        by = COLD_BY_MONTH_DAY_SOUTH if span.south else COLD_BY_MONTH_DAY
        years = tuple(year for year in range(last) if span.month_day(by, year=year) > cycle.start)[:1]
    else:
        years = tuple(range(int(seasons.growing_year[cycle.start]) + 1, last))
    if not years:
        return None
    young = 1.0 if cycle.seed else max(0.0, 1 - sowing.crop.weeks_to_plant_out / YOUNG_WEEKS)
    young = 0.0 if sowing.method is Method.TUBER else young
    weeks_from = cycle.reference_start
    if sowing.crop.life_cycle is LifeCycle.PERENNIAL:
        weeks_from = span.month_day(BIOFIX_MONTH_DAY_SOUTH if span.south else BIOFIX_MONTH_DAY, year=years[0])
    return replace(
        cycle,
        start=max(cycle.start, span.starts[years[0]]),
        seed=False,
        bench=False,
        given=0.0,
        waits_for_light=False,
        spring=Spring(years, cold, cycle.start, weeks_from, young=young),
    )
