"""A match served again where lines or pools differ: only lines that the change really reaches.

A line is served anew where it is new, where it may take from other pools than before, or where a pool that it may take
from has turned: it holds other stems, or an earlier line now takes otherwise from it. Every other line keeps its takes.
"""

from __future__ import annotations

from bisect import insort
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from haulm.demand.dated_line import DatedLine
from haulm.farm.products import Product
from haulm.matching.lazy_counts import (
    MadeWhenAsked,
    NumberedCount,
    WindowNumbers,
    before_of,
    steps_of,
    taken_of,
    turned_pools,
)
from haulm.matching.result import MatchResult, Take
from haulm.matching.serve import serve_line
from haulm.matching.supply import Keeping, Pool, Supply
from haulm.matching.wishes import Wish, Wishes, place_in_order, strict_order

_FEW = 64
"""So many new lines are put into their places one by one; more are sorted with the others."""


@dataclass(frozen=True, eq=False)
class LineChange:
    """Lines beside those of an earlier match.

    Attributes:
        lines: all lines that now stand, in the strict order; a line that stood before is the very same object.
        before: place of each in the earlier match, -1 for a new one.
        gone: places in the earlier match of the lines that stand no more, rising.
    """

    lines: tuple[DatedLine, ...]
    before: list[int]
    gone: tuple[int, ...]


def line_change(previous: MatchResult, lines: Iterable[DatedLine]) -> LineChange:
    """What differs between the lines of a match and others, given in any order."""
    known = previous.places_by_identity
    stayed: list[int] = []
    fresh: list[DatedLine] = []
    for line in lines:
        place = known.get(id(line))
        if place is None:
            place = previous.places.get(line)
        if place is None:
            fresh.append(line)
        else:
            stayed.append(place)
    stayed.sort()
    ordered = [previous.lines[place] for place in stayed]
    gone = set(range(len(previous.lines))).difference(stayed) if len(stayed) < len(previous.lines) else ()
    if len(fresh) > _FEW:
        ordered = list(strict_order((*ordered, *fresh)))
    else:
        for line in fresh:
            insort(ordered, line, key=place_in_order)
    before = [known.get(id(line), -1) for line in ordered]
    return LineChange(tuple(ordered), before, tuple(sorted(gone)))


def with_other_lines(previous: MatchResult, change: LineChange) -> MatchResult:
    """The match of the lines that now stand, of the same pools; equal to a full one."""
    wishes = previous.wishes.with_lines(change.lines, _differing(previous, change))
    return _Rerun(previous, change, wishes).result()


def with_other_pools(previous: MatchResult, change: LineChange, supply: Supply) -> MatchResult:
    """The match of the lines that now stand, of other pools in equally weighted seasons; equal to a full one."""
    if [_key(pool) for pool in supply.pools] == [_key(pool) for pool in previous.supply.pools]:
        wishes = previous.wishes.after(supply, frozenset(changed_pools(previous.supply, supply)))
        wishes = wishes.with_lines(change.lines, _differing(previous, change))
    else:
        wishes = Wishes(change.lines, supply, previous.keeping)
    return _Rerun(previous, change, wishes).result()


def with_other_cuts(previous: MatchResult, keeping: Keeping) -> MatchResult:
    """The match of the same lines and pools, other extra cut days; equal to a full one."""
    same = LineChange(previous.lines, list(range(len(previous.lines))), ())
    return _Rerun(previous, same, previous.wishes.cutting(keeping)).result()


def changed_pools(old: Supply, new: Supply) -> set[int]:
    """Places of the pools that are new or hold other stems than before."""
    if old is new:
        return set()
    before = {_key(pool): pool for pool in old.pools}
    return {
        place
        for place, pool in enumerate(new.pools)
        if (then := before.get(_key(pool))) is None or not then.same_as(pool)
    }


def _key(pool: Pool) -> tuple[Product, int]:
    return (pool.product, pool.length_cm)


def _differing(previous: MatchResult, change: LineChange) -> list[DatedLine]:
    """The lines that stand in one of both only."""
    fresh = [line for line, place in zip(change.lines, change.before, strict=True) if place < 0]
    return [*fresh, *(previous.lines[place] for place in change.gone)]


