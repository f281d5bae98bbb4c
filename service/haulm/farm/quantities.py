"""Amounts as people read them."""

from __future__ import annotations

import math

_NEARLY = 1e-9
"""Weights of seasons add up only as far as floating point goes: 0.3 as 0.29999999999999999 is 30 %."""

_NUMBERS = ("no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten")


def percent(share: float) -> str:
    """A share of 1 in whole percent, rounded down so that nothing looks surer than it is: `46 %`."""
    assert -_NEARLY <= share <= 1 + _NEARLY, "a share of something is 0 to 1"
    # 0 % would say that it can't be.
    if 0 < share < 0.01 - _NEARLY:
        return "<1 %"
    return f"{math.floor(share * 100 + _NEARLY)} %"


def seasons_of_ten(share: float) -> str:
    """A share of seasons as people count them, rounded down: `seven seasons of ten`."""
    if 0 < share < 0.1 - _NEARLY:
        return "less than one season of ten"
    whole = min(10, math.floor(share * 10 + _NEARLY))
    return f"{up_to_ten(whole)} season{'s' if whole > 1 else ''} of ten"


def up_to_ten(count: int) -> str:
    """A number from 0 to 10 as it is spoken: `no`, `one`, `ten`."""
    assert 0 <= count < len(_NUMBERS), "only numbers up to ten are spoken"
    return _NUMBERS[count]


def whole_percent(share: float) -> float:
    """A share of 1 without what `percent` does not say of it: 0.464 as 0.46."""
    return math.floor(share * 100 + _NEARLY) / 100


def percents(before: float, after: float) -> tuple[str, str]:
    """Both sides of a `from ... to ...`: whole percent, or with one decimal where those would hide what differs."""
    whole = (percent(before), percent(after))
    if whole[0] != whole[1] or abs(before - after) <= _NEARLY:
        return whole
    return (_tenths(before), _tenths(after))


def _tenths(share: float) -> str:
    """A share of 1 in tenths of a percent, rounded down: `46.2 %`."""
    if 0 < share < 0.001 - _NEARLY:
        return "<0.1 %"
    return f"{math.floor(share * 1000 + _NEARLY) / 10:.1f} %"
