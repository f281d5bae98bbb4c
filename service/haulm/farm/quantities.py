"""Amounts as people read them."""

from __future__ import annotations

import math

_NEARLY = 1e-9
"""Weights of seasons add up only as far as floating point goes: 0.3 as 0.29999999999999999 is 30 %."""


def percent(share: float) -> str:
    """A share of 1 in whole percent, rounded down so that nothing looks surer than it is: `46 %`."""
    if 0 < share < 0.01 - _NEARLY:
        return "<1 %"
    return f"{math.floor(share * 100 + _NEARLY)} %"


def percents(one: float, other: float) -> tuple[str, str]:
    """Two shares side by side, rounded down: whole percent, with a decimal where they would look alike and are not."""
    whole = percent(one), percent(other)
    if whole[0] != whole[1] or abs(one - other) < _NEARLY:
        return whole
    return _with_decimal(one), _with_decimal(other)


def _with_decimal(share: float) -> str:
    return f"{math.floor(share * 1000 + _NEARLY) / 10:.1f} %"
