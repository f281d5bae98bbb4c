"""Back-planning: which sow date brings stems in a wanted stretch of days, and which is the last of the year.

All candidate dates share their random draws, so a later sowing is never earlier by chance. There is always an answer:
where no date is sure enough, the best of them with its confidence, and the places that would make it sure.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from functools import cached_property
from hashlib import blake2b
from itertools import pairwise
from math import ceil

import numpy as np
import numpy.typing as npt

from haulm.farm.quantities import whole_down
from haulm.farm.words import BatchStatus, Method
from haulm.forecast.doubted import need_scores
from haulm.forecast.frost_dates import usual_frost_dates
from haulm.forecast.inputs import Climate, ClimateMissing, DateLevels, Sowing
from haulm.forecast.latent import latents
from haulm.forecast.percentiles import quantiles
from haulm.forecast.plan import cycles
from haulm.forecast.seasons import Seasons
from haulm.forecast.supply import Forecast
from haulm.horticulture.frost import DAYS_PER_DEGREE
from haulm.horticulture.sowing_windows import CUTTING_DAYS_WANTED, last_useful_sowing

IntArray = npt.NDArray[np.int64]
DayArray = npt.NDArray[np.int16]

STEP_DAYS = 3
MOST_PLACES = 100_000


@dataclass(frozen=True, slots=True)
class Target:
    """Stems wanted in a stretch of days, both ends included, and how sure it has to be."""

    first_day: date
    last_day: date
    stems: int
    level: float = 0.8

    def __post_init__(self) -> None:
        assert self.first_day <= self.last_day, "a stretch of days has an end"
        assert 0 < self.level < 1, "nothing is wholly sure"


@dataclass(frozen=True, slots=True)
class Tried:
    """One sow date: the chance of the stems wanted, the mean, and what four seasons in five (at the level) give."""

    day: date
    confidence: float
    mean_stems: float
    sure_stems: int


@dataclass(frozen=True, slots=True)
class BackPlan:
    """The sow dates that reach a target.

    Attributes:
        places: places of the batch that was tried.
        earliest, latest: first and last sow date that is sure enough; None where none is.
        best: the surest (of equals the one with most stems); None only where no date could be tried.
        places_needed: places that make the target sure at the best date for it; None where no number would.
        needed_day: the sow date that needs the fewest places.
        tried: all dates, in order.
    """

    places: int
    earliest: Tried | None
    latest: Tried | None
    best: Tried | None
    places_needed: int | None
    needed_day: date | None
    tried: tuple[Tried, ...]


@dataclass(frozen=True)
class Starts:
    """A sowing tried on several days: each day is worked out once and kept until a record moves its kind.

    Attributes:
        forecast: for its seasons.
        sowing: the batch to try; its dates are replaced, its key gives its draws.
    """

    forecast: Forecast
    sowing: Sowing

    @property
    def seasons(self) -> Seasons:
        """The shared part of every season; raises `ClimateMissing` where the farm has given no climate."""
        if self.forecast.seasons is None:
            raise ClimateMissing(batch=self.sowing.key)
        return self.forecast.seasons

    def on(self, day: date) -> tuple[DayArray, DayArray] | None:
        """First day and killing day of the sowing started on a day.

        Args:
            day: its start.

        Returns:
            Day numbers, each shape (seasons,), not to be written to; None where it gives nothing in the span.

        Source: `latents`.
        """
        if day not in self._worked_out:
            started = sown_on(self.sowing, day)
            key = (self.rests_on, started)
            self._worked_out[day] = self.seasons.started.of(key, lambda: _days(started, self.seasons))
        found = self._worked_out[day]
        return (found[0], found[1]) if found else None

    @cached_property
    def rests_on(self) -> bytes:
        """A digest of all that the days of this variety rest on beside the tables that its seasons share.

        Seasons into which records were read share what was tried with those before them; this keeps them apart.
        """
        seasons = self.seasons
        shared = (seasons.z_pace, seasons.z_vigour, seasons.z_other_years, seasons.u_bad)
        frosts = (seasons.z_last_frost, seasons.z_first_frost)
        own = (seasons.sensitivity(self.sowing.variety), *(seasons.score(of) for of in need_scores(self.sowing)))
        digest = blake2b(repr(seasons.setting).encode(), digest_size=16)
        for drawn in (seasons.weather_row, seasons.row_apart, *shared, *frosts, *own):
            digest.update(np.ascontiguousarray(drawn).tobytes())
        return digest.digest()

    @cached_property
    def _worked_out(self) -> dict[date, tuple[DayArray, ...]]:
        return {}


def _days(started: Sowing, seasons: Seasons) -> tuple[DayArray, ...]:
    """First day and killing day of a sowing's first growing; nothing where none comes within the span."""
    return tuple(days for one in latents(started, seasons)[:1] for days in (one.first_day, one.kill_day))


