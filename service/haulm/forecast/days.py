"""Days: latent records expanded into whole stems by ready day and season.

Whole numbers come from rounding down each batch's cumulative harvest, each length class by itself, so one more batch
never takes a stem away. Seasons are worked out in groups small enough for the processor's cache, with a season as a
row, since the days of its harvest are then contiguous and are added where its first day is. Few days are worked out
with a day as a row, all seasons at a time: their stretches would be too short to gain by.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
from numpy.lib.stride_tricks import as_strided

from haulm.forecast.latent import Latent
from haulm.horticulture.frost import NEVER

_SEASONS_AT_A_TIME = 500
_FEW_DAYS = 30

StemsByLength = dict[int | None, npt.NDArray[np.int32]]


@dataclass(frozen=True, slots=True)
class BusyDays:
    """The stretch of days on which some season may have stems: int32 stems, shape (days, seasons), from a row on."""

    row: int
    stems: npt.NDArray[np.int32]


def ready_by_length(found: Sequence[Latent], start: int, days: int, seasons: int) -> StemsByLength:
    """The stems of some growings that become ready on each day, added up.

    Args:
        found: the growings in every season.
        start: day number in the span of the first day wanted.
        days: number of days wanted [d].
        seasons: number of seasons.

    Returns:
        By length class (None: not graded) int32 stems, shape (days, seasons).

    Source: `busy_by_length`, with zeros on the other days.
    """
    pools: StemsByLength = {}
    for length, busy in busy_by_length(found, start, days, seasons).items():
        pools[length] = np.zeros((days, seasons), np.int32)
        pools[length][busy.row : busy.row + len(busy.stems)] = busy.stems
    return pools


def busy_by_length(found: Sequence[Latent], start: int, days: int, seasons: int) -> dict[int | None, BusyDays]:
    """The stems of some growings that become ready, on the days on which there may be some.

    Args:
        found: the growings in every season.
        start: day number in the span of the first day wanted.
        days: number of days wanted [d].
        seasons: number of seasons.

    Returns:
        By length class (None: not graded) the busy days, counted from the first day wanted; none may be busy.

    Source: stems(d) = floor(total share H(d + 1)) - floor(total share H(d)), H the cumulative harvest, stopped at
    the killing day; days up to the last cut count as taken, but for what was counted as left.
    """
    assert all(latent.first_day.shape == (seasons,) for latent in found), "every growing has the same seasons"
    growing = [(latent, stretch) for latent in found if (stretch := _stretch(latent, start, days)) is not None]
    counted = [(row, latent) for latent in found if (row := _row_of_left(latent, start)) is not None and row < days]
    low = min((*(stretch[0] for _, stretch in growing), *(row for row, _ in counted)), default=0)
    high = max((*(stretch[1] for _, stretch in growing), *(row + 1 for row, _ in counted)), default=0)
    lengths = dict.fromkeys(length for latent in found for length, _ in latent.lengths)
    pools: StemsByLength = {length: np.empty((high - low, seasons), np.int32) for length in lengths}
    put = _put_season_by_season if high - low > _FEW_DAYS else _put_day_by_day
    put([latent for latent, _ in growing], start + low, pools)
    for row, latent in counted:
        for length, share in latent.lengths:
            pools[length][row - low] += int(latent.left * share)
    return {length: BusyDays(low, pool) for length, pool in pools.items()}


def _put_day_by_day(growing: Sequence[Latent], start: int, pools: StemsByLength) -> None:
    """Writes the stems of all growings into pools of few days, the first of them a day of the span."""
    for pool in pools.values():
        pool[:] = 0
    for latent in growing:
        last = latent.curves.shape[1] - 1
        row = np.arange(len(next(iter(pools.values()))) + 1, dtype=np.int16)[:, None]
        age = np.minimum(np.maximum(row - _begins(latent, start), 0), last)
        if latent.taken_until >= 0:
            np.maximum(age, _age_on(latent, latent.taken_until + 1), out=age)
        np.minimum(age, _age_on(latent, latent.kill_day), out=age)
        place = age + latent.curve.astype(np.intp) * (last + 1)
        share = np.asarray(latent.curves.ravel()[place], dtype=np.float32)
        for length, of_all in latent.lengths:
            whole = (share * (latent.total * np.float32(of_all))).astype(np.int32)
            pools[length] += whole[1:]
            pools[length] -= whole[:-1]


def _put_season_by_season(growing: Sequence[Latent], start: int, pools: StemsByLength) -> None:
    """Writes the stems of all growings into pools of many days, the first of them a day of the span."""
    days, seasons = next(iter(pools.values())).shape
    longest = max((latent.curves.shape[1] - 1 for latent in growing), default=0)
    tables = [_HarvestTable.of(latent, start, days, longest) for latent in growing]
    workspace = _Workspace.of(min(_SEASONS_AT_A_TIME, seasons), days, longest, pools)
    for first in range(0, seasons, _SEASONS_AT_A_TIME):
        part = slice(first, min(first + _SEASONS_AT_A_TIME, seasons))
        for length, stems in workspace.laid_out(tables, part).items():
            pools[length][:, part] = stems.T


def _begins(latent: Latent, start: int) -> npt.NDArray[np.int16]:
    """The row on which each season's first stems are ready, if a day of the span is row 0, shape (seasons,)."""
    return latent.first_day - (start - latent.ready_after_days)


