"""The five places of the farm's pages, and which of them an address belongs to."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from haulm.language.words import marked


@dataclass(frozen=True, slots=True)
class Row:
    """A page named in a place's second row: its address, its name, and the addresses that belong to it too."""

    path: str
    name: str
    also: tuple[str, ...] = ()

    def holds(self, path: str) -> int:
        """How many letters of an address say that it belongs here; 0 where none do."""
        return max((len(one) for one in (self.path, *self.also) if _lies_in(path, one)), default=0)


@dataclass(frozen=True, slots=True)
class Place:
    """A place: its name, its drawing, and the rows under it; its first row is where it opens."""

    name: str
    mark: str
    rows: tuple[Row, ...]

    @property
    def path(self) -> str:
        """The page that the place opens with."""
        return self.rows[0].path


TODAY = Place(marked("Today"), "today", (Row("/", marked("Today"), ("/at-home", "/tonight", "/new-figures")),))
SEASON = Place(
    marked("Season"),
    "season",
    (
        Row("/year", marked("Year")),
        Row("/short", marked("Gaps"), ("/combined-plan", "/what-if")),
        Row("/plan", marked("Sowings"), ("/count-back", "/hoped-sowings", "/next-year", "/rhythm")),
        Row("/beds", marked("Beds")),
        Row("/free", marked("Promise"), ("/may-promise",)),
    ),
)
WEEK = Place(
    marked("Week"),
    "week",
    (
        Row("/walk", marked("Walk")),
        Row("/cut", marked("Cut")),
        Row("/bucket", marked("Buckets")),
        Row("/store", marked("Cool store")),
    ),
)
ORDERS = Place(
    marked("Orders"),
    "orders",
    (
        Row("/orders", marked("Promised"), ("/usual-sales",)),
        Row("/quotes", marked("Quotes"), ("/decisions",)),
        Row("/replies", marked("Answers"), ("/links",)),
        Row("/claims", marked("Claims")),
    ),
)
FARM = Place(
    marked("Farm"),
    "farm",
    (
        Row("/farm", marked("The farm"), ("/login", "/logout", "/begin", "/paste", "/people")),
        Row("/journal", marked("Journal")),
        Row("/past-years", marked("Past years")),
        Row("/honesty", marked("Honesty"), ("/season",)),
        Row("/more", marked("More"), ("/care", "/mails")),
    ),
)
PLACES = (TODAY, SEASON, WEEK, ORDERS, FARM)
"""What the bar at the foot of a phone has room for."""
HANDS = tuple(
    Place(row.name, mark, (row,)) for row, mark in zip(WEEK.rows, ("farm", "season", "week", "store"), strict=True)
)
"""The places of whoever only works in the field."""


def place_of(path: str, places: Sequence[Place]) -> tuple[Place, Row] | None:
    """The place and the row that an address belongs to, by the longest address that holds it; None for none."""
    rows = ((row.holds(path), place, row) for place in places for row in place.rows)
    length, place, row = max(rows, key=lambda one: one[0], default=(0, TODAY, TODAY.rows[0]))
    return (place, row) if length else None


def _lies_in(path: str, place: str) -> bool:
    return path == place or (place != "/" and path.startswith(f"{place}/"))
