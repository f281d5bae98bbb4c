"""Harvest curves: the table of habits, and cumulative curves ready for look-up."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from haulm.farm.words import Habit
from haulm.horticulture.habits import cut_and_come_again, flush, single_cut

CURVES = 6


@dataclass(frozen=True, slots=True)
class HarvestHabit:
    """A habit's daily shares and the shortest, usual and longest harvest [d]."""

    daily_shares: Callable[[int], npt.NDArray[np.float64]]
    shortest_days: int
    usual_days: int
    longest_days: int


HABITS: dict[Habit, HarvestHabit] = {
    Habit.SINGLE_CUT: HarvestHabit(single_cut.daily_shares, single_cut.SHORTEST, single_cut.USUAL, single_cut.LONGEST),
    Habit.FLUSH: HarvestHabit(flush.daily_shares, flush.SHORTEST, flush.USUAL, flush.LONGEST),
    Habit.CUT_AND_COME_AGAIN: HarvestHabit(
        cut_and_come_again.daily_shares,
        cut_and_come_again.SHORTEST,
        cut_and_come_again.USUAL,
        cut_and_come_again.LONGEST,
    ),
}
assert set(HABITS) == set(Habit), "every habit has a harvest curve"


def harvest_lengths(habit: Habit, harvest_weeks: float) -> tuple[int, ...]:
    """The equally likely lengths of a harvest, shortest first.

    Args:
        habit: the harvest habit, which sets the spread.
        harvest_weeks: the usual length of the harvest [weeks].

    Returns:
        `CURVES` lengths [d], each at least 1.

    Source: the spread of each habit is from memory.
    """
    spread = HABITS[habit]
    lengths = np.linspace(spread.shortest_days, spread.longest_days, CURVES) / spread.usual_days
    return tuple(max(1, round(float(length))) for length in lengths * harvest_weeks * 7)


def cumulative_curves(habit: Habit, harvest_weeks: float) -> npt.NDArray[np.float64]:
    """Cumulative harvest, one row for each length of `harvest_lengths`.

    Args:
        habit: the harvest habit.
        harvest_weeks: the usual length of the harvest [weeks].

    Returns:
        Share of all stems ready in the first k days, shape (CURVES, longest + 1); column 0 is 0, and a row is
        exactly 1 from its own length on.

    Source: the sum of the habit's daily shares.
    """
    lengths = harvest_lengths(habit, harvest_weeks)
    curves = np.ones((CURVES, max(lengths) + 1))
    for row, days in enumerate(lengths):
        shares = HABITS[habit].daily_shares(days)
        assert shares.shape == (days,), "a share for each day of the harvest"
        assert shares.min() >= 0, "no day takes stems back"
        assert abs(float(shares.sum()) - 1) < 1e-9, "the days of a harvest share out all of its stems"
        curves[row, 0] = 0
        # The last day keeps the 1 it was made with: a running sum would miss it by rounding, and with it a whole stem.
        curves[row, 1:days] = np.minimum(1, np.cumsum(shares)[: days - 1])
    return curves
