"""The largest size of a quote or an order that passes where it does not as asked: found by matches of smaller ones."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from typing import NamedTuple

from haulm.advice.asked_words import asked_in_words
from haulm.farm.orders import OrderLine
from haulm.farm.quantities import percent
from haulm.farm.varieties import Crop
from haulm.jobs.quote_version import Largest, SmallerPart
from haulm.jobs.quote_words import joined

_PARTS_TRIED = 4
"""So many parts are made smaller alone: a couple is waiting, and each size tried is a match of the farm."""

Counts = tuple[int, ...]
"""How many of each part of a quote: of its pieces, else stems of its lines."""


@dataclass(frozen=True, slots=True)
class Part:
    """A part of a quote.

    Attributes:
        what: what it is, in words.
        count: how many are asked.
        stems: stems of all of them.
        confidence: of its least sure line, 0-1.
    """

    what: str
    count: int
    stems: int
    confidence: float


class Tried(NamedTuple):
    """One size as it was tried: whether it passes, and the joint confidence of all its lines, 0-1."""

    passes: bool
    joint: float


class Wording(NamedTuple):
    """How it is said that a size passes: at the head of a sentence, of the largest, and of none."""

    head: str
    largest: str
    none: str


SURE = Wording("Sure enough", "The largest that is sure enough", "No smaller size of it is sure enough that day.")
"""Of a quote, which takes nothing from anybody yet."""
WOULD_PASS = Wording("It would pass", "The largest that would pass", "No smaller size of it would pass.")
"""Of a promise, which others may fall by."""


def line_part(line: OrderLine, crops: Mapping[str, Crop], confidence: float) -> Part:
    """A line as a part that may be made smaller.

    Args:
        line: the line.
        crops: where names are looked up, by key.
        confidence: how sure it is, 0-1.
    """
    wanted = line.product or line.choice
    assert wanted is not None, "a line asks a product or a choice"
    return Part(asked_in_words(wanted, crops), line.stems, line.stems, confidence)


def largest_size(parts: Sequence[Part], try_out: Callable[[Counts], Tried], words: Wording) -> Largest:
    """The largest size that passes: one part made smaller, whichever keeps most stems; else all in proportion.

    Each size is judged by a match of its own. Of the part that is made smaller n pass and n + 1 do not; those tried
    are the least sure ones.

    Args:
        parts: what is asked, which does not pass.
        try_out: how so many of each part fare; nought of a part leaves it out.
        words: how it is said.
    """
    tried = cache(try_out)

    def passes(sizes: Counts) -> bool:
        return tried(sizes).passes

    asked = tuple(part.count for part in parts)
    least_sure = sorted(range(len(parts)), key=lambda place: (parts[place].confidence, -parts[place].stems, place))
    alone = [_one_smaller(asked, place, passes) for place in least_sure[:_PARTS_TRIED]]
    found = [sizes for sizes in alone if sizes is not None]
    best = max(found, key=lambda sizes: _stems(parts, sizes)) if found else _all_smaller(asked, passes)
    if best is None:
        return Largest((), 0.0, words.none)
    smaller = tuple(
        SmallerPart(part.what, part.count, n) for n, part in zip(best, parts, strict=True) if n < part.count
    )
    joint = tried(best).joint
    return Largest(smaller, joint, f"{_said(smaller, len(parts), words)} ({percent(joint)} for all of it at once).")


def _stems(parts: Sequence[Part], sizes: Counts) -> float:
    return sum(part.stems * n / max(1, part.count) for n, part in zip(sizes, parts, strict=True))


def _one_smaller(asked: Counts, place: int, passes: Callable[[Counts], bool]) -> Counts | None:
    """The largest size with one part smaller and all else as asked; where it is the only part, one of it at least."""
    least = 0 if len(asked) > 1 else 1
    return _last(range(least, asked[place]), lambda n: (*asked[:place], n, *asked[place + 1 :]), passes)


def _all_smaller(asked: Counts, passes: Callable[[Counts], bool]) -> Counts | None:
    """The largest size with every part smaller in proportion, one of each at least."""
    most = max(asked)
    return _last(range(most), lambda n: tuple(max(1, count * n // most) for count in asked), passes)


def _last(numbers: range, sizes: Callable[[int], Counts], passes: Callable[[Counts], bool]) -> Counts | None:
    """The size of one of the numbers that passes while the next does not, by halving; None where the first fails."""
    if not numbers or not passes(sizes(numbers[0])):
        return None
    low, high = numbers[0], numbers[-1] + 1
    while high - low > 1:
        middle = (low + high) // 2
        low, high = (middle, high) if passes(sizes(middle)) else (low, middle)
    return sizes(low)


def _said(smaller: Sequence[SmallerPart], parts: int, words: Wording) -> str:
    if len(smaller) > 1:
        counts = joined([f"{part.passes:,} of {part.what}" for part in smaller], "and")
        return f"{words.head} with less of everything: {counts}"
    (part,) = smaller
    if part.passes == 0:
        return f"{words.head} without {part.what}, all else as asked"
    rest = ", all else as asked" if parts > 1 else ""
    return f"{words.largest}: {part.passes:,} instead of {part.asked:,} of {part.what}{rest}"