def _age_on(latent: Latent, day: npt.NDArray[np.int16] | int) -> npt.NDArray[np.int16]:
    """The days of each season's harvest before a day of the span, shape (seasons,)."""
    grown = np.minimum(np.maximum(day - latent.first_day, 0), latent.curves.shape[1] - 1)
    return np.asarray(grown, dtype=np.int16)


@dataclass(frozen=True, slots=True)
class _Workspace:
    """Arrays that one group of seasons after the other is worked out in: fresh memory would cost more than the sums.

    Attributes:
        ready: by length class the stems of all growings by day, with as many days before and after those wanted as a
            harvest is long and one more, shape (seasons, days of all).
        stretches: every stretch of `ready` as long as a harvest and one day, a view, shape (n, harvest + 1).
        rows: the stretch that begins with the first day of each season.
        share, stems, whole, step: of one growing, the share ready before each day of its harvest, that of a length
            class in stems, the same rounded down, and what each day adds, shape (seasons, harvest + 1).
    """

    ready: StemsByLength
    stretches: StemsByLength
    rows: npt.NDArray[np.intp]
    share: npt.NDArray[np.float32]
    stems: npt.NDArray[np.float32]
    whole: npt.NDArray[np.int32]
    step: npt.NDArray[np.int32]

    @classmethod
    def of(cls, seasons: int, days: int, harvest: int, lengths: Iterable[int | None]) -> _Workspace:
        """A workspace for some seasons and days, and for harvests of at most so many days."""
        width, shape = days + 2 * (harvest + 1), (seasons, harvest + 1)
        ready = {length: np.empty((seasons, width), np.int32) for length in lengths}
        return cls(
            ready,
            {length: _stretches(stems, harvest + 1) for length, stems in ready.items()},
            np.arange(seasons) * width,
            np.empty(shape, np.float32),
            np.empty(shape, np.float32),
            np.empty(shape, np.int32),
            np.zeros(shape, np.int32),
        )

    def laid_out(self, tables: Sequence[_HarvestTable], part: slice) -> StemsByLength:
        """The stems of all growings in some seasons, shape (seasons, days); they stand until the next call."""
        count, margin = part.stop - part.start, self.step.shape[1]
        for ready in self.ready.values():
            ready[:] = 0
        for table in tables:
            self._add(table, part, count)
        return {length: ready[:count, margin : ready.shape[1] - margin] for length, ready in self.ready.items()}

    def _add(self, table: _HarvestTable, part: slice, count: int) -> None:
        share, stems, whole, step = self.share[:count], self.stems[:count], self.whole[:count], self.step[:count]
        table.ready_before(part, share)
        places = table.places[part] + self.rows[:count]
        for length, total in table.totals:
            np.multiply(share, total[part, None], out=stems)
            whole[...] = stems
            # One row as long as all is quicker than many short ones; what it gives from season to season is dropped.
            np.subtract(whole.ravel()[1:], whole.ravel()[:-1], out=step.ravel()[:-1])
            step[:, -1] = 0
            self.stretches[length][places] += step


