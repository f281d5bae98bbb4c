"""Frost dates against published levels."""

from __future__ import annotations

from datetime import date

import pytest

from haulm.horticulture.frost import SplitNormal
from haulm.horticulture.sowing_windows import last_useful_sowing

DELAWARE_32F = {0.10: (5, 10), 0.33: (4, 30), 0.50: (4, 25), 0.67: (4, 20), 0.90: (4, 10)}
DELAWARE_24F = {0.10: (4, 9), 0.33: (4, 1), 0.50: (3, 27), 0.67: (3, 22), 0.90: (3, 14)}


@pytest.mark.parametrize("printed", [DELAWARE_32F, DELAWARE_24F])
def test_three_levels_of_a_spring_frost_give_the_levels_between(printed: dict[float, tuple[int, int]]) -> None:
    """Checked against University of Delaware extension: chance of frost after the date; within a day."""
    day = {chance: date(2027, *at).timetuple().tm_yday for chance, at in printed.items()}
    levels = SplitNormal(day[0.90], day[0.50], day[0.10])
    for chance, expected in day.items():
        assert levels.quantile(1 - chance) == pytest.approx(expected, abs=1)


@pytest.mark.parametrize(
    ("frost", "expected"), [(date(2027, 10, 5), date(2027, 6, 29)), (date(2027, 10, 1), date(2027, 6, 25))]
)
def test_a_last_sowing_is_first_frost_less_the_weeks(frost: date, expected: date) -> None:
    """Checked against the calendar: fourteen weeks before the first frost (common practice)."""
    assert last_useful_sowing(frost, weeks_to_flower=14, cutting_days=0) == expected
