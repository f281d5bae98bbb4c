"""How a column is typed on a page: what stands in its field, what is read from it, and what it says in words.

A widget turns the text of a cell, as the farm folder has it, into what a person types, and back. What cannot be read
stays as it was typed, so that the column refuses it and the sentence stands beside the field.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal, InvalidOperation
from typing import ClassVar

from haulm.errors import NotAccepted
from haulm.farm.weeks import Week, day_in_words, weeks_between
from haulm.jobs.desk.money_words import amount_text, minor_from, money_words
from haulm.language.words import _
from haulm.pages.rows.names import Names, week_words

Form = Mapping[str, str]
Options = Sequence[tuple[str, str]]
_BEFORE, _AHEAD = 8, 90
"""Weeks that a list of weeks reaches back and ahead."""


@dataclass(frozen=True, slots=True)
class At:
    """What a form stands on: the names of the farm, and the key of the row that its row belongs to."""

    names: Names
    parent: str = ""

    @property
    def currency(self) -> str:
        """The farm's currency."""
        return self.names.farm.site.currency

    @property
    def today(self) -> date:
        """The day of the form."""
        return self.names.today


class Widget:
    """A field of one line of text; others differ in what they turn it into."""

    shape: ClassVar[str] = "text"
    mode: ClassVar[str] = ""

    def accepted(self, at: At) -> str:
        """What would do, in words; empty where the column says it well enough."""
        return ""

    def typed(self, cell: str, name: str, at: At) -> dict[str, str]:
        """The fields of the form for the text of a cell, by name."""
        return {name: cell}

    def cell(self, form: Form, name: str, at: At) -> str:
        """The text of the cell for what was typed."""
        return form.get(name, "")

    def words(self, cell: str, at: At) -> str:
        """What the text of a cell says to people."""
        return cell

    def options(self, at: At, chosen: str) -> Options:
        """What there is to choose from, as values and words."""
        return ()


class Text(Widget):
    """One line of text."""


class Email(Widget):
    """An address of mail."""

    shape = "email"


class Phone(Widget):
    """A phone number."""

    shape = "tel"


class Note(Widget):
    """Text of several lines."""

    shape = "long"

    def cell(self, form: Form, name: str, at: At) -> str:
        """The text with line ends as the folder has them; browsers send two characters for each."""
        return super().cell(form, name, at).replace("\r\n", "\n").replace("\r", "\n")


class Number(Widget):
    """A number as people type it: `1,200`, `1 200` and `12,5` are read."""

    mode = "decimal"

    def cell(self, form: Form, name: str, at: At) -> str:
        """The number with a point, and nothing between its thousands."""
        return plain_number(super().cell(form, name, at))


class Whole(Number):
    """A whole number."""

    mode = "numeric"

    def words(self, cell: str, at: At) -> str:
        """The number with its thousands apart."""
        return f"{int(cell):,}" if cell.isdigit() else cell


class Percent(Number):
    """A share of one, typed as a percentage."""

    def accepted(self, at: At) -> str:
        """A percentage."""
        return _("a percentage such as 80")

    def typed(self, cell: str, name: str, at: At) -> dict[str, str]:
        """The share in percent."""
        return {name: percent_text(cell)}

    def cell(self, form: Form, name: str, at: At) -> str:
        """The share of one."""
        return share_text(super().cell(form, name, at).removesuffix("%").strip())

    def words(self, cell: str, at: At) -> str:
        """The share in percent."""
        return f"{percent_text(cell)} %" if cell else ""


class Money(Widget):
    """An amount in the farm's currency, typed with a point or a comma."""

    shape = "money"
    mode = "decimal"

    def accepted(self, at: At) -> str:
        """An amount in the currency of the farm."""
        return _("an amount in {currency} such as 12.50").format(currency=at.currency)

    def typed(self, cell: str, name: str, at: At) -> dict[str, str]:
        """The amount as it can be typed again."""
        return {name: amount_text(int(cell), at.currency) if cell.isdigit() else cell}

    def cell(self, form: Form, name: str, at: At) -> str:
        """The amount in the smallest coin."""
        typed = plain_number(form.get(name, ""))
        return str(minor_from(typed, at.currency)) if typed else ""

    def words(self, cell: str, at: At) -> str:
        """The amount with its currency."""
        return money_words(int(cell), at.currency) if cell.isdigit() else cell


class Day(Widget):
    """A day."""

    shape = "date"

    def accepted(self, at: At) -> str:
        """A day."""
        return _("a day of the calendar")

    def words(self, cell: str, at: At) -> str:
        """The day in words."""
        return day_in_words(date.fromisoformat(cell)) if cell else ""


