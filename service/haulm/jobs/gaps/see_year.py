"""The year in one picture: every kind under its role, week by week, and in words what is short and what is free."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import date
from urllib.parse import quote

from haulm.errors import NotAccepted
from haulm.farm.products import Product
from haulm.farm.words import Role
from haulm.jobs.desk.desk import Desk
from haulm.language.words import _, many, marked
from haulm.planning.plan import Plan
from haulm.planning.season_picture import WeekFigures

ROLE_WORDS = {
    Role.FOCAL: marked("Focal"),
    Role.SECONDARY: marked("Secondary"),
    Role.SPIKE: marked("Spike"),
    Role.FILLER: marked("Filler"),
    Role.ACCENT: marked("Accent"),
    Role.TEXTURE: marked("Texture"),
    Role.MOVEMENT: marked("Movement"),
    Role.FOLIAGE: marked("Foliage"),
}
NO_COLOUR = "-"
"""Stands in an address for the kinds of which no colour is said."""
assert set(ROLE_WORDS) == set(Role), "every role has its word"


@dataclass(frozen=True, slots=True)
class YearRow:
    """A kind or a role over the weeks that are shown.

    Attributes:
        path: where it is looked at closer.
        name: what it is called.
        weeks: its figures.
        short_kinds: for a role, how many of its kinds are short.
    """

    path: str
    name: str
    weeks: tuple[WeekFigures, ...]
    short_kinds: int = 0

    @property
    def short(self) -> float:
        """Stems that it lacks on average over these weeks."""
        return sum(week.short for week in self.weeks)

    @property
    def best(self) -> WeekFigures:
        """The week in which most is free."""
        return max(self.weeks, key=lambda week: week.free)

    @property
    def says(self) -> str:
        """What matters most of it: what is short, else what is free."""
        if self.short > 0:
            return many("{count} stem short", "{count} stems short", max(1, round(self.short)))
        if self.best.free:
            return _("{count} free").format(count=self.best.free)
        return _("all spoken for") if any(week.promised for week in self.weeks) else _("nothing sure")


@dataclass(frozen=True, slots=True)
class GroupRows:
    """A role or a colour with its kinds; what names it in an address."""

    name: str
    row: YearRow
    kinds: tuple[YearRow, ...]


@dataclass(frozen=True, slots=True)
class Year:
    """A year's picture.

    Attributes:
        number: the year.
        groups: what is shown, role by role or colour by colour.
        before, after: the first and last day of weeks at either end that are folded away; None for none.
        is_unfolded: whether weeks are shown that could be folded.
        next: the year after it, where the plan looks into it; `last` the one before it.
        level: the level of what is called sure, 0-1.
    """

    number: int
    groups: tuple[GroupRows, ...]
    before: tuple[date, date] | None
    after: tuple[date, date] | None
    is_unfolded: bool
    last: int | None
    next: int | None
    level: float

    @property
    def weeks(self) -> tuple[WeekFigures, ...]:
        """The weeks that are shown, as the first role or colour has them."""
        return self.groups[0].row.weeks if self.groups else ()

    @property
    def short(self) -> float:
        """Stems short in all of it."""
        return sum(row.row.short for row in self.groups)


def see_year(desk: Desk, year: int | None = None, *, unfolded: bool = False, by_colour: bool = False) -> Year:
    """The picture of a year; this one unless said.

    Raises:
        NotAccepted: the plan does not look into that year.
    """
    plan = desk.plan()
    picture = plan.season_picture
    years = sorted({week.week.year for row in picture.roles.values() for week in row} or {plan.today.year})
    number = years[0] if year is None else year
    if number not in years:
        accepted = _("a year from {first} to {last}").format(first=years[0], last=years[-1])
        raise NotAccepted(where="year", found=str(number), accepted=accepted)
    span = _span(picture.kinds.values(), number)
    shown = span.every if unfolded else span.busy
    groups = _colours(plan, shown) if by_colour else _roles(plan, shown)
    return Year(
        number,
        tuple(groups),
        None if unfolded else span.before,
        None if unfolded else span.after,
        unfolded and span.every != span.busy,
        number - 1 if number - 1 in years else None,
        number + 1 if number + 1 in years else None,
        plan.farm.site.free_level,
    )


def year_row(plan: Plan, product: Product, weeks: Sequence[WeekFigures]) -> YearRow:
    """A kind over some weeks."""
    return YearRow(f"/year/{product.variety}", plan.crops[product.variety].name, tuple(weeks))


@dataclass(frozen=True, slots=True)
class _Span:
    """Which places of the weeks lie in a year, and which of these have anything to show; the days beside them."""

    every: slice
    busy: slice
    before: tuple[date, date] | None
    after: tuple[date, date] | None


def _span(rows: Iterable[Sequence[WeekFigures]], year: int) -> _Span:
    found = list(rows)
    if not found:
        return _Span(slice(0), slice(0), None, None)
    weeks = [one.week for one in found[0]]
    inside = [place for place, week in enumerate(weeks) if week.year == year]
    busy = [place for place in inside if any(not row[place].is_bare for row in found)] or inside
    first, last, begins, ends = inside[0], inside[-1], busy[0], busy[-1]
    before = (weeks[first].monday, weeks[begins - 1].plus(1).monday) if begins > first else None
    after = (weeks[ends + 1].monday, weeks[last].plus(1).monday) if ends < last else None
    return _Span(slice(first, last + 1), slice(begins, ends + 1), before, after)


def _roles(plan: Plan, shown: slice) -> Iterator[GroupRows]:
    for role, weeks in plan.season_picture.roles.items():
        kinds = [product for product in plan.season_picture.kinds if plan.crops[product.variety].role is role]
        yield _group(plan, (role.value, f"/year?role={role}", _(ROLE_WORDS[role])), kinds, weeks[shown], shown)


def _colours(plan: Plan, shown: slice) -> Iterator[GroupRows]:
    for colour, weeks in plan.colour_weeks.items():
        kinds = [one for one in plan.season_picture.kinds if (plan.crops[one.variety].colour or "") == colour]
        path = f"/year?by=colour&colour={quote(colour or NO_COLOUR)}"
        name = colour[:1].upper() + colour[1:] if colour else _("No colour said")
        yield _group(plan, (colour or NO_COLOUR, path, name), kinds, weeks[shown], shown)


def _group(
    plan: Plan, named: tuple[str, str, str], kinds: Sequence[Product], weeks: Sequence[WeekFigures], shown: slice
) -> GroupRows:
    key, path, name = named
    rows = tuple(year_row(plan, product, plan.season_picture.kinds[product][shown]) for product in kinds)
    return GroupRows(key, YearRow(path, name, tuple(weeks), sum(1 for row in rows if row.short > 0)), rows)
