"""What one batch will give: its first stem, its stems, seasons without any, typical seasons, what the doubt is from."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from haulm.errors import NotFound
from haulm.farm.weeks import Week
from haulm.forecast.inputs import ClimateMissing, Sowing
from haulm.forecast.no_stems import NoStems, why_no_stems
from haulm.forecast.one_batch import Harvest, harvest_of
from haulm.forecast.parts_of_doubt import PartOfDoubt
from haulm.forecast.supply import Forecast
from haulm.forecast.typical import TypicalSeason
from haulm.jobs.desk.desk import Desk
from haulm.jobs.growing.batch_words import harvest_in_words, no_stems_in_words
from haulm.language.words import _
from haulm.planning.cold import cold_words
from haulm.planning.plan import Plan

_MORE_THAN_NOT = 0.5


@dataclass(frozen=True, slots=True)
class WeekOfBatch:
    """What a batch makes ready in one week: stems in a poor, a middling and a good season."""

    week: Week
    stems: tuple[int, int, int]


@dataclass(frozen=True, slots=True)
class BatchForecast:
    """What a batch will give from now on.

    Attributes:
        batch: its key.
        first_stem: the day of its first stem, early, middling and late, over the seasons that give stems; None where
            none does.
        stems: its stems in a poor, a middling and a good season of these; None where none does.
        none: the weight of the seasons without a stem, 0-1.
        weeks: percentiles of each week, from the first with stems to the last.
        typical: a poor, a middling and a good season that could happen.
        doubt: what the doubt comes from, the largest part first.
        sentence: the figures in words, or why there are none.
        gives_none: whether the sentence says why there are none.
    """

    batch: str
    first_stem: tuple[date, date, date] | None
    stems: tuple[int, int, int] | None
    none: float
    weeks: tuple[WeekOfBatch, ...]
    typical: tuple[TypicalSeason, ...]
    doubt: tuple[PartOfDoubt, ...]
    sentence: str
    gives_none: bool


def batch_forecast(desk: Desk, key: str) -> BatchForecast:
    """What a batch will give.

    Raises:
        NotFound: there is no batch with that key.
        ClimateMissing: the farm has given neither frost dates nor temperatures.
    """
    plan = desk.plan()
    if all(batch.key != key for batch in plan.growth.seen.batches):
        raise NotFound(kind=_("batch"), key=key)
    found = forecast_of(plan, key)
    if found is None:
        raise plan.growth.missing or ClimateMissing(batch=key)
    return found


def forecast_of(plan: Plan, key: str) -> BatchForecast | None:
    """What a batch of the farm will give; None where there is no forecast at all."""
    drawn = plan.growth.forecast
    if drawn is None:
        return None
    found = _harvest(plan, drawn, key)
    sowing = next(one for one in drawn.sowings if one.key == key)
    cold = _cold(drawn, sowing)
    if found is None:
        why = why_no_stems(sowing, drawn)
        words = cold if cold and why is NoStems.NEVER_FLOWERS else no_stems_in_words(sowing, why)
        return BatchForecast(key, None, None, 1.0, (), (), (), words, gives_none=True)
    weeks = tuple(WeekOfBatch(week, stems) for week, stems in found.weeks.items())
    words = harvest_in_words(found.first_stem, found.amount, found.none, plan.today)
    if cold and found.none > _MORE_THAN_NOT:
        words = f"{words} {cold}"
    return BatchForecast(
        key,
        found.first_stem,
        found.amount,
        found.none,
        weeks,
        found.typical,
        found.doubt,
        words,
        gives_none=False,
    )


def first_stem_of(plan: Plan, key: str) -> tuple[date, date, date] | None:
    """The day of a batch's first stem, early, middling and late; None where it gives none."""
    drawn = plan.growth.forecast
    found = None if drawn is None else _harvest(plan, drawn, key)
    return None if found is None else found.first_stem


def stems_by_week(plan: Plan, key: str) -> dict[Week, tuple[int, int, int]]:
    """What a batch makes ready week by week, in a poor, a middling and a good season; empty where it gives nothing."""
    drawn = plan.growth.forecast
    found = None if drawn is None else _harvest(plan, drawn, key)
    return {} if found is None else dict(found.weeks)


def cutting_days_of(plan: Plan, key: str) -> tuple[date, date, float] | None:
    """The middling day of a batch's first and of its last stem, and the weight of the seasons that give any, 0-1."""
    drawn = plan.growth.forecast
    return None if drawn is None else cutting_days_in(drawn, key, plan.growth.first_day)


def cutting_days_in(drawn: Forecast, key: str, since: date) -> tuple[date, date, float] | None:
    """As `cutting_days_of`, in a forecast whose batches need not be the farm's; None where the batch gives nothing."""
    found = harvest_of(drawn, key, since)
    return None if found is None else (found.first_stem[1], found.last_stem, 1 - found.none)


def _cold(drawn: Forecast, sowing: Sowing) -> str:
    """That the usual winter here is too mild for a batch, in a sentence; empty where it is not."""
    lacking = drawn.cold_lacking(sowing)
    if lacking is None:
        return ""
    words = cold_words(sowing.crop, lacking)
    return _("{what} in the usual winter.").format(what=f"{words[0].upper()}{words[1:]}")


def _harvest(plan: Plan, drawn: Forecast, key: str) -> Harvest | None:
    return harvest_of(drawn, key, plan.growth.first_day)