@dataclass(frozen=True, slots=True)
class LastSowing:
    """The last sow date of the year, counting back from frost.

    Attributes:
        rule: by the plain rule: usual first frost less weeks to flower less cutting days; None without frost dates, and
            for kinds that wait for winter.
        model: by the forecast; None where no date tried is sure enough, or no frost ever comes.
        advised: the more careful of the two.
    """

    rule: date | None
    model: date | None
    advised: date | None


def sow_days(first: date, last: date) -> tuple[date, ...]:
    """Every third day from first to last, `first` included.

    Args:
        first: the first day.
        last: the last day that may be among them.

    Returns:
        Days, in order; none where last lies before first.

    Source: the project's own choice of step.
    """
    return tuple(first + timedelta(days=step) for step in range(0, (last - first).days + 1, STEP_DAYS))


def back_plan(forecast: Forecast, sowing: Sowing, target: Target, days: Sequence[date]) -> BackPlan:
    """The sow dates by which a batch gives the stems wanted in the stretch wanted.

    Args:
        forecast: for its seasons; its own batches are not counted.
        sowing: the batch to try, with its places; its dates are replaced, its key gives its draws.
        target: stems, stretch of days and level.
        days: sow dates to try (for plugs, planting dates), in order: those in season for the method.

    Returns:
        The plan. Stems grow in step with places, so the places needed are the target over what one place surely gives.

    Raises:
        ClimateMissing: the farm has given no climate.

    Source: the chance over seasons, the same seasons and draws for every date.
    """
    assert all(day < later for day, later in pairwise(days)), "sow dates to try rise"
    places = sowing.sown or sowing.plants or 0
    tried = tuple(_tried(forecast, sowing, target, day) for day in days)
    sure = [item for item in tried if item.confidence >= target.level]
    best = max(tried, key=lambda item: (item.confidence, item.mean_stems), default=None)
    most = max(tried, key=lambda item: item.sure_stems, default=None)
    needed = None if most is None else places_needed(most, places=places, stems=target.stems)
    return BackPlan(
        places=places,
        earliest=sure[0] if sure else None,
        latest=sure[-1] if sure else None,
        best=best,
        places_needed=needed,
        needed_day=most.day if most is not None and needed is not None else None,
        tried=tried,
    )


def places_needed(tried: Tried, *, places: int, stems: int) -> int | None:
    """The places that make a target sure on a day that was tried.

    Args:
        tried: the day.
        places: places of the batch that was tried.
        stems: stems wanted.

    Returns:
        Places, 100 000 at most; None where no number would.

    Source: stems grow in step with places.
    """
    return min(MOST_PLACES, ceil(places * stems / tried.sure_stems)) if tried.sure_stems > 0 else None


def sown_on(sowing: Sowing, day: date) -> Sowing:
    """The batch as it would be, started on a day: sown, or for plugs and tubers planted.

    Args:
        sowing: the batch.
        day: its start.

    Returns:
        A planned batch without records.

    Source: definition.
    """
    plugs = sowing.method is Method.PLUGS
    return Sowing(
        key=sowing.key,
        variety=sowing.variety,
        crop=sowing.crop,
        method=sowing.method,
        form=sowing.form,
        status=BatchStatus.PLANNED,
        sow_date=None if plugs else day,
        sown=sowing.sown,
        plants=sowing.plants,
        plant_out_date=day if plugs else None,
        tunnel=sowing.tunnel,
        winter_cover=sowing.winter_cover,
    )


def last_sowing(
    starts: Starts, days: Sequence[date], *, level: float, cutting_days: int = CUTTING_DAYS_WANTED
) -> LastSowing:
    """The last sow date that still gives some weeks of cutting before frost ends the crop in the same growing year.

    Args:
        starts: the batch to try.
        days: sow dates to try, in order, in one growing year.
        level: how sure it has to be, between 0 and 1.
        cutting_days: cutting days wanted [d].

    Returns:
        By rule, by forecast, and the more careful of them.

    Raises:
        ClimateMissing: the farm has given no climate.

    Source: the rule is common practice; midsummer sowings that warmth hastens make the forecast the bolder one.
    """
    assert all(day < later for day, later in pairwise(days)), "sow dates to try rise"
    seasons, sowing = starts.seasons, starts.sowing
    # From the last day back and no further than needed: each day tried is a forecast.
    chances = ((day, chance_of_cutting(starts, day, cutting_days=cutting_days)) for day in reversed(days))
    model = next((day for day, chance in chances if chance >= level), None)
    frost = None
    if days and sowing.crop.cold is None:
        frost = usual_killing_frost(seasons, seasons.climate, sowing.crop.kill_c, days[0])
    rule = None
    if frost is not None:
        rule = last_useful_sowing(frost, weeks_to_flower=sowing.crop.weeks_to_flower, cutting_days=cutting_days)
    found = [day for day in (rule, model) if day is not None]
    return LastSowing(rule, model, min(found, default=None))


