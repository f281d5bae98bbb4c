"""Fields for the farm's settings: weekdays, days of a year, hours, months, minutes by piece, classes in their order."""

from __future__ import annotations

import re
from calendar import month_name
from collections.abc import Mapping
from dataclasses import dataclass

from haulm.farm.words import Weekday
from haulm.language.words import _, marked
from haulm.pages.rows.choice_words import words_of
from haulm.pages.rows.widgets import At, Form, Options, Widget, plain_number

MONTHS = tuple(month_name)[1:]
CLASS_WORDS = {
    "wedding": marked("weddings"),
    "standing": marked("standing orders"),
    "one_off": marked("single orders"),
    "spare": marked("spare stems"),
    "hold": marked("holds"),
    "stall": marked("the stall"),
}
_MINUTES = re.compile(r"(.+?)\s*[:=]?\s+(\d{1,6})\s*(?:min|minutes)?")


def _weekday(value: str) -> str:
    return _((words_of("", "weekday") or {})[value])


class Weekdays(Widget):
    """Some days of the week, each ticked."""

    shape = "ticks"

    def accepted(self, at: At) -> str:
        """At least one."""
        return _("at least one day")

    def typed(self, cell: str, name: str, at: At) -> dict[str, str]:
        """A tick for each day."""
        days = cell.split("|")
        return {f"{name}.{day}": "yes" if day in days else "" for day in Weekday}

    def cell(self, form: Form, name: str, at: At) -> str:
        """The days that are ticked."""
        return "|".join(day for day in Weekday if form.get(f"{name}.{day}"))

    def words(self, cell: str, at: At) -> str:
        """The days."""
        return ", ".join(_weekday(day) for day in cell.split("|") if day)

    def options(self, at: At, chosen: str) -> Options:
        """The days."""
        return [(str(day), _weekday(day)) for day in Weekday]


class DayOfYear(Widget):
    """A day and a month, of any year."""

    shape = "monthday"

    def accepted(self, at: At) -> str:
        """A day and a month."""
        return _("a day and a month such as 25 April")

    def typed(self, cell: str, name: str, at: At) -> dict[str, str]:
        """The day and the month."""
        month, _dash, day = cell.partition("-")
        return {f"{name}.day": day.lstrip("0"), f"{name}.month": month}

    def cell(self, form: Form, name: str, at: At) -> str:
        """The day of the year; half of one stays, and is refused."""
        day, month = form.get(f"{name}.day", ""), form.get(f"{name}.month", "")
        return f"{month}-{day.zfill(2)}" if day and month else day or month

    def words(self, cell: str, at: At) -> str:
        """The day with the name of its month."""
        month, _dash, day = cell.partition("-")
        return f"{int(day)} {_(MONTHS[int(month) - 1])}" if cell else ""

    def options(self, at: At, chosen: str) -> Options:
        """The months."""
        return [(f"{number:02d}", _(name)) for number, name in enumerate(MONTHS, start=1)]


class Hour(Widget):
    """A weekday and a time of day."""

    shape = "hour"

    def accepted(self, at: At) -> str:
        """A day and a time."""
        return _("a weekday and a time such as Friday, 18:00")

    def typed(self, cell: str, name: str, at: At) -> dict[str, str]:
        """The day and the time."""
        weekday, _blank, time = cell.partition(" ")
        return {f"{name}.weekday": weekday, f"{name}.at": time}

    def cell(self, form: Form, name: str, at: At) -> str:
        """The day and the time in one."""
        return f"{form.get(f'{name}.weekday', '')} {form.get(f'{name}.at', '')}".strip()

    def words(self, cell: str, at: At) -> str:
        """The day and the time."""
        weekday, _blank, time = cell.partition(" ")
        return f"{_weekday(weekday)}, {time}" if weekday in list(Weekday) else cell

    def options(self, at: At, chosen: str) -> Options:
        """The days."""
        return Weekdays().options(at, chosen)


class Months(Widget):
    """A number for each month."""

    shape = "months"

    def accepted(self, at: At) -> str:
        """Twelve numbers."""
        return _("a number of degrees for each of the twelve months")

    def typed(self, cell: str, name: str, at: At) -> dict[str, str]:
        """The months by their numbers."""
        values = [*cell.split("|"), *([""] * 12)][:12] if cell else [""] * 12
        return {f"{name}.{number}": value for number, value in enumerate(values, start=1)}

    def cell(self, form: Form, name: str, at: At) -> str:
        """The numbers in a row; nothing where no month has one."""
        values = [plain_number(form.get(f"{name}.{number}", "")) for number in range(1, 13)]
        return "|".join(values) if any(values) else ""

    def words(self, cell: str, at: At) -> str:
        """The numbers with commas."""
        return ", ".join(cell.split("|")) if cell else ""

    def options(self, at: At, chosen: str) -> Options:
        """The months."""
        return [(str(number), _(name)) for number, name in enumerate(MONTHS, start=1)]


class MinutesByPiece(Widget):
    """Minutes of making a piece, one piece to a line."""

    shape = "long"

    def accepted(self, at: At) -> str:
        """A piece and its minutes to a line."""
        return _("a piece and its minutes to a line, such as bridal bouquet 45")

    def cell(self, form: Form, name: str, at: At) -> str:
        """A piece and its minutes to a line, as they are read."""
        lines = form.get(name, "").splitlines()
        found = [_MINUTES.fullmatch(line.strip()) for line in lines if line.strip()]
        if any(one is None for one in found):
            return form.get(name, "").replace("\r\n", "\n")
        return "\n".join(f"{one[1]} {one[2]}" for one in found if one is not None)

    def words(self, cell: str, at: At) -> str:
        """The pieces with commas."""
        return ", ".join(cell.splitlines())


@dataclass(frozen=True)
class InOrder(Widget):
    """Words of a closed list in an order of one's own, one to a line."""

    choices: Mapping[str, str]

    shape = "long"

    def accepted(self, at: At) -> str:
        """Each of them once."""
        return _("each of these once, one to a line: {words}").format(words=", ".join(map(_, self.choices.values())))

    def typed(self, cell: str, name: str, at: At) -> dict[str, str]:
        """The words, one to a line."""
        return {name: "\n".join(_(self.choices.get(key, key)) for key in cell.split("|") if key)}

    def cell(self, form: Form, name: str, at: At) -> str:
        """The list as the folder has it; a word that nobody knows stays."""
        keys = {_(words).casefold(): key for key, words in self.choices.items()}
        lines = [line.strip() for line in re.split(r"[\n,]", form.get(name, "")) if line.strip()]
        return "|".join(keys.get(line.casefold(), line) for line in lines)

    def words(self, cell: str, at: At) -> str:
        """The words with commas."""
        return ", ".join(self.typed(cell, "", at)[""].splitlines())
