"""Sowing windows: on which days a method of sowing makes sense, by calendar, frost and daylight alone."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np

from haulm.farm.words import LifeCycle, Method
from haulm.horticulture.daylight import EARLIEST_SLOWING_HOURS, daylight_hours

MonthDay = tuple[int, int]

HARDY_BEFORE_LAST_FROST_DAYS = 14
HEAT_BEFORE_LIGHT_DAYS = 21
CUTTING_DAYS_WANTED = 14
AUTUMN_BEFORE_FROST_DAYS = 56
AUTUMN_AFTER_FROST_DAYS = 21

_HARDY = (LifeCycle.HARDY_ANNUAL, LifeCycle.BIENNIAL, LifeCycle.PERENNIAL)
# Any year of 365 days: only the month and day of what is counted in it are used.
_COMMON_YEAR = 2027


@dataclass(frozen=True, slots=True)
class SowingRules:
    """What the farm says of its seasons for one kind of hardiness; None where a default stands.

    Attributes:
        direct_from, direct_until: sowing or planting in the open, month and day, inclusive.
        glass_until: last sowing under glass or cover.
        last_frost_p50, last_frost_p90: last spring frost, even odds and late (one year in ten is later).
        first_frost_p50: first autumn frost, even odds.
    """

    direct_from: MonthDay | None = None
    direct_until: MonthDay | None = None
    glass_until: MonthDay | None = None
    last_frost_p50: MonthDay | None = None
    last_frost_p90: MonthDay | None = None
    first_frost_p50: MonthDay | None = None


def sowable(method: Method, day: date, *, life_cycle: LifeCycle, latitude_deg: float, rules: SowingRules) -> bool:
    """Whether a method of sowing or planting is in season on a day.

    Hardy annuals have a second season in autumn, whatever the farm says of its last sowings: they flower next year.

    Args:
        method: how the batch is started; an established batch is never sown.
        day: the sow or planting date.
        life_cycle: hardy kinds may be sown in the open before the last frost, tubers planted from that of the middle
            year on, others wait for a late one.
        latitude_deg: latitude, north positive [deg]; cover waits for ten hours of light, heat for three weeks less.
        rules: the farm's seasons.

    Returns:
        True where the method is in season. A limit that neither the farm nor its frost dates give does not bind.

    Source: common practice.
    """
    if method is Method.ESTABLISHED:
        return False
    is_second = life_cycle is LifeCycle.HARDY_ANNUAL and in_autumn(day, rules)
    year_start, year_end = ((1, 1), (12, 31)) if latitude_deg >= 0 else ((7, 1), (6, 30))
    if method in (Method.HEATED, Method.COVER):
        lead = HEAT_BEFORE_LIGHT_DAYS if method is Method.HEATED else 0
        light = daylight_hours(np.array([day + timedelta(days=lead)], "datetime64[D]"), latitude_deg=latitude_deg)
        in_light = bool(light[0] >= EARLIEST_SLOWING_HOURS)
        last = rules.glass_until or rules.first_frost_p50 or year_end
        return in_light and (is_second or _within(day, year_start, last))
    first = _open_from(method, life_cycle, rules) or year_start
    return is_second or _within(day, first, rules.direct_until or rules.first_frost_p50 or year_end)


def last_useful_sowing(first_frost: date, *, weeks_to_flower: float, cutting_days: int = CUTTING_DAYS_WANTED) -> date:
    """The last sow date that still gives the cutting days wanted before frost, by the plain rule.

    Args:
        first_frost: the first killing frost.
        weeks_to_flower: weeks from sowing to flower [weeks].
        cutting_days: cutting days wanted [d].

    Returns:
        A date.

    Source: common practice: first frost less weeks to flower less cutting days.
    """
    return first_frost - timedelta(days=round(weeks_to_flower * 7) + cutting_days)


def _open_from(method: Method, life_cycle: LifeCycle, rules: SowingRules) -> MonthDay | None:
    if rules.direct_from is not None:
        return rules.direct_from
    if method is Method.TUBER:
        return rules.last_frost_p50  # it takes weeks to come up: the middle year's frost is over by then
    if life_cycle not in _HARDY:
        return rules.last_frost_p90
    if rules.last_frost_p50 is None:
        return None
    earlier = date(_COMMON_YEAR, *rules.last_frost_p50) - timedelta(days=HARDY_BEFORE_LAST_FROST_DAYS)
    return (earlier.month, earlier.day)


def in_autumn(day: date, rules: SowingRules) -> bool:
    """Whether hardy annuals sown on a day winter as rosettes: eight weeks before the first frost to three after it.

    Args:
        day: the day they are sown.
        rules: the farm's seasons for them.

    Returns:
        True where they do; False where the farm does not say when its first frost is.

    Source: common practice: late August to October in England, four to eight weeks before the first frost inland.
    """
    if rules.first_frost_p50 is None:
        return False
    frost = date(_COMMON_YEAR, *rules.first_frost_p50)
    ends = (frost - timedelta(days=AUTUMN_BEFORE_FROST_DAYS), frost + timedelta(days=AUTUMN_AFTER_FROST_DAYS))
    first, last = ((end.month, end.day) for end in ends)
    return _within(day, first, last)


def _within(day: date, first: MonthDay, last: MonthDay) -> bool:
    """Whether a day lies in a part of the year, ends included, that may pass New Year."""
    here = (day.month, day.day)
    return first <= here <= last if first <= last else here >= first or here <= last
