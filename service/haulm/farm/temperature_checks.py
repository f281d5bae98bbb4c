"""Checks of daily temperatures as a whole: columns swapped, degrees Fahrenheit, gaps, too few years.

Rows alone are the business of `row_checks`, their order that of `cross_checks`.
"""

from __future__ import annotations

import itertools
from collections import Counter
from collections.abc import Sequence
from datetime import date, timedelta

from haulm.farm.records import DayTemperature
from haulm.farm.snapshot import Farm
from haulm.farm.weeks import growing_year
from haulm.language.words import _, many

LEAST_REAL_YEARS = 8
LEAST_YEARS_FOR_MEANS = 3
LEAST_DAYS_OF_FULL_YEAR = 355
LONGEST_BRIDGED_DAYS = 10
WARMEST_YEAR_C = 35.0
"""No place on Earth has a yearly mean above about 35 deg C (Dallol, Ethiopia: 34.6, from memory)."""

_WARMEST_MONTH_C = 45.0
_DAYS_OF_MOST_OF_A_YEAR = 300
_DAYS_OF_A_MONTH = 28
_SWAPPED_SHARE = 0.5
_MOST_GAPS_NAMED = 3


def whole_complaint(days: Sequence[DayTemperature]) -> tuple[str, str, str] | None:
    """What is wrong with the file as a whole, said once instead of row by row.

    Args:
        days: the rows, in order.

    Returns:
        Column, found and accepted; None where nothing points to the whole.

    Source: columns are taken to be swapped where min_c is above max_c on most days; degrees to be Fahrenheit where the
    mean is above what any place on Earth has.
    """
    if len(days) < _DAYS_OF_A_MONTH:
        return None
    swapped = sum(day.min_c > day.max_c for day in days)
    if swapped > _SWAPPED_SHARE * len(days):
        found = _("min_c above max_c on {swapped} of {days} days").format(swapped=swapped, days=len(days))
        return "min_c", found, _("the lowest temperature of a day in min_c and the highest in max_c: are they swapped?")
    mean = sum(day.min_c + day.max_c for day in days) / (2 * len(days))
    limit = WARMEST_YEAR_C if len(days) >= _DAYS_OF_MOST_OF_A_YEAR else _WARMEST_MONTH_C
    if mean > limit:
        return (
            "min_c",
            _("a mean of {mean} over {days} days").format(mean=f"{mean:.1f}", days=len(days)),
            fahrenheit_sentence(mean),
        )
    return None


def fahrenheit_sentence(mean: float) -> str:
    """What is accepted instead of a mean that no place on Earth has in degrees Celsius."""
    return _("degrees Celsius: these look like Fahrenheit, and {fahrenheit} F are {celsius} C").format(
        fahrenheit=f"{mean:.1f}", celsius=f"{(mean - 32) / 1.8:.1f}"
    )


def temperature_warnings(farm: Farm) -> tuple[str, ...]:
    """What is accepted in daily temperatures but will make the forecast rougher, in sentences.

    Args:
        farm: a farm without faults; its growing year begins in July where it lies in the south.
    """
    days = [day.date for day in farm.temperatures]
    if not days:
        return ()
    counts = Counter(growing_year(day, farm.site.latitude) for day in days)
    full = sorted(year for year, count in counts.items() if count >= LEAST_DAYS_OF_FULL_YEAR)
    return (*_gap_sentences(days), *_year_sentences(full, has_means=farm.site.temperatures is not None))


def _gap_sentences(days: Sequence[date]) -> list[str]:
    gaps = [
        (before, after)
        for before, after in itertools.pairwise(days)
        if (after - before).days - 1 > LONGEST_BRIDGED_DAYS
    ]
    day = timedelta(days=1)
    found = [
        _(
            "temperatures.csv has no row from {first} to {last}, {days} days: a year with so long a gap may not count."
        ).format(first=before + day, last=after - day, days=(after - before).days - 1)
        for before, after in gaps[:_MOST_GAPS_NAMED]
    ]
    if len(gaps) > _MOST_GAPS_NAMED:
        found.append(
            _("temperatures.csv has {count} more gaps of over {longest} days.").format(
                count=len(gaps) - _MOST_GAPS_NAMED, longest=LONGEST_BRIDGED_DAYS
            )
        )
    return found


def _year_sentences(full: Sequence[int], *, has_means: bool) -> list[str]:
    if len(full) >= LEAST_REAL_YEARS:
        return []
    years = many("{count} full year", "{count} full years", len(full))
    if len(full) >= LEAST_YEARS_FOR_MEANS:
        used = _("their monthly means are used, with the spread usual elsewhere")
    elif has_means:
        used = _("the monthly means of farm.toml are used instead")
    else:
        used = _("one year says little of another, and its monthly means are used for want of better")
    return [
        _("temperatures.csv holds {years}; below {least} {used}.").format(
            years=years, least=LEAST_REAL_YEARS, used=used
        )
    ]