class PickWeek(Widget):
    """A week of a list of weeks."""

    shape = "pick"

    def accepted(self, at: At) -> str:
        """A week of the list."""
        return _("a week of the list")

    def words(self, cell: str, at: At) -> str:
        """The week with its Monday."""
        return week_words(Week.parse(cell), at.today) if cell else ""

    def options(self, at: At, chosen: str) -> Options:
        """The weeks of half a year back and a year ahead, and the one that stands there."""
        this = Week.of(at.today)
        weeks = {str(week): week for week in weeks_between(this.plus(-_BEFORE), this.plus(_AHEAD))}
        if _is_week(chosen):
            weeks[chosen] = Week.parse(chosen)
        return [(str(week), week_words(week, at.today)) for week in sorted(weeks.values())]


@dataclass(frozen=True)
class Pick(Widget):
    """One of a closed list of words."""

    choices: Mapping[str, str]

    shape = "pick"

    def words(self, cell: str, at: At) -> str:
        """The word without what explains it."""
        return _(self.choices[cell]).partition(":")[0] if cell in self.choices else cell

    def options(self, at: At, chosen: str) -> Options:
        """The words of the list."""
        return [(value, _(words)) for value, words in self.choices.items()]

    def accepted(self, at: At) -> str:
        """One of the list."""
        return _("one of the list")


@dataclass(frozen=True)
class PickRow(Widget):
    """Another row of the farm, by its name."""

    collection: str

    shape = "pick"

    def accepted(self, at: At) -> str:
        """One of the list."""
        return _("one of the list")

    def words(self, cell: str, at: At) -> str:
        """The name of the row."""
        return at.names.of(self.collection, cell) if cell else ""

    def options(self, at: At, chosen: str) -> Options:
        """The rows by their names."""
        named = sorted(at.names.all(self.collection).items(), key=lambda one: one[1].casefold())
        gone = [] if not chosen or chosen in dict(named) else [(chosen, _("gone"))]
        return [*named, *gone]


class PickKind(Widget):
    """A kind of the library, or one of the farm's own."""

    shape = "pick"

    def accepted(self, at: At) -> str:
        """One of the list."""
        return _("one of the list")

    def words(self, cell: str, at: At) -> str:
        """The name of the kind."""
        return at.names.kinds().get(cell, cell)

    def options(self, at: At, chosen: str) -> Options:
        """The kinds by their names, and what stands there."""
        named = dict(at.names.kinds())
        if chosen:
            named.setdefault(chosen, chosen)
        return sorted(named.items(), key=lambda one: one[1].casefold())


class PickProduct(Widget):
    """Something the farm sells: a kind, fresh or dried."""

    shape = "pick"

    def accepted(self, at: At) -> str:
        """One of the list."""
        return _("one of the list")

    def words(self, cell: str, at: At) -> str:
        """The kind, and that it is dried."""
        return products_by_cell(at.names).get(cell, cell)

    def options(self, at: At, chosen: str) -> Options:
        """Every kind fresh, then every kind dried."""
        return list(products_by_cell(at.names).items())


class Tick(Widget):
    """Yes or no."""

    shape = "tick"

    def typed(self, cell: str, name: str, at: At) -> dict[str, str]:
        """A tick, or none."""
        return {name: "yes" if cell == "yes" else ""}

    def cell(self, form: Form, name: str, at: At) -> str:
        """Yes where it is ticked."""
        return "yes" if form.get(name) else "no"

    def words(self, cell: str, at: At) -> str:
        """Yes or no."""
        return _("yes") if cell == "yes" else _("no")


class YesNo(Widget):
    """Yes, no, or nothing said."""

    shape = "pick"

    def words(self, cell: str, at: At) -> str:
        """Yes or no."""
        return dict(self.options(at, cell)).get(cell, "")

    def options(self, at: At, chosen: str) -> Options:
        """Yes and no."""
        return [("yes", _("yes")), ("no", _("no"))]


def products_by_cell(names: Names) -> dict[str, str]:
    """Every kind fresh, then every kind dried, by the text of a cell, in the order of their names."""
    kinds = sorted(names.varieties.items(), key=lambda one: one[1].casefold())
    dried = {f"{key}:dried": _("{kind}, dried").format(kind=name) for key, name in kinds}
    return {**dict(kinds), **dried}


def plain_number(text: str) -> str:
    """A number as a cell has it: no blanks or commas between thousands, a point before decimals."""
    bare = text.replace(" ", "").replace("\u00a0", "").replace("\u2212", "-")
    head, comma, tail = bare.rpartition(",")
    if comma and "." not in bare and "," not in head and len(tail) != 3:
        return f"{head}.{tail}"
    return bare.replace(",", "")


def percent_text(cell: str) -> str:
    """A share of one in percent, exactly."""
    try:
        return _shortest(Decimal(cell) * 100)
    except InvalidOperation:
        return cell


def share_text(typed: str) -> str:
    """A percentage as a share of one, exactly; what is no number stays."""
    try:
        number = Decimal(typed)
    except InvalidOperation:
        return typed
    return _shortest(number / 100) if number.is_finite() and abs(number) < 10**9 else typed


def _shortest(number: Decimal) -> str:
    text = f"{number:f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


def _is_week(text: str) -> bool:
    try:
        Week.parse(text)
    except NotAccepted:
        return False
    return True
