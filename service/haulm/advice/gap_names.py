"""The names of gaps: a gap keeps its name while its lines last, whatever week it begins in."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date

from haulm.advice.shortfalls import Gap

DatedKey = tuple[str, date]
"""A line and its due day."""


@dataclass(frozen=True, slots=True)
class Standing:
    """A gap as it stood when names were last written.

    Attributes:
        name: its name.
        asked: what is asked, as text.
        lines: its short lines, each with its due day.
        merged: names of gaps that have become part of it.
        split_from: the gap that it once was a part of, or None.
    """

    name: str
    asked: str
    lines: frozenset[DatedKey]
    merged: tuple[str, ...] = ()
    split_from: str | None = None


@dataclass(frozen=True, slots=True)
class NameOf:
    """A gap as it is now, and how it stands: under which name, of what it was a part, what has become part of it.

    Attributes:
        gap: the gap as its plan has it, under the name that follows from what is asked and its first week.
        standing: what is written of it.
        is_new: whether it goes on from no gap that stood.
    """

    gap: Gap
    standing: Standing
    is_new: bool


def lines_of(gap: Gap) -> frozenset[DatedKey]:
    """The lines of a gap, each with its due day."""
    return frozenset((short.line.line, short.line.due) for short in gap.shortfalls)


def named_gaps(found: Sequence[Gap], standing: Sequence[Standing]) -> tuple[NameOf, ...]:
    """Each gap with its name, in the order given; a pure function, so that whoever asks before it is written agrees.

    Gaps are paired with those that stood by most shared lines and due days, ties by the earliest due day. Of a gap that
    fell apart the largest part keeps the name; of gaps that became one, the largest gives it.

    Args:
        found: the gaps as they are now.
        standing: the gaps that stood when names were last written.
    """
    pairs = _pairs(found, standing)
    taken = {one.name for one in standing} | {name for one in standing for name in one.merged}
    named: list[NameOf] = []
    for place, gap in enumerate(found):
        kin = sorted((one for one in standing if _shared(gap, one)), key=lambda one: (-_shared(gap, one), one.name))
        before = pairs.get(place)
        ended = [one.name for one in kin if one is not before and one not in pairs.values()]
        if before is not None:
            merged = tuple(dict.fromkeys((*before.merged, *ended)))
            named.append(NameOf(gap, _standing(gap, before.name, merged, before.split_from), is_new=False))
            continue
        name = _fresh(gap.key, taken)
        taken.add(name)
        named.append(NameOf(gap, _standing(gap, name, (), kin[0].name if kin else None), is_new=True))
    return tuple(named)


def _pairs(found: Sequence[Gap], standing: Sequence[Standing]) -> dict[int, Standing]:
    """Which gap goes on from which, each at most once, by the place of the gap."""
    pairs: dict[int, Standing] = {}
    gone: set[str] = set()
    for _, place, one in sorted(_kin(found, standing), key=lambda kin: kin[0]):
        if place not in pairs and one.name not in gone:
            pairs[place] = one
            gone.add(one.name)
    return pairs


def _kin(found: Sequence[Gap], standing: Sequence[Standing]) -> Iterator[tuple[tuple[object, ...], int, Standing]]:
    for place, gap in enumerate(found):
        for one in standing:
            shared = _shared(gap, one)
            if shared:
                yield (-shared, _first_due(lines_of(gap)), _first_due(one.lines), one.name), place, one


def _shared(gap: Gap, one: Standing) -> int:
    return len(lines_of(gap) & one.lines) if gap.asked == one.asked else 0


def _first_due(lines: frozenset[DatedKey]) -> date:
    return min(due for _, due in lines)


def _standing(gap: Gap, name: str, merged: tuple[str, ...], split_from: str | None) -> Standing:
    return Standing(name, gap.asked, lines_of(gap), merged, split_from)


def _fresh(key: str, taken: set[str]) -> str:
    """The name that follows from what is asked and the first week; with a number behind it where that is taken."""
    if key not in taken:
        return key
    number = 2
    while f"{key}.{number}" in taken:
        number += 1
    return f"{key}.{number}"
