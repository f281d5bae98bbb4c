"""ISO weeks, cut days and due dates: the only calendar arithmetic in the house."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta

from haulm.errors import NotAccepted
from haulm.farm.words import Weekday
from haulm.language.days import full_day, near_day
from haulm.language.words import _

_WEEK = re.compile(r"(\d{4})-W(\d{2})", re.ASCII)


@dataclass(frozen=True, slots=True, order=True)
class Week:
    """An ISO 8601 week; `str()` gives `2027-W20`."""

    year: int
    number: int

    def __str__(self) -> str:
        return f"{self.year:04d}-W{self.number:02d}"

    @classmethod
    def of(cls, day: date) -> Week:
        """The week that holds a day."""
        iso = day.isocalendar()
        return cls(iso.year, iso.week)

    @classmethod
    def parse(cls, text: str, *, where: str = "week") -> Week:
        """A week from text such as `2027-W20`.

        Raises:
            NotAccepted: the text is not an ISO week, or the year has no such week.
        """
        match = _WEEK.fullmatch(text)
        if match is None:
            raise NotAccepted(where=where, found=f"'{text}'", accepted=_("an ISO week such as 2027-W20"))
        year, number = int(match[1]), int(match[2])
        if not 1900 <= year <= 2999:
            raise NotAccepted(where=where, found=f"'{text}'", accepted=_("a year from 1900 to 2999"))
        last = weeks_in_year(year)
        if not 1 <= number <= last:
            raise NotAccepted(
                where=where,
                found=f"'{text}'",
                accepted=_("a week from {year}-W01 to {year}-W{last}").format(year=year, last=last),
            )
        return cls(year, number)

    def day(self, weekday: Weekday) -> date:
        """The date of a weekday in this week."""
        return date.fromisocalendar(self.year, self.number, weekday.iso)

    @property
    def monday(self) -> date:
        """The first day of the week."""
        return date.fromisocalendar(self.year, self.number, 1)

    def plus(self, weeks: int) -> Week:
        """The week so many weeks later (or earlier, when negative)."""
        return Week.of(self.monday + timedelta(weeks=weeks))


def weeks_in_year(year: int) -> int:
    """52 or 53, the number of ISO weeks in a year."""
    # 28 December always lies in the last week of its year.
    return date(year, 12, 28).isocalendar().week


def same_day_next_year(day: date) -> date:
    """The day that stands for a day a year later: the same weekday of the week with the same number.

    Args:
        day: a day of any year.

    Returns:
        A day as many weeks later as its ISO year has: 52, or 53 where the week would slip to another number. A day of
        week 53 comes into week 1 of the year after, in the same order as the days around it.

    Source: sowings are repeated by the week of the year (common practice); weeks by ISO 8601.
    """
    return day + timedelta(weeks=weeks_in_year(day.isocalendar().year))


def same_week_next_year(week: Week) -> Week:
    """The week that stands for a week a year later, by `same_day_next_year`."""
    return Week.of(same_day_next_year(week.monday))


def growing_year(day: date, latitude_deg: float) -> int:
    """The growing year a day lies in: the calendar's in the north; in the south from July on, by the year it begins in.

    Args:
        day: the day.
        latitude_deg: the farm's, negative in the south [deg].

    Returns:
        The year in which that growing year began.

    Source: the forecast's own years (docs/engineer/model.md).
    """
    return day.year if latitude_deg >= 0 or day.month >= 7 else day.year - 1


def weeks_between(first: Week, last: Week) -> Iterator[Week]:
    """Each week from first to last inclusive; none when last is before first."""
    # By their Mondays: week numbers begin again after 52 or 53.
    monday = first.monday
    while monday <= last.monday:
        yield Week.of(monday)
        monday += timedelta(weeks=1)


def cut_days_for(
    due: date, *, weekdays: frozenset[int], hold_days: int, condition_days: int, today: date
) -> tuple[date, ...]:
    """The cut days that can serve a due date, earliest first.

    Args:
        due: the day the stems leave.
        weekdays: ISO numbers of the farm's cut days.
        hold_days: days a cut stem keeps in the cool store [d].
        condition_days: days a cut stem drinks before it may leave [d].
        today: cutting in the past is not possible.

    Source: the rule C(d) of the project's own model (docs/engineer/model.md).
    """
    days = (due - timedelta(days=age) for age in range(hold_days, condition_days - 1, -1))
    return tuple(day for day in days if day >= today and day.isoweekday() in weekdays)


def cutoff_before(day: date, weekday: Weekday, at: time) -> datetime:
    """The last moment of a weekday and time that lies before a day, in the farm's own time."""
    # 1 to 7 days back: a cutoff on the very day would come too late for it.
    back = (day.isoweekday() - weekday.iso - 1) % 7 + 1
    return datetime.combine(day - timedelta(days=back), at)


def next_of(today: date, weekdays: tuple[Weekday, ...]) -> date:
    """The first day from today on that is one of these weekdays; today where none is named."""
    wanted = {weekday.iso for weekday in weekdays}
    days = (today + timedelta(days=ahead) for ahead in range(7))
    return next((day for day in days if day.isoweekday() in wanted), today)


def last_of(today: date, weekdays: tuple[Weekday, ...]) -> date:
    """The last day up to today that is one of these weekdays; today where none is named."""
    wanted = {weekday.iso for weekday in weekdays}
    days = (today - timedelta(days=back) for back in range(7))
    return next((day for day in days if day.isoweekday() in wanted), today)


def weeks_in_words(weeks: Sequence[Week]) -> str:
    """Weeks of a gap as people say them: `week 33`, `weeks 25 to 26`; the year is plain from the days beside it."""
    first, last = weeks[0], weeks[-1]
    assert first <= last, "the weeks of a gap rise"
    if first == last:
        return _("week {number}").format(number=first.number)
    return _("weeks {first} to {last}").format(first=first.number, last=last.number)


def day_in_words(day: date) -> str:
    """A day as people read it: `Sat 14 Aug 2027`."""
    return full_day(day)


def near_day_in_words(day: date) -> str:
    """A day in a list whose head says the year: `Sat 14 Aug`."""
    return near_day(day)
