"""A long list in parts, so that no page grows beyond what a thumb scrolls through."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Annotated, Generic, TypeVar

from fastapi import Query

T = TypeVar("T")
PART = 20
MOST_PARTS = 10_000

PartAsked = Annotated[int, Query(alias="part", ge=1, le=MOST_PARTS)]
"""The part of a list that the address asks for."""


@dataclass(frozen=True, slots=True)
class Part(Generic[T]):
    """One part of a list.

    Attributes:
        rows: what stands in it.
        number: which part it is, 1 first; `last` is the last one.
        first, upto: the numbers of its first and its last row, 0 where it has none.
        of: how many rows there are in all.
    """

    rows: Sequence[T]
    number: int
    last: int
    first: int
    upto: int
    of: int


def part_of(rows: Sequence[T], asked: int, size: int = PART) -> Part[T]:
    """The part that is asked for; the last one where the list ends before it."""
    last = max(1, -(-len(rows) // size))
    number = min(asked, last)
    start = (number - 1) * size
    shown = rows[start : start + size]
    return Part(shown, number, last, start + 1 if shown else 0, start + len(shown), len(rows))
