"""Checks of the site: what `farm.toml` says, and what a change of it may say."""

from __future__ import annotations

import re
import zoneinfo
from collections.abc import Iterator
from dataclasses import fields
from datetime import date

from haulm.farm.costs import CostRules
from haulm.farm.faults import Fault, quoted
from haulm.farm.limits import (
    AMOUNT,
    BUNCHES_OF_A_BUCKET,
    CAREFUL,
    CONFIDENCE,
    COUNT_OF_ONE,
    DAYS,
    LATITUDE,
    MINUTES,
    NOTE_SENTENCE,
    PERCENT,
    TEMPERATURE_C,
    TEXT_SENTENCE,
    TWO_WEEKS,
    WEEKS,
    Limits,
    is_note,
    is_required_text,
    is_text,
)
from haulm.farm.products import KEY
from haulm.farm.site import (
    ClassLevels,
    FrostDates,
    Letterhead,
    MonthDay,
    MonthlyTemperatures,
    PriceRules,
    QuoteRules,
    Site,
)
from haulm.farm.temperature_checks import WARMEST_YEAR_C, fahrenheit_sentence
from haulm.farm.words import USUAL_CLASS_ORDER, Weekday
from haulm.language.words import _, marked

_ZONE = re.compile(r"[A-Za-z][A-Za-z0-9_+-]*(/[A-Za-z0-9_+-]+)*", re.ASCII)
_ONE_LINE = ("phone", "tax_number", "tax_name")
_CURRENCY = re.compile(r"[A-Z]{3}", re.ASCII)

Complaint = tuple[str, str, str]
"""Setting, found, accepted."""
ONE_OR_THE_OTHER = marked("default_confidence, one level for all, or [levels], one for each class; not both")


def site_faults(site: Site) -> tuple[Fault, ...]:
    """What is wrong with the site; the place is `site`, the column a setting such as `frost.last_spring_p50`.

    The order of frost dates is checked around the year, since a last frost may stand in either of two years.
    """
    complaints = (
        *_own(site),
        *_numbers(site),
        *_levels(site),
        *_frost(site.frost),
        *_temperatures(site.temperatures),
        *_prices(site.prices),
        *_quotes(site.quotes),
        *_costs(site.costs),
        *_papers(site.papers),
    )
    return tuple(Fault("site", None, *complaint) for complaint in complaints)


def is_timezone(name: str) -> bool:
    """Whether this machine's zone data knows the name."""
    if _ZONE.fullmatch(name) is None:
        return False
    try:
        zoneinfo.ZoneInfo(name)
    except (zoneinfo.ZoneInfoNotFoundError, ValueError, OSError):
        return False
    return True


def _own(site: Site) -> Iterator[Complaint]:
    if not is_required_text(site.name):
        yield "name", quoted(site.name), _(TEXT_SENTENCE)
    if not is_timezone(site.timezone):
        yield "timezone", quoted(site.timezone), _("a time zone such as Europe/London")
    if _CURRENCY.fullmatch(site.currency) is None:
        yield "currency", quoted(site.currency), _("three capital letters by ISO 4217, such as EUR")
    if not site.cut_days or len(set(site.cut_days)) < len(site.cut_days):
        accepted = _("at least one of {weekdays}, each once").format(weekdays=", ".join(Weekday))
        yield "cut_days", quoted(", ".join(site.cut_days)), accepted
    if not site.digest_days or len(set(site.digest_days)) < len(site.digest_days):
        accepted = _("at least one of {weekdays}, each once").format(weekdays=", ".join(Weekday))
        yield "digest_days", quoted(", ".join(site.digest_days)), accepted
    if not site.work_days or len(set(site.work_days)) < len(site.work_days):
        accepted = _("at least one of {weekdays}, each once").format(weekdays=", ".join(Weekday))
        yield "work_days", quoted(", ".join(site.work_days)), accepted
    if sorted(site.class_order) != sorted(USUAL_CLASS_ORDER):
        accepted = _("all of {classes}, each once, in the farm's order").format(classes=", ".join(USUAL_CLASS_ORDER))
        yield "class_order", quoted(", ".join(site.class_order)), accepted


def _numbers(site: Site) -> Iterator[Complaint]:
    yield from _outside("latitude", site.latitude, LATITUDE)
    yield from _outside("condition_days", site.condition_days, TWO_WEEKS)
    yield from _outside("wedding_days_ahead", site.wedding_days_ahead, TWO_WEEKS)
    yield from _outside("bucket_bunches", site.bucket_bunches, BUNCHES_OF_A_BUCKET)
    yield from _outside("careful_share", site.careful_share, CAREFUL)