def chance_of_cutting(starts: Starts, day: date, *, cutting_days: int) -> float:
    """The chance that a sowing flowers in its growing year, so many days before frost ends it.

    For kinds that wait for winter the growing year is the first in which they may flower.

    Args:
        starts: the batch to try.
        day: its start.
        cutting_days: days wanted between first stem and frost [d].

    Returns:
        A share between 0 and 1; 0 where nothing comes within the span.

    Raises:
        ClimateMissing: the farm has given no climate.

    Source: definition.
    """
    found = starts.on(day)
    if found is None:
        return 0.0
    first, kill = found
    end = _end_of_flowering_year(starts.seasons, sown_on(starts.sowing, day), day)
    return float(starts.forecast.weights[(first.astype(np.int64) + cutting_days <= kill) & (first < end)].sum())


def chance_in_flower(starts: Starts, day: date, *, needed: date) -> float:
    """The chance that a sowing has its first stem on or before a day, and is not yet ended by frost.

    Args:
        starts: the batch to try.
        day: its start.
        needed: the day.

    Returns:
        A share between 0 and 1.

    Raises:
        ClimateMissing: the farm has given no climate.

    Source: definition.
    """
    found = starts.on(day)
    if found is None:
        return 0.0
    first, kill = found
    by = starts.seasons.span.index(needed)
    return float(starts.forecast.weights[(first <= by) & (kill > by)].sum())


def usual_killing_frost(seasons: Seasons, climate: Climate, kill_c: float, after: date) -> date | None:
    """The median first autumn frost that ends a kind, in the growing year of a day.

    Args:
        seasons: for the weather years, where no frost dates are given.
        climate: for its frost dates.
        kill_c: temperature that ends the kind [deg C].
        after: a day of the growing year.

    Returns:
        A date; None where nobody has given frost dates and fewer than half of the years have a frost.

    Source: the median of the first air frost; ten days later for each degree the kind stands (as in `frost_days`).
    """
    levels: DateLevels | None = climate.first_autumn_frost
    if levels is None:
        levels = usual_frost_dates(seasons)[1]
    if levels is None:
        return None
    span = seasons.span
    year = int(seasons.growing_year[min(max(0, span.index(after)), span.days - 1)])
    median = span.first + timedelta(days=span.month_day(levels.p50, year=year))
    return median + timedelta(days=round(-kill_c * DAYS_PER_DEGREE))


def _tried(forecast: Forecast, sowing: Sowing, target: Target, day: date) -> Tried:
    if forecast.seasons is None:
        raise ClimateMissing(batch=sowing.key)
    stretch = (target.last_day - target.first_day).days + 1
    # Not graded: a target asks no length, and stems are rounded down once for each class.
    here = replace(sown_on(sowing, day), crop=replace(sowing.crop, lengths=()))
    pools = forecast.batch_ready_stems(here, target.first_day, stretch)
    stems: npt.NDArray[np.float64] = np.zeros(forecast.setting.seasons)
    for pool in pools.values():
        stems = stems + pool.sum(axis=0)
    weights = forecast.weights
    sure = quantiles(stems[None, :], (1 - target.level,), weights)[0, 0]
    chance = float(weights[stems >= target.stems].sum())
    # Between stems of equal number a quantile may fall a hair short of it.
    return Tried(day, min(1.0, chance), float((weights * stems).sum()), whole_down(float(sure)))


def _end_of_flowering_year(seasons: Seasons, sowing: Sowing, day: date) -> int:
    """The end of the growing year of a sowing; of kinds that wait for winter that of the first they may flower in."""
    span = seasons.span
    springs = [cycle.spring for cycle in cycles(sowing, seasons) if cycle.spring is not None]
    if springs:
        return seasons.starts_of(springs[0].years[0] + 1)
    later = [start for start in span.starts if start > span.index(day)]
    return min(later, default=span.days)
