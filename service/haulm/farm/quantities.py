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