def _levels(site: Site) -> Iterator[Complaint]:
    if site.default_confidence is not None:
        yield from _outside("default_confidence", site.default_confidence, CONFIDENCE)
        if site.levels != ClassLevels():
            yield "levels", _("levels by class beside default_confidence"), _(ONE_OR_THE_OTHER)
    for level in fields(ClassLevels):
        yield from _outside(f"levels.{level.name}", getattr(site.levels, level.name), CONFIDENCE)


def _frost(frost: FrostDates | None) -> Iterator[Complaint]:
    if frost is None:
        return
    spring = (frost.last_spring_p10, frost.last_spring_p50, frost.last_spring_p90)
    autumn = (frost.first_autumn_p10, frost.first_autumn_p50, frost.first_autumn_p90)
    for name, days in (("last_spring", spring), ("first_autumn", autumn)):
        first, middle, last = (_day_of_year(day) for day in days)
        if not 0 < (middle - first) % 366 < (last - first) % 366 < 183:
            found = ", ".join(map(str, days))
            yield f"frost.{name}_p50", found, _("p10, p50 and p90 in the order of the season, within half a year")


def _day_of_year(day: MonthDay) -> int:
    return date(2000, day.month, day.day).timetuple().tm_yday


def _temperatures(months: MonthlyTemperatures | None) -> Iterator[Complaint]:
    if months is None:
        return
    for name, values in (("min_c", months.min_c), ("max_c", months.max_c)):
        if len(values) != 12:
            yield (
                f"temperatures.{name}",
                _("{values} numbers").format(values=len(values)),
                _("12 numbers, January first"),
            )
        for value in values:
            yield from _outside(f"temperatures.{name}", value, TEMPERATURE_C)
    for month, (low, high) in enumerate(zip(months.min_c, months.max_c, strict=False), start=1):
        if low > high:
            yield (
                "temperatures.min_c",
                _("{low} above max_c {high} in month {month}").format(low=f"{low:g}", high=f"{high:g}", month=month),
                _("min_c at most max_c"),
            )
    mean = sum((*months.min_c, *months.max_c)) / max(1, len(months.min_c) + len(months.max_c))
    if mean > WARMEST_YEAR_C:
        yield (
            "temperatures.min_c",
            _("a mean of {mean} over the year").format(mean=f"{mean:.1f}"),
            fahrenheit_sentence(mean),
        )


def _prices(prices: PriceRules) -> Iterator[Complaint]:
    for name in ("stem_minor", "labour_minor_per_hour", "delivery_minor", "seed_minor_per_place"):
        yield from _outside(f"prices.{name}", getattr(prices, name), AMOUNT)
    yield from _outside("prices.tax_percent", prices.tax_percent, PERCENT)


def _quotes(quotes: QuoteRules) -> Iterator[Complaint]:
    yield from _outside("quotes.spare_percent", quotes.spare_percent, PERCENT)
    yield from _outside("quotes.own_arranging_spare_percent", quotes.own_arranging_spare_percent, PERCENT)
    yield from _outside("quotes.valid_days", quotes.valid_days, DAYS)
    yield from _outside("quotes.final_numbers_days", quotes.final_numbers_days, DAYS)
    if not quotes.substitution_clause or not is_note(quotes.substitution_clause):
        yield "quotes.substitution_clause", quoted(quotes.substitution_clause), _(NOTE_SENTENCE)
    for piece, minutes in quotes.minutes.items():
        if not is_required_text(piece):
            yield "quotes.minutes", quoted(piece), _(TEXT_SENTENCE)
        yield from _outside("quotes.minutes", minutes, MINUTES)


def _costs(costs: CostRules) -> Iterator[Complaint]:
    limits = {"plug_tray": COUNT_OF_ONE, "plug_least": COUNT_OF_ONE, "tuber_bag": COUNT_OF_ONE}
    limits |= {"plug_weeks": WEEKS, "seed_days": DAYS}
    for name in (item.name for item in fields(CostRules) if item.name != "plug_kinds"):
        value = getattr(costs, name)
        if value is not None:
            yield from _outside(f"costs.{name}", value, limits.get(name, AMOUNT))
    kinds = costs.plug_kinds
    if len(set(kinds)) < len(kinds) or not all(KEY.fullmatch(key) for key in kinds):
        yield "costs.plug_kinds", quoted(", ".join(kinds)), _("keys of varieties, each once")


def _papers(papers: Letterhead) -> Iterator[Complaint]:
    for item in fields(Letterhead):
        text, is_line = getattr(papers, item.name), item.name in _ONE_LINE
        if not (is_text(text) if is_line else is_note(text)):
            yield f"papers.{item.name}", quoted(text), _(TEXT_SENTENCE) if is_line else NOTE_SENTENCE


def _outside(name: str, value: float, limits: Limits) -> Iterator[Complaint]:
    if not limits.hold(value):
        yield name, f"{value:g}", _("a number {range}").format(range=limits.sentence)
