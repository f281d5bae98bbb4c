"""Where what is asked falls: promised today, promised with a sowing, a wish, or beyond the field. Sizes alone.

    asked = promised + sown + wished + beyond, of each part

A part is so many of a piece, or the stems of a line. Two of the places are parts of an order that lie in one another:
what stands today, and that with what is sown for it. A wish is none: nothing is kept for it.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

Counts = tuple[int, ...]
"""How many of each part."""
Passes = Callable[[Counts], bool]
"""Whether so many of each part can be promised, or come often enough to be wished for."""


@dataclass(frozen=True, slots=True)
class Places:
    """How many of each part fall into which place; the four add up to what is asked.

    Attributes:
        promised: what may be promised today.
        sown: what becomes a promise beside it once it is sown for.
        wished: what may come, and cannot be promised.
        beyond: what is more than the field gives.
    """

    promised: Counts
    sown: Counts
    wished: Counts
    beyond: Counts

    def __post_init__(self) -> None:
        assert len(self.promised) == len(self.sown) == len(self.wished) == len(self.beyond), (
            "every part has its count in each place"
        )

    @property
    def larger(self) -> Counts:
        """The larger part of the order: what stands today with what is sown for it."""
        return tuple(map(sum, zip(self.promised, self.sown, strict=True)))


def places_of(asked: Counts, promised: Counts, larger: Counts, coming: Counts) -> Places:
    """The places from sizes of which each holds the one before: none of them is more than what is asked.

    Args:
        asked: how many of each part are asked.
        promised: what may be promised today.
        larger: that with what is sown for.
        coming: that with what may be wished for.
    """
    return Places(promised, _less(larger, promised), _less(coming, larger), _less(asked, coming))


def grown(least: Counts, most: Counts, order: Sequence[int], passes: Passes) -> Counts:
    """The size grown from one that passes: part after part gets as many as pass beside those before it.

    Of each part n pass and n + 1 do not, all parts after it as small as at first. The number of sizes tried is the sum
    of the logarithms of what is asked more.

    Args:
        least: the size to begin with; it is not tried.
        most: the largest size.
        order: the parts, those that matter most first.
        passes: whether a size passes.
    """
    found = least
    for place in order:
        found = _grown_at(found, place, most[place], passes)
    return found


def _grown_at(found: Counts, place: int, most: int, passes: Passes) -> Counts:
    count = most_passing(found[place], most, lambda n: passes(with_count(found, place, n)))
    return with_count(found, place, count)


def most_passing(below: int, most: int, passes: Callable[[int], bool]) -> int:
    """A number that passes while one more does not, by halving; the most where that passes at once.

    Args:
        below: a number that passes; it is not tried.
        most: the largest number.
        passes: whether a number does.
    """
    if most <= below or passes(most):
        return max(below, most)
    low, high = below, most
    while high - low > 1:
        middle = (low + high) // 2
        low, high = (middle, high) if passes(middle) else (low, middle)
    return low


def with_count(counts: Counts, place: int, count: int) -> Counts:
    """Counts with another one at a place."""
    return (*counts[:place], count, *counts[place + 1 :])


def _less(these: Counts, those: Counts) -> Counts:
    found = tuple(a - b for a, b in zip(these, those, strict=True))
    assert min(found, default=0) >= 0, "each size holds the one before"
    return found