def _stretches(ready: npt.NDArray[np.int32], days: int) -> npt.NDArray[np.int32]:
    """Every stretch of so many days of an array laid end to end, as a view, shape (n, days)."""
    # A view of more than there is would read and write whatever lies behind.
    assert ready.flags.c_contiguous, "rows lie end to end"
    assert 0 < days <= ready.size, "a stretch is no longer than all days"
    return as_strided(ready, (ready.size - days + 1, days), (ready.itemsize, ready.itemsize))


def _stretch(latent: Latent, start: int, days: int) -> tuple[int, int] | None:
    """The first row on which some season may have stems, and the row after the last; None where there is none."""
    first, kill, delay = latent.first_day, latent.kill_day, latent.ready_after_days
    latest = int(first.max())
    if latest >= NEVER:
        latest = int(first.max(where=first < NEVER, initial=-1))
    if latest < 0 or not latent.total.any() or not (kill > first).any():
        return None
    low = max(start, int(first.min()) + delay, latent.taken_until + 1 + delay)
    high = min(start + days, min(latest + latent.curves.shape[1] - 1, int(kill.max())) + delay)
    return (low - start, high - start) if low < high else None


@dataclass(frozen=True, slots=True)
class _HarvestTable:
    """The harvest of a growing in every season.

    Attributes:
        curves: cumulative harvest, shape (curves, days of harvest + 1).
        curve: row of `curves`, shape (seasons,).
        places: the column of the workspace on which the harvest begins, shape (seasons,).
        stops: the share ready by the killing day, shape (seasons, 1); None where none is killed in its harvest.
        taken: the share taken before, shape (seasons, 1); None where nothing was.
        totals: length class and stems of each season, shape (seasons,).
    """

    curves: npt.NDArray[np.float32]
    curve: npt.NDArray[np.intp]
    places: npt.NDArray[np.intp]
    stops: npt.NDArray[np.float32] | None
    taken: npt.NDArray[np.float32] | None
    totals: tuple[tuple[int | None, npt.NDArray[np.float32]], ...]

    @classmethod
    def of(cls, latent: Latent, start: int, days: int, harvest: int) -> _HarvestTable:
        """The harvest of a growing for a workspace of some days, the first of them a day of the span."""
        curves, curve, last = latent.curves, latent.curve.astype(np.intp), latent.curves.shape[1] - 1
        assert last <= harvest, "a workspace has room for the longest harvest"
        stops = taken = None
        grown = _age_on(latent, latent.kill_day)
        if int(grown.min(where=latent.first_day < NEVER, initial=last)) < last:
            stops = curves[curve, grown][:, None]
        if latent.taken_until >= 0:
            taken = curves[curve, _age_on(latent, latent.taken_until + 1)][:, None]
        margin = harvest + 1
        places = np.minimum(np.maximum(_begins(latent, start), -margin), days).astype(np.intp) + margin
        if last < harvest:
            curves = np.pad(curves, ((0, 0), (0, harvest - last)), mode="edge")
        totals = tuple((length, latent.total * np.float32(share)) for length, share in latent.lengths)
        return cls(curves, curve, places, stops, taken, totals)

    def ready_before(self, part: slice, share: npt.NDArray[np.float32]) -> None:
        """Writes the share of the harvest that is ready before each of its days, shape (seasons, days + 1)."""
        self.curves.take(self.curve[part], axis=0, out=share, mode="clip")
        if self.taken is not None:
            np.maximum(share, self.taken[part], out=share)
        if self.stops is not None:
            np.minimum(share, self.stops[part], out=share)


def _row_of_left(latent: Latent, start: int) -> int | None:
    """The row of the stems counted as left standing, ready on the day of the count whatever the season."""
    row = latent.taken_until + latent.ready_after_days - start
    return row if latent.left and row >= 0 else None
