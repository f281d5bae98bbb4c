"""Days as people read them: the names of months and weekdays in the language that is spoken now."""

from __future__ import annotations

from datetime import date
from typing import Final

from haulm.language.words import _, marked

_MONTHS: Final = (
    *(marked("January"), marked("February"), marked("March"), marked("April"), marked("May"), marked("June")),
    *(marked("July"), marked("August"), marked("September"), marked("October"), marked("November"), marked("December")),
)
_SHORT_MONTHS: Final = (
    *(marked("Jan"), marked("Feb"), marked("Mar"), marked("Apr"), marked("May"), marked("Jun")),
    *(marked("Jul"), marked("Aug"), marked("Sep"), marked("Oct"), marked("Nov"), marked("Dec")),
)
_WEEKDAYS: Final = (
    *(marked("Monday"), marked("Tuesday"), marked("Wednesday"), marked("Thursday"), marked("Friday")),
    *(marked("Saturday"), marked("Sunday")),
)
_SHORT_WEEKDAYS: Final = (
    *(marked("Mon"), marked("Tue"), marked("Wed"), marked("Thu"), marked("Fri"), marked("Sat"), marked("Sun")),
)


def month_name(day: date) -> str:
    """The month of a day: `August`."""
    return _(_MONTHS[day.month - 1])


def short_month(day: date) -> str:
    """The month of a day in three letters: `Aug`."""
    return _(_SHORT_MONTHS[day.month - 1])


def weekday_name(day: date) -> str:
    """The weekday of a day: `Saturday`."""
    return _(_WEEKDAYS[day.weekday()])


def short_weekday(day: date) -> str:
    """The weekday of a day in three letters: `Sat`."""
    return _(_SHORT_WEEKDAYS[day.weekday()])


def full_day(day: date) -> str:
    """A day with its weekday and year: `Sat 14 Aug 2027`."""
    return _("{weekday} {day} {month} {year}").format(
        weekday=short_weekday(day), day=day.day, month=short_month(day), year=day.year
    )


def near_day(day: date) -> str:
    """A day of a year that is plain, with its weekday: `Sat 14 Aug`."""
    return _("{weekday} {day} {month}").format(weekday=short_weekday(day), day=day.day, month=short_month(day))


def long_day(day: date) -> str:
    """A day that heads a page: `Monday 12 July 2027`."""
    return _("{weekday} {day} {month} {year}").format(
        weekday=weekday_name(day), day=day.day, month=month_name(day), year=day.year
    )


def short_day(day: date) -> str:
    """A day of a year that is plain: `14 Aug`."""
    return _("{day} {month}").format(day=day.day, month=short_month(day))


def day_of_month(day: date) -> str:
    """A day of a year that is plain, its month in full: `14 August`."""
    return _("{day} {month}").format(day=day.day, month=month_name(day))


def day_of_year(day: date) -> str:
    """A day with its year, its month in full: `14 August 2027`."""
    return _("{day} {month} {year}").format(day=day.day, month=month_name(day), year=day.year)
