"""Seasons: what all batches of one season share (weather year, pace, vigour, frost), and each batch's own draws.

A batch's own draws depend on the seed and its key alone, so adding, dropping or reordering batches moves no other.
"""

from __future__ import annotations

from collections.abc import Callable, Hashable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property

import numpy as np
import numpy.typing as npt

from haulm.farm.varieties import Crop
from haulm.farm.words import LifeCycle
from haulm.forecast.doubt_draws import Score, first_scores
from haulm.forecast.inputs import Climate, Setting, Sowing
from haulm.forecast.own_draws import sensitivity_rows
from haulm.forecast.reference import Light, stated_reference
from haulm.forecast.weather import THIS_YEAR, Basis, Span, Weather
from haulm.forecast.winter_tables import WinterTables
from haulm.horticulture.frost import NEVER, next_frost
from haulm.horticulture.heat import next_heat
from haulm.horticulture.thermal_time import degree_days
from haulm.horticulture.time_to_flower import (
    Reference,
    cumulative_progress,
    laid_end_to_end,
    reference_pace,
    under_cover,
    upper_limit_c,
)
from haulm.kept import Kept

_DAYS_A_TIME = 365
_TABLES_KEPT = 4
_SHARED_KEPT = 8

_STARTS_KEPT = 400
"""Trays that have come up thin are asked about after every record: a demo farm's ask for 235 days, of 8 kB each."""


