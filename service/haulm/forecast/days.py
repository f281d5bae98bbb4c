"""Days: the stems of latent records laid out by ready day and season, in whole numbers.

Whole numbers come from rounding down each batch's cumulative harvest, each length class by itself, so one more batch
never takes a stem away. Some seasons are laid out at a time, so few that their arrays stay in the processor's cache;
within them a season is a row, since its part of a harvest curve then is one stretch to copy.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
from numpy.lib.stride_tricks import as_strided

from haulm.forecast.latent import Latent
from haulm.horticulture.frost import NEVER

_SEASONS_AT_A_TIME = 250

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

    Source: `busy_by_length`, with noughts on the other days.
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
    growing = [(latent, stretch) for latent in found if (stretch := _stretch(latent, start, days)) is not None]
    counted = [(row, latent) for latent in found if (row := _row_of_left(latent, start)) is not None and row < days]
    low = min((*(stretch[0] for _, stretch in growing), *(row for row, _ in counted)), default=0)
    high = max((*(stretch[1] for _, stretch in growing), *(row + 1 for row, _ in counted)), default=0)
    lengths = dict.fromkeys(length for latent in found for length, _ in latent.lengths)
    pools = {length: np.empty((high - low, seasons), np.int32) for length in lengths}
    sheets = [_Sheet.of(latent, start + low, high - low) for latent, _ in growing]
    desk = _Desk.of(min(_SEASONS_AT_A_TIME, seasons), high - low, lengths)
    for first in range(0, seasons, _SEASONS_AT_A_TIME):
        part = slice(first, min(first + _SEASONS_AT_A_TIME, seasons))
        for length, stems in desk.laid_out(sheets, part).items():
            pools[length][:, part] = stems.T
    for row, latent in counted:
        for length, share in latent.lengths:
            pools[length][row - low] += int(latent.left * share)
    return {length: BusyDays(low, pool) for length, pool in pools.items()}


@dataclass(frozen=True, slots=True)
class _Desk:
    """Where some seasons are laid out, over and over: fresh memory would cost more than the sums.

    Attributes:
        share, whole: the running stems of one growing, and the same rounded down, shape (seasons, days + 1).
        running: by length class the running stems of all growings.
        ready: by length class their stems by day, shape (seasons, days).
    """

    share: npt.NDArray[np.float32]
    whole: npt.NDArray[np.int32]
    running: StemsByLength
    ready: StemsByLength

    @classmethod
    def of(cls, seasons: int, days: int, lengths: Iterable[int | None]) -> _Desk:
        """A desk for some seasons and days."""
        wide = (seasons, days + 1)
        running = {length: np.empty(wide, np.int32) for length in lengths}
        ready = {length: np.empty((seasons, days), np.int32) for length in running}
        return cls(np.empty(wide, np.float32), np.empty(wide, np.int32), running, ready)

    def laid_out(self, sheets: Sequence[_Sheet], part: slice) -> StemsByLength:
        """The stems of all growings in some seasons, shape (seasons, days); they stand until the next call."""
        count = part.stop - part.start
        share, whole = self.share[:count], self.whole[:count]
        for running in self.running.values():
            running[:count] = 0
        for sheet in sheets:
            shares = sheet.ready_before(part)
            for length, total in sheet.totals:
                np.multiply(shares, total[part, None], out=share)
                whole[...] = share
                running = self.running[length][:count]
                running += whole
        for length, running in self.running.items():
            np.subtract(running[:count, 1:], running[:count, :-1], out=self.ready[length][:count])
        return {length: ready[:count] for length, ready in self.ready.items()}


def _stretch(latent: Latent, start: int, days: int) -> tuple[int, int] | None:
    """The first row on which some season may have stems, and the row after the last; None where there is none."""
    first, kill, delay = latent.first_day, latent.kill_day, latent.ready_after_days
    live = (latent.total > 0) & (first < NEVER) & (kill > first)
    if not live.any():
        return None
    longest = latent.curves.shape[1] - 1
    earliest = int(np.where(live, first, NEVER).min())
    latest = int(np.where(live, first, 0).max()) + longest
    ends = int(np.where(live, kill, 0).max())
    low = max(start, earliest + delay, latent.taken_until + 1 + delay)
    high = min(start + days, min(latest, ends) + delay)
    return (low - start, high - start) if low < high else None


@dataclass(frozen=True, slots=True)
class _Sheet:
    """The cumulative harvest of a growing in every season, laid so that a season's days are one stretch of it.

    Attributes:
        stretches: every stretch of days + 1 days of the curves, each curve with noughts before and ones after.
        places: the stretch of each season, shape (seasons,).
        stops: the share ready by its killing day, shape (seasons, 1); None where none is killed in the stretch.
        taken: what is ready before this row was taken.
        totals: length class and stems of each season, shape (seasons,).
    """

    stretches: npt.NDArray[np.float32]
    places: npt.NDArray[np.intp]
    stops: npt.NDArray[np.float32] | None
    taken: int
    totals: tuple[tuple[int | None, npt.NDArray[np.float32]], ...]

    @classmethod
    def of(cls, latent: Latent, start: int, days: int) -> _Sheet:
        """The sheet of a growing on some days, from a day of the span on."""
        pad = days + 1
        rows, width = latent.curves.shape
        table = np.zeros((rows, width + 2 * pad), dtype=np.float32)
        table[:, pad : pad + width] = latent.curves
        table[:, pad + width :] = 1
        shares = table.ravel()
        step = shares.itemsize
        stretches = as_strided(shares, (len(shares) - days, days + 1), (step, step), writeable=False)
        low = start - latent.ready_after_days
        begins = latent.curve.astype(np.intp) * table.shape[1] + pad
        places = begins + np.minimum(np.maximum(low - latent.first_day.astype(np.intp), -pad), width)
        stops = None
        if int(latent.kill_day.min()) < low + days:
            grown = np.minimum(np.maximum(latent.kill_day - latent.first_day, 0), width)
            stops = shares[begins + grown][:, None]
        totals = tuple((length, latent.total * np.float32(share)) for length, share in latent.lengths)
        return cls(stretches, places, stops, latent.taken_until + 1 - low, totals)

    def ready_before(self, part: slice) -> npt.NDArray[np.float32]:
        """The share of the harvest ready before each row and the one after, shape (seasons, days + 1)."""
        ready = self.stretches[self.places[part]]
        if self.stops is not None:
            np.minimum(ready, self.stops[part], out=ready)
        if self.taken > 0:
            np.maximum(ready, ready[:, self.taken, None], out=ready)
        return ready


def _row_of_left(latent: Latent, start: int) -> int | None:
    """The row of the stems counted as left standing, ready on the day of the count whatever the season."""
    row = latent.taken_until + latent.ready_after_days - start
    return row if latent.left and row >= 0 else None