class _Rerun:
    """One pass from the first line that the change may reach."""

    def __init__(self, previous: MatchResult, change: LineChange, wishes: Wishes) -> None:
        self._previous = previous
        self._change = change
        self._wishes = wishes
        self._supply = wishes.supply
        self._places = _places_now(previous.supply, self._supply)
        self._takes = [self._takes_before(place) if place >= 0 else () for place in change.before]
        self._counts: MadeWhenAsked[NumberedCount] = MadeWhenAsked(self._count)
        self._numbers = WindowNumbers()
        self._is_cut_otherwise = wishes.acceptance.keeping != previous.keeping
        self._turned = changed_pools(previous.supply, self._supply)
        self._now = 0

    def result(self) -> MatchResult:
        """Serve what is reached."""
        turning = self._turning()
        waiting = list(reversed(self._change.gone))
        for place in range(self._first(turning), len(self._takes)):
            before = self._change.before[place]
            while waiting and before > waiting[-1]:
                self._turned.update(take.pool for take in self._takes_before(waiting.pop()))
            pools = self._wish(place).pools
            if self._is_cut_otherwise and before >= 0:
                self._turned.update(self._opened_otherwise(place))
            if before < 0 or place in turning or not self._turned.isdisjoint(pools):
                self._serve(place)
            elif not self._counts.keys().isdisjoint(pools):
                self._book(place)
        keeping = self._wishes.acceptance.keeping
        return MatchResult(self._change.lines, self._supply, keeping, tuple(self._takes), self._wishes)

    def _opened_otherwise(self, place: int) -> Iterator[int]:
        """The pools of which a line accepts other lots than before: from it on, others find other stems there."""
        wish, then = self._wish(place), self._previous.wishes.acceptance
        for pool in wish.pools:
            mask, before = self._wishes.acceptance.mask(pool, wish.window), then.mask(pool, wish.window)
            if mask is not before and not np.array_equal(mask, before):
                yield pool

    def _takes_before(self, place: int) -> tuple[Take, ...]:
        """What a line took in the earlier match, by the places that pools have now; not of pools that are gone."""
        takes, places = self._previous.takes[place], self._places
        if places is None:
            return takes
        return tuple(Take(places[take.pool], take.stems) for take in takes if take.pool in places)

    def _pools_before(self, line: DatedLine) -> tuple[int, ...]:
        """The pools that a line might take from, by the places that they have now; -1 for one that is gone."""
        pools, places = self._previous.wishes.of(line).pools, self._places
        return pools if places is None else tuple(places.get(pool, -1) for pool in pools)

    def _turning(self) -> frozenset[int]:
        """Places of the lines that may now take from other pools, or from theirs in another order.

        Of the same pools only choice lines may.
        """
        known = self._previous.wishes
        return frozenset(
            place
            for place, line in enumerate(self._change.lines)
            if (line.choice is not None or self._places is not None or self._is_cut_otherwise)
            and self._change.before[place] >= 0
            and self._wishes.of(line) is not known.of(line)
            and self._wishes.of(line).pools != self._pools_before(line)
        )

    def _first(self, turning: frozenset[int]) -> int:
        """The first place at which anything can be otherwise."""
        change = self._change
        if self._places is not None or self._is_cut_otherwise:
            return 0
        first_gone = change.gone[0] if change.gone else len(self._previous.lines)
        return next(
            (
                place
                for place, before in enumerate(change.before)
                if before < 0 or before > first_gone or place in turning
            ),
            len(change.before),
        )

    def _serve(self, place: int) -> None:
        self._now = place
        wish = self._wish(place)
        before = None
        if self._change.before[place] >= 0:
            before = before_of(wish, self._pools_before(wish.line), self._takes[place], self._turned)
        found = serve_line(wish, steps_of(wish, self._supply, self._numbers), self._counts, before)
        turned = list(turned_pools(self._takes[place], found))
        if turned:
            self._turned.update(turned)
            self._takes[place] = found

    def _book(self, place: int) -> None:
        """Tell the counts what a line takes as before."""
        for take in self._takes[place]:
            count = self._counts.get(take.pool)
            if count is not None:
                count.give(self._numbers[self._wish(place).window], take.stems)

    def _count(self, pool: int) -> NumberedCount:
        """The count of a pool as the lines before this one leave it."""
        askers = [
            (wish, taken_of(pool, self._takes[place]) if place < self._now else None)
            for place, wish in self._asking.get(pool, ())
        ]
        acceptance = self._wishes.acceptance
        return NumberedCount(
            self._supply.pools[pool], lambda window: acceptance.mask(pool, window), askers, self._numbers
        )

    @cached_property
    def _asking(self) -> dict[int, list[tuple[int, Wish]]]:
        """Per pool, the places of the lines that may take from it, with their wishes."""
        found: dict[int, list[tuple[int, Wish]]] = {}
        for place, line in enumerate(self._change.lines):
            wish = self._wishes.of(line)
            for pool in wish.pools:
                found.setdefault(pool, []).append((place, wish))
        return found

    def _wish(self, place: int) -> Wish:
        return self._wishes.of(self._change.lines[place])


def _places_now(old: Supply, new: Supply) -> dict[int, int] | None:
    """The place that each pool of before has now, those that are gone left out; None where all pools are the same."""
    if old is new:
        return None
    places = {_key(pool): place for place, pool in enumerate(new.pools)}
    return {place: places[_key(pool)] for place, pool in enumerate(old.pools) if _key(pool) in places}