@dataclass(frozen=True)
class Seasons:
    """The shared part of every season, and tables of its weather years, kept once made.

    Attributes:
        weather_row: weather year of each season, rising, shape (seasons,).
        row_apart: weather year of each season for growth that this year's records don't bear on, in no order, shape
            (seasons,).
        z_pace, z_vigour: normal scores that the batches of this growing year share, shape (seasons,).
        z_other_years: the same of the other growing years, shape (2, growing years, seasons).
        z_last_frost, z_first_frost: shared normal scores, shape (seasons,).
        weights: how much each season counts, summing to 1, shape (seasons,).
        u_bad: how bad each growing year is, shares between 0 and 1, shape (growing years, seasons).
        learnt: by variety, its row of sensitivities in each season where field records speak of it.
        winter: crowns and hardening of its nights.
        scores: normal scores of doubted figures in each season where field records speak of them, shape (seasons,).
        long_from: by hours what `first_long_day` found, once it was asked.
        started: by what they rest on and sowings that were tried, their first day and killing day in each season.
    """

    span: Span
    weather: Weather
    climate: Climate
    setting: Setting
    weather_row: npt.NDArray[np.intp]
    row_apart: npt.NDArray[np.intp]
    z_pace: npt.NDArray[np.float64]
    z_vigour: npt.NDArray[np.float64]
    z_other_years: npt.NDArray[np.float64]
    z_last_frost: npt.NDArray[np.float64]
    z_first_frost: npt.NDArray[np.float64]
    weights: npt.NDArray[np.float64]
    light: npt.NDArray[np.float32]
    long_day_light: npt.NDArray[np.float32]
    hours: npt.NDArray[np.float64]
    growing_year: npt.NDArray[np.intp]
    midsummer: npt.NDArray[np.intp]
    winter: WinterTables
    u_bad: npt.NDArray[np.float64]
    learnt: Mapping[str, npt.NDArray[np.intp]] = field(default_factory=dict[str, npt.NDArray[np.intp]])
    scores: Mapping[Score, npt.NDArray[np.float64]] = field(default_factory=dict[Score, npt.NDArray[np.float64]])
    long_from: dict[float, npt.NDArray[np.intp]] = field(default_factory=dict[float, npt.NDArray[np.intp]], repr=False)
    _sensitivities: dict[str, npt.NDArray[np.intp]] = field(default_factory=dict[str, npt.NDArray[np.intp]], repr=False)
    _scores: dict[Score, npt.NDArray[np.float64]] = field(
        default_factory=dict[Score, npt.NDArray[np.float64]], repr=False
    )
    _warmth: dict[tuple[float, bool], npt.NDArray[np.float32]] = field(
        default_factory=dict[tuple[float, bool], npt.NDArray[np.float32]], repr=False
    )
    started: Kept[tuple[bytes, Sowing], tuple[npt.NDArray[np.int16], ...]] = field(
        default_factory=lambda: Kept(_STARTS_KEPT), repr=False
    )
    _usual: dict[float, npt.NDArray[np.float32]] = field(
        default_factory=dict[float, npt.NDArray[np.float32]], repr=False
    )
    _references: dict[tuple[float, int, float, float, bool], Reference] = field(
        default_factory=dict[tuple[float, int, float, float, bool], Reference], repr=False
    )
    _tables: dict[Hashable, npt.NDArray[np.float64]] = field(
        default_factory=dict[Hashable, npt.NDArray[np.float64]], repr=False
    )
    _frosts: dict[float, npt.NDArray[np.int16]] = field(default_factory=dict[float, npt.NDArray[np.int16]], repr=False)
    _heats: dict[tuple[float, bool], npt.NDArray[np.int16]] = field(
        default_factory=dict[tuple[float, bool], npt.NDArray[np.int16]], repr=False
    )
    _nights: dict[float, npt.NDArray[np.int16]] = field(default_factory=dict[float, npt.NDArray[np.int16]], repr=False)

    def __post_init__(self) -> None:
        count, days, years = (self.setting.seasons,), self.span.days, len(self.span.starts)
        assert self.weather_row.shape == count, "a weather year for each season"
        assert self.z_pace.shape == count, "a pace for each season"
        assert self.z_other_years.shape == (2, years, *count), "a pace and a vigour for each growing year and season"
        assert len(self.light) == len(self.hours) == len(self.growing_year) == days, "light for each day of the span"
        assert len(self.midsummer) == len(self.u_bad) == years, "a midsummer and its luck for each growing year"

    def apart(self) -> Seasons:
        """The same seasons for a next year's growth: this year's records bear on the kind, not on that weather."""
        return self._apart

    @cached_property
    def _apart(self) -> Seasons:
        return replace(self, weather_row=self.row_apart, learnt={})

    @cached_property
    def _shared(self) -> Kept[Hashable, npt.NDArray[np.float64]]:
        return Kept(_SHARED_KEPT)

    def kept(self, key: Hashable, make: Callable[[], npt.NDArray[np.float64]]) -> npt.NDArray[np.float64]:
        """A cache of what batches have in common in these seasons; the few answers asked for last are kept.

        Args:
            key: all that the answer depends on beside these seasons.
            make: works it out.

        Returns:
            The answer, not to be written to, shape (..., seasons) [as `make` gives].

        Source: `make`.
        """
        return self._shared.of(key, make)

    def years_of(self, days: npt.NDArray[np.int64]) -> npt.NDArray[np.intp]:
        """The growing years of days of the span, same shape, or shape () where all fall in one.

        A day that does not come gives no stems, so it may go with the latest that does.
        """
        latest = int(days.max())
        if latest >= NEVER:
            latest = int(np.where(days < NEVER, days, -1).max())
        latest = latest if 0 <= latest < self.span.days else self.span.days - 1
        low, high = (self.growing_year[max(0, day)] for day in (min(int(days.min()), latest), latest))
        if low == high:
            return np.asarray(low)
        return self.growing_year[np.minimum(np.maximum(days, 0), latest)]

    def in_years(self, table: npt.NDArray[np.float64], years: npt.NDArray[np.intp]) -> npt.NDArray[np.float64]:
        """Each season's value in its growing year, shape (seasons,), of a table (growing years, seasons).

        Args:
            table: one row for each growing year of the span.
            years: of each season, shape (seasons,), or () where all have one.

        Returns:
            Values, shape (seasons,) [as in the table].

        Source: definition.
        """
        if not years.ndim:
            return np.asarray(table[int(years)])
        return np.asarray(table.ravel()[years * table.shape[1] + self._numbers], dtype=np.float64)

    def on_days(self, table: npt.NDArray[np.int16], days: npt.NDArray[np.int64] | int) -> npt.NDArray[np.int16]:
        """What a table says of a day in each season's weather year.

        Args:
            table: one row for each weather year, shape (weather years, days).
            days: day numbers, shape (seasons,), or one for all.

        Returns:
            Shape (seasons,) [as in the table].

        Source: definition.
        """
        if isinstance(days, int):
            return np.asarray(table[:, days][self.weather_row], dtype=np.int16)
        return np.asarray(table.ravel()[self.weather_row * table.shape[1] + days], dtype=np.int16)

    @cached_property
    def _numbers(self) -> npt.NDArray[np.intp]:
        return np.arange(len(self.weather_row))

    def shared_pace(self, year: int) -> npt.NDArray[np.float64]:
        """The pace scores that batches flowering in a growing year of the span share, shape (seasons,)."""
        return self.z_pace if year == THIS_YEAR else self.z_other_years[0, year]

    def shared_vigour(self) -> npt.NDArray[np.float64]:
        """The vigour scores that batches flowering in one growing year share, shape (growing years, seasons)."""
        scores = self.z_other_years[1].copy()
        scores[THIS_YEAR] = self.z_vigour
        return np.asarray(scores, dtype=np.float64)

    def sensitivity(self, variety: str) -> npt.NDArray[np.intp]:
        """The position of a variety's sensitivity among those of its kind in each season, shape (seasons,)."""
        if variety in self.learnt:
            return self.learnt[variety]
        if variety not in self._sensitivities:
            self._sensitivities[variety] = sensitivity_rows(variety, self.setting)
        return self._sensitivities[variety]

    def score(self, of: Score) -> npt.NDArray[np.float64]:
        """The normal scores of a doubted figure as numbers of spreads, shape (seasons,)."""
        if of in self.scores:
            return self.scores[of]
        if of not in self._scores:
            self._scores[of] = first_scores(of, (self.setting.seed, self.setting.seasons))
        return self._scores[of]

    def good_share(self, years: npt.NDArray[np.intp]) -> npt.NDArray[np.float64] | float:
        """What part of its stems a plant gives in growing years of the span, shape (seasons,) or one for all."""
        if self.setting.bad_share <= 0:
            return 1.0
        return self.in_years(self._good, years)

    @cached_property
    def _good(self) -> npt.NDArray[np.float64]:
        is_bad = self.u_bad < self.setting.bad_share
        return np.asarray(np.where(is_bad, self.setting.bad_factor, 1.0), dtype=np.float64)

    def picked(self, places: npt.NDArray[np.intp], variety: str, scores: Sequence[Score]) -> Seasons:
        """Some of the seasons, for the day of a first stem alone; the tables of weather are shared.

        Args:
            places: the numbers of the seasons wanted, rising, shape (picked,).
            variety: the variety whose sensitivity comes along.
            scores: the doubted figures that come along.

        Returns:
            As many seasons as places, shape (picked,), whose vigour, frosts and bad years are not picked.

        Source: definition.
        """
        return replace(
            self,
            setting=replace(self.setting, seasons=len(places)),
            weather_row=self.weather_row[places],
            z_pace=self.z_pace[places],
            z_other_years=self.z_other_years.take(places, axis=2),
            learnt={variety: self.sensitivity(variety)[places]},
            scores={of: self.score(of)[places] for of in scores},
        )

    def warmth(self, base_c: float, *, cover: bool) -> npt.NDArray[np.float32]:
        """Degree-days of every day, shape (weather years, days) [deg C d]; `cover`: under an unheated roof."""
        key = (base_c, cover)
        if key not in self._warmth:
            self._warmth[key] = _warmth(*self.extremes(cover=cover), base_c)
        return self._warmth[key]

    def extremes(self, *, cover: bool) -> tuple[npt.NDArray[np.float32], npt.NDArray[np.float32]]:
        """The extremes of every day, shape (weather years, days) [deg C]; `cover`: under an unheated roof."""
        low, high = self.weather.min_c, self.weather.max_c
        return under_cover(low, high) if cover else (low, high)

    def starts_of(self, year: int) -> int:
        """The first day of a growing year of the span; the end of the span for the one after the last."""
        return self.span.starts[year] if year < len(self.span.starts) else self.span.days

    def light_for(self, life_cycle: LifeCycle) -> npt.NDArray[np.float32]:
        """How far day length slows a kind, shape (days,): hardy annuals are taken for long-day plants."""
        return self.long_day_light if life_cycle is LifeCycle.HARDY_ANNUAL else self.light

    def reference(self, crop: Crop, *, start: int) -> Reference:
        """What a crop's weeks mean: where and when they are stated, else counted from a day of the span, here.

        With frost dates alone the weather is steady warmth, so the weeks are taken at their word.
        """
        if crop.stated_for is not None and self.weather.basis is not Basis.WEEKS:
            return stated_reference(
                crop.stated_for,
                Light.of(crop.life_cycle, daylight=self.setting.daylight),
                base_c=crop.base_c,
                weeks=crop.weeks_to_flower,
                germination_days=crop.germination_days,
            )
        base_c, weeks, germination_days = crop.base_c, crop.weeks_to_flower, crop.germination_days
        light = self.light_for(crop.life_cycle)
        key = (base_c, start, weeks, germination_days, light is self.light)
        if key not in self._references:
            part = slice(start, min(self.span.days, start + max(1, round(weeks * 7))))
            warmth = self.usual_warmth(base_c)[:, part]
            self._references[key] = reference_pace(warmth, light[part], weeks=weeks, germination_days=germination_days)
        return self._references[key]

    def progress(
        self, crop: Crop, *, reference_start: int, cover: bool, part: tuple[int, int]
    ) -> tuple[int, npt.NDArray[np.float64]]:
        """Progress of a crop towards its first stem in every weather year, laid end to end.

        The few tables made last are kept, since batches of a crop follow each other. A table begins with a growing
        year, so that what it says of a day does not depend on who asked for it.

        Args:
            crop: the crop.
            reference_start: its weeks are counted from this day.
            cover: it grows under a roof.
            part: the first day wanted and the day after the last.

        Returns:
            The first day of the table, and the table: shape (weather years x kinds, days + 1).

        Source: `cumulative_progress`.
        """
        first = self.span.starts[int(self.growing_year[part[0]])]
        stop = min(self.span.days, first + -(-(part[1] - first) // _DAYS_A_TIME) * _DAYS_A_TIME)
        stated = reference_start if crop.stated_for is None else crop.stated_for
        hardy = crop.life_cycle is LifeCycle.HARDY_ANNUAL
        key = (crop.base_c, stated, crop.weeks_to_flower, cover, hardy, first, stop)

        def laid() -> npt.NDArray[np.float64]:
            reference = self.reference(crop, start=reference_start)
            warmth = self.warmth(crop.base_c, cover=cover)[:, first:stop]
            return laid_end_to_end(cumulative_progress(warmth, self.light_for(crop.life_cycle)[first:stop], reference))

        return first, self.table(key, laid)

    def table(self, key: Hashable, make: Callable[[], npt.NDArray[np.float64]]) -> npt.NDArray[np.float64]:
        """A table of progress by what it depends on; the few made last are kept.

        Args:
            key: all that the table depends on beside these seasons.
            make: works it out.

        Returns:
            The table, laid end to end, shape (weather years x kinds, days + 1) [shares of the way].

        Source: `make`.
        """
        found = self._tables.get(key)
        if found is None:
            found = make()
            if len(self._tables) >= _TABLES_KEPT:
                self._tables.clear()
            self._tables[key] = found
        return found

    def usual_warmth(self, base_c: float) -> npt.NDArray[np.float32]:
        """Degree-days of every day in the usual weather, shape (weather years, days) [deg C d]."""
        if self.weather.usual_min_c is self.weather.min_c:
            return self.warmth(base_c, cover=False)
        if base_c not in self._usual:
            weather = self.weather
            self._usual[base_c] = _warmth(weather.usual_min_c, weather.usual_max_c, base_c)
        return self._usual[base_c]

    def next_frost(self, level_c: float) -> npt.NDArray[np.int16]:
        """For each day the next at or below a level, shape (weather years, days)."""
        if level_c not in self._frosts:
            self._frosts[level_c] = next_frost(self.weather.min_c, level_c)
        return self._frosts[level_c]

    def next_heat(self, level_c: float, *, cover: bool) -> npt.NDArray[np.int16]:
        """For each day the next that ends two hot weeks, shape (weather years, days); `cover`: under a roof."""
        key = (level_c, cover)
        if key not in self._heats:
            self._heats[key] = next_heat(self.extremes(cover=cover)[1], level_c)
        return self._heats[key]

    def nights_before(self, level_c: float) -> npt.NDArray[np.int16]:
        """Nights at or below a level before each day, shape (weather years, days + 1)."""
        if level_c not in self._nights:
            counts = np.cumsum(self.weather.min_c <= level_c, axis=1, dtype=np.int16)
            self._nights[level_c] = np.pad(counts, ((0, 0), (1, 0)))
        return self._nights[level_c]


def _warmth(min_c: npt.NDArray[np.float32], max_c: npt.NDArray[np.float32], base_c: float) -> npt.NDArray[np.float32]:
    return degree_days(min_c, max_c, base_c=base_c, upper_c=upper_limit_c(base_c)).astype(np.float32)
