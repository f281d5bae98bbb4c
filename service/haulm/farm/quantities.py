"""Amounts as people read them."""

from __future__ import annotations

import math

from haulm.language.words import _, marked, one_or_more

HAIR = 1e-9
"""What added shares and divided lengths may be off: 0.3 as 0.29999999999999999 is 30 %."""

_NUMBERS = (
    *(marked("no"), marked("one"), marked("two"), marked("three"), marked("four"), marked("five"), marked("six")),
    *(marked("seven"), marked("eight"), marked("nine"), marked("ten")),
)


def percent(share: float) -> str:
    """A share of 1 in whole percent, rounded down so that nothing looks surer than it is: `46 %`."""
    assert -HAIR <= share <= 1 + HAIR, "a share of something is 0 to 1"
    # 0 % would say that it can't be.
    if 0 < share < 0.01 - HAIR:
        return "<1 %"
    return f"{whole_down(share * 100)} %"


def seasons_of_ten(share: float) -> str:
    """A share of seasons as people count them, rounded down: `seven seasons of ten`."""
    if 0 < share < 0.1 - HAIR:
        return _("less than one season of ten")
    whole = min(10, whole_down(share * 10))
    if not whole:
        return _("no season of ten")
    return one_or_more("{count} season of ten", "{count} seasons of ten", whole).format(count=up_to_ten(whole))


def up_to_ten(count: int) -> str:
    """A number from 0 to 10 as it is spoken: `no`, `one`, `ten`."""
    assert 0 <= count < len(_NUMBERS), "only numbers up to ten are spoken"
    return _(_NUMBERS[count])


def reaches(share: float, level: float) -> bool:
    """Whether a share has reached a level, forgiving the rounding of added weights."""
    return share >= level - HAIR


def whole_up(amount: float) -> int:
    """An amount in whole ones, rounded up, where it is more than a hair above the last."""
    return math.ceil(amount - HAIR)


def whole_down(amount: float) -> int:
    """An amount in whole ones, rounded down, where it is more than a hair below the next."""
    return math.floor(amount + HAIR)


def half_of(count: int) -> int:
    """Half a number, rounded up."""
    return (count + 1) // 2


def whole_percent(share: float) -> float:
    """A share of 1 without what `percent` does not say of it: 0.464 as 0.46."""
    return whole_down(share * 100) / 100


def percents(before: float, after: float) -> tuple[str, str]:
    """Both sides of a `from ... to ...`: whole percent, or with one decimal where those would hide what differs."""
    whole = (percent(before), percent(after))
    if whole[0] != whole[1] or abs(before - after) <= HAIR:
        return whole
    return (_tenths(before), _tenths(after))


def _tenths(share: float) -> str:
    """A share of 1 in tenths of a percent, rounded down: `46.2 %`."""
    if 0 < share < 0.001 - HAIR:
        return "<0.1 %"
    return f"{whole_down(share * 1000) / 10:.1f} %"
