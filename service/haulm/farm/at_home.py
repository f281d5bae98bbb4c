"""What is at home or ordered: the seed, plugs or tubers of a variety, for one season."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable
from dataclasses import dataclass

from haulm.farm.words import InHand, Method, Needed

_LAST_MONTH_DAY = (10, 31)
_LAST_MONTH_DAY_SOUTH = (4, 30)
_NEEDED = {
    Method.HEATED: Needed.SEED,
    Method.COVER: Needed.SEED,
    Method.DIRECT: Needed.SEED,
    Method.PLUGS: Needed.PLUGS,
    Method.TUBER: Needed.TUBERS,
}
assert set(_NEEDED) == set(Method) - {Method.ESTABLISHED}, "only what stands already is begun from nothing"


@dataclass(frozen=True, slots=True)
class AtHome:
    """That what a variety is begun from is there, or on its way.

    Attributes:
        variety: key of the variety.
        what: seed (for each way of sowing it), plugs or tubers.
        state: at home, or ordered.
        date: the day it was ticked.
    """

    variety: str
    what: Needed
    state: InHand
    date: dt.date


def needed(method: Method) -> Needed | None:
    """What a way of growing is begun from; None where nothing is bought for it."""
    return _NEEDED.get(method)


def holds_until(day: dt.date, latitude_deg: float) -> dt.date:
    """The last day on which a tick of a day still holds: the end of the season's sowing, its autumn's included.

    Args:
        day: the day it was ticked.
        latitude_deg: the farm's, negative in the south [deg].

    Source: hardy annuals are sown until October, seed for the next spring is ordered from November on; half a year
    later in the south (common practice).
    """
    month, last = _LAST_MONTH_DAY if latitude_deg >= 0 else _LAST_MONTH_DAY_SOUTH
    end = dt.date(day.year, month, last)
    return end if day <= end else end.replace(year=day.year + 1)


def in_hand(rows: Iterable[AtHome], variety: str, what: Needed | None, on: tuple[dt.date, float]) -> AtHome | None:
    """The tick that holds for what a variety is begun from; None where there is none.

    Args:
        rows: the farm's ticks.
        variety: key of the variety.
        what: seed, plugs or tubers; None: nothing is bought.
        on: the day it is looked at, and the farm's latitude [deg].
    """
    day, latitude_deg = on
    found = next((row for row in rows if row.variety == variety and row.what is what), None)
    return found if found is not None and found.date <= day <= holds_until(found.date, latitude_deg) else None
