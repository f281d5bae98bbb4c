"""The largest size of a quote or an order that passes where it does not as asked: found by matches of smaller ones."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from typing import NamedTuple

from haulm.advice.asked_words import asked_in_words
from haulm.advice.quote_places import Counts, grown, most_passing, with_count
from haulm.farm.orders import OrderLine
from haulm.farm.quantities import percent
from haulm.farm.varieties import Crop
from haulm.jobs.quotes.line_words import joined
from haulm.jobs.quotes.version import Largest, SmallerPart
from haulm.language.words import _, marked

_PARTS_TRIED = 4
"""So many parts are made smaller alone: a couple is waiting, and each size tried is a match of the farm."""


@dataclass(frozen=True, slots=True)
class Part:
    """A part of a quote.

    Attributes:
        what: what it is, in words.
        count: how many are asked.
        stems: stems of all of them.
        confidence: of its least sure line, 0-1.
        is_worn: whether it is worn or held, and so comes before what stands.
    """

    what: str
    count: int
    stems: int
    confidence: float
    is_worn: bool = False


class Tried(NamedTuple):
    """One size as it was tried: whether it passes, and the joint confidence of all its lines, 0-1."""

    passes: bool
    joint: float


class Wording(NamedTuple):
    """How it is said that a size passes: at the head of a sentence, of the largest, and of none."""

    head: str
    largest: str
    none: str


SURE = Wording(
    marked("Sure enough"),
    marked("The largest that is sure enough"),
    marked("No smaller size of it is sure enough that day."),
)
"""Of a quote, which takes nothing from anybody yet."""
MAY_PASS = Wording(
    marked("It could be promised"),
    marked("The largest that could be promised"),
    marked("No smaller size of it could be promised."),
)
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
    """The largest size that passes, in words: `largest_counts` says which.

    Args:
        parts: what is asked, which does not pass.
        try_out: how so many of each part fare; nought of a part leaves it out.
        words: how it is said.
    """
    tried = cache(try_out)
    best = largest_counts(parts, lambda sizes: tried(sizes).passes)
    return told_size(parts, best, 0.0 if best is None else tried(best).joint, words)


def largest_counts(parts: Sequence[Part], passes: Callable[[Counts], bool]) -> Counts | None:
    """The largest size that passes, None where none does: one part made smaller, or else several.

    Each size is judged by a match of its own. Of the part that is made smaller n pass and n + 1 do not; those tried
    are the least sure ones. What is worn is made smaller where nothing else helps; of the rest whatever keeps most
    stems. Where no part alone helps, part after part gets as many as pass, what is worn first.

    Args:
        parts: what is asked, which does not pass.
        passes: whether so many of each part pass.
    """
    asked = tuple(part.count for part in parts)
    least_sure = sorted(range(len(parts)), key=lambda place: (parts[place].confidence, -parts[place].stems, place))
    alone = [(place, _one_smaller(asked, place, passes)) for place in least_sure[:_PARTS_TRIED]]
    found = [(place, sizes) for place, sizes in alone if sizes is not None]
    if found:
        return max(found, key=lambda one: (not parts[one[0]].is_worn, _stems(parts, one[1])))[1]
    several = grown(tuple(0 for _ in parts), asked, in_order(parts), passes)
    return several if any(several) else None


def in_order(parts: Sequence[Part]) -> list[int]:
    """The places of parts, what is worn first, then as they were asked."""
    return sorted(range(len(parts)), key=lambda place: (not parts[place].is_worn, place))


def told_size(parts: Sequence[Part], best: Counts | None, joint: float, words: Wording) -> Largest:
    """The largest size that passes, in words."""
    if best is None:
        return Largest((), 0.0, _(words.none))
    smaller = tuple(
        SmallerPart(part.what, part.count, n) for n, part in zip(best, parts, strict=True) if n < part.count
    )
    return Largest(
        smaller,
        joint,
        _("{said} ({joint} for all of it at once).").format(
            said=_said(smaller, len(parts), words), joint=percent(joint)
        ),
    )


def _stems(parts: Sequence[Part], sizes: Counts) -> float:
    return sum(part.stems * n / max(1, part.count) for n, part in zip(sizes, parts, strict=True))


def _one_smaller(asked: Counts, place: int, passes: Callable[[Counts], bool]) -> Counts | None:
    """The largest size with one part smaller and all else as asked; where it is the only part, one of it at least."""
    least = 0 if len(asked) > 1 else 1
    if asked[place] <= least or not passes(with_count(asked, place, least)):
        return None
    most = most_passing(least, asked[place] - 1, lambda n: passes(with_count(asked, place, n)))
    return with_count(asked, place, most)


def _said(smaller: Sequence[SmallerPart], parts: int, words: Wording) -> str:
    rest = _(", all else as asked") if parts > len(smaller) else ""
    without = joined([part.what for part in smaller if not part.passes], _("or"))
    fewer = joined([_fewer(part) for part in smaller if part.passes], _("and"))
    if fewer and len(smaller) == 1:
        return f"{_(words.largest)}: {fewer}{rest}"
    changes = ((_("without {what}"), without), (_("with {what}"), fewer))
    said = [how.format(what=what) for how, what in changes if what]
    return f"{_(words.head)} {_(' and ').join(said)}{rest}"


def _fewer(part: SmallerPart) -> str:
    return _("{passes:,} instead of {asked:,} of {what}").format(passes=part.passes, asked=part.asked, what=part.what)
