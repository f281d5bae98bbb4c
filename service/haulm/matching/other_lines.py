"""A match served again where lines or pools differ: only lines that the change really reaches.

A line is served anew where it is new, where it may take from other pools than before, or where a pool that it may take
from has turned: it holds other stems, or an earlier line now takes otherwise from it. Every other line keeps its takes.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterable, Iterator, Set
from dataclasses import dataclass
from functools import cached_property
from itertools import count

import numpy as np

from haulm.demand.dated_line import DatedLine
from haulm.farm.products import Product
from haulm.matching.at_once import Earlier, served_at_once
from haulm.matching.compiler import IS_COMPILED
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
from haulm.matching.supply import IndexArray, Keeping, Pool, Supply
from haulm.matching.wishes import Wish, Wishes, place_in_order, strict_order, wishes_of

_ONE_BY_ONE = 100
"""Serving a line by itself takes about so many times as long as serving it along with all others."""


@dataclass(frozen=True, eq=False)
class LineChange:
    """Lines beside those of an earlier match.

    Attributes:
        lines: all lines that now stand, in the strict order; a line that stood before is the very same object.
        before: place of each in the earlier match, -1 for a new one.
        fresh: places of the new lines, rising.
        gone: places in the earlier match of the lines that stand no more, rising.
    """

    lines: tuple[DatedLine, ...]
    before: list[int]
    fresh: tuple[int, ...]
    gone: tuple[int, ...]

    def places_of(self, earlier: IndexArray) -> list[int]:
        """The places in the order now of lines by those in the earlier one, shape (lines,); lines gone are left out."""
        gone = np.array(self.gone, np.intp)
        left = np.searchsorted(gone, earlier)
        stayed = (earlier - left)[np.searchsorted(gone, earlier, side="right") == left]
        fresh = np.array(self.fresh, np.intp)
        places: list[int] = (stayed + np.searchsorted(fresh - np.arange(fresh.size), stayed, side="right")).tolist()
        return places


def line_change(previous: MatchResult, lines: Iterable[DatedLine]) -> LineChange:
    """What differs between the lines of a match and others, given in any order."""
    given = tuple(lines)
    known = list(map(previous.places.get, given))
    fresh = [given[at] for at, place in enumerate(known) if place is None] if None in known else []
    before = sorted(place for place in known if place is not None)
    stands = np.zeros(len(previous.lines), np.bool_)
    stands[before] = True
    ordered = list(map(previous.lines.__getitem__, before))
    for line in strict_order(fresh):
        at = bisect_right(ordered, place_in_order(line), key=place_in_order)
        ordered.insert(at, line)
        before.insert(at, -1)
    new = np.flatnonzero(np.array(before, np.intp) < 0).tolist() if fresh else ()
    return LineChange(tuple(ordered), before, tuple(new), tuple(np.flatnonzero(~stands).tolist()))


def with_other_lines(previous: MatchResult, change: LineChange) -> MatchResult:
    """The match of the lines that now stand, of the same pools; equal to a full one."""
    wishes = previous.wishes.with_lines(change.lines)
    return _matched(previous, change, wishes, frozenset())


def with_other_pools(previous: MatchResult, change: LineChange, supply: Supply) -> MatchResult:
    """The match of the lines that now stand, of other pools in equally weighted seasons; equal to a full one."""
    changed = changed_pools(previous.supply, supply)
    if _keys(supply) == _keys(previous.supply):
        wishes = previous.wishes.after(supply, changed)
        wishes = wishes.with_lines(change.lines)
    else:
        wishes = wishes_of(change.lines, supply, previous.keeping)
    return _matched(previous, change, wishes, changed)


def with_other_cuts(previous: MatchResult, keeping: Keeping) -> MatchResult:
    """The match of the same lines and pools, other extra cut days; equal to a full one."""
    same = LineChange(previous.lines, list(range(len(previous.lines))), (), ())
    return _matched(previous, same, previous.wishes.cutting(keeping), frozenset())


def _matched(previous: MatchResult, change: LineChange, wishes: Wishes, changed: Set[int]) -> MatchResult:
    """All lines served at once where that is the shorter way, else those that are reached."""
    if IS_COMPILED and _reached_at_least(previous, change, wishes, changed) * _ONE_BY_ONE > len(change.lines):
        takes = served_at_once(change.lines, wishes, _earlier(previous, change, wishes, changed))
        if takes is not None:
            return MatchResult(change.lines, wishes.supply, wishes.acceptance.keeping, takes, wishes)
    return _Rerun(previous, change, wishes, changed).result()


def _earlier(previous: MatchResult, change: LineChange, wishes: Wishes, changed: Set[int]) -> Earlier | None:
    """The earlier match, where its pools and cut days are those of now."""
    is_like = _keys(previous.supply) == _keys(wishes.supply) and wishes.acceptance.keeping == previous.keeping
    return Earlier(previous, change.before, change.gone, changed) if is_like else None


def _reached_at_least(previous: MatchResult, change: LineChange, wishes: Wishes, changed: Set[int]) -> int:
    """About how many lines a change reaches at first hand; it may reach more through them."""
    if wishes.acceptance.keeping != previous.keeping:
        return len(change.lines)
    first = dict.fromkeys(changed, 0)
    for place in change.gone:
        for pool in previous.wishes.of(previous.lines[place]).pools:
            first.setdefault(pool, place)
    for place in change.fresh:
        for pool in wishes.of(change.lines[place]).pools:
            first[pool] = min(place, first.get(pool, place))
    is_reached = np.zeros(len(previous.lines) + 1, np.bool_)
    for pool, place in first.items():
        askers = previous.askers.get(pool, np.zeros(0, np.intp))
        is_reached[askers[np.searchsorted(askers, place) :]] = True
    return int(is_reached.sum())


def changed_pools(old: Supply, new: Supply) -> frozenset[int]:
    """Places of the pools that are new or hold other stems than before."""
    if old is new:
        return frozenset()
    before = {_key(pool): pool for pool in old.pools}
    return frozenset(
        place
        for place, pool in enumerate(new.pools)
        if (then := before.get(_key(pool))) is None or not then.same_as(pool)
    )


def _keys(supply: Supply) -> list[tuple[Product, int]]:
    return [_key(pool) for pool in supply.pools]


def _key(pool: Pool) -> tuple[Product, int]:
    return (pool.product, pool.length_cm)


class _Rerun:
    """One pass over the lines that the change may reach."""

    def __init__(self, previous: MatchResult, change: LineChange, wishes: Wishes, changed: Set[int]) -> None:
        self._previous = previous
        self._changed = changed
        self._change = change
        self._wishes = wishes
        self._supply = wishes.supply
        self._places = _places_now(previous.supply, self._supply)
        self._takes = self._all_takes_before()
        self._counts: dict[int, NumberedCount] = {}
        self._numbers = WindowNumbers()
        self._is_cut_otherwise = wishes.acceptance.keeping != previous.keeping
        self._turning = self._lines_turning()
        self._turned: set[int] = set()
        self._visited = bytearray(len(change.lines))
        self._now = 0

    def result(self) -> MatchResult:
        """Serve what is reached."""
        leaving = self._leaving()
        self._visit((*self._change.fresh, *self._turning, *leaving))
        if self._is_cut_otherwise:
            self._visit(range(len(self._takes)))
        self._turn(self._changed)
        place = self._visited.find(1)
        while place >= 0:
            for gone in leaving.get(place, ()):
                self._turn(take.pool for take in self._takes_before(gone))
            self._look_at(place)
            place = self._visited.find(1, place + 1)
        keeping = self._wishes.acceptance.keeping
        return MatchResult(self._change.lines, self._supply, keeping, tuple(self._takes), self._wishes)

    def _visit(self, places: Iterable[int]) -> None:
        """Have lines looked at; those that have been passed are not come back to."""
        for place in places:
            self._visited[place] = 1

    def _turn(self, pools: Iterable[int]) -> None:
        """Note pools that are others, or of which a line takes otherwise now; all that may take from them are met."""
        for pool in pools:
            if pool not in self._turned:
                self._turned.add(pool)
                self._visit(self._askers(pool))

    def _leaving(self) -> dict[int, list[int]]:
        """The lines that are gone, by the place of the next line that has stayed; none where none has."""
        found: dict[int, list[int]] = {}
        also_gone = set(self._change.gone)
        for gone in self._change.gone:
            behind = next(place for place in count(gone + 1) if place not in also_gone)
            if behind < len(self._previous.lines):
                found.setdefault(self._change.places_of(np.array([behind], np.intp))[0], []).append(gone)
        return found

    def _look_at(self, place: int) -> None:
        """Serve a line anew where it may take otherwise; else tell the counts what it takes."""
        before = self._change.before[place]
        if self._is_cut_otherwise and before >= 0:
            self._turn(self._opened_otherwise(place))
        pools = self._wish(place).pools
        if before < 0 or place in self._turning or not self._turned.isdisjoint(pools):
            self._serve(place)
        elif not self._counts.keys().isdisjoint(pools):
            self._book(place)

    def _opened_otherwise(self, place: int) -> Iterator[int]:
        """The pools of which a line accepts other lots than before: from it on, others find other stems there."""
        wish, then = self._wish(place), self._previous.wishes.acceptance
        for pool in wish.pools:
            mask, before = self._wishes.acceptance.mask(pool, wish.window), then.mask(pool, wish.window)
            if mask is not before and not np.array_equal(mask, before):
                yield pool

    def _all_takes_before(self) -> list[tuple[Take, ...]]:
        """What each line took in the earlier match; nothing for a new one."""
        before = self._change.before
        if self._places is not None:
            return [self._takes_before(place) if place >= 0 else () for place in before]
        if not self._previous.takes:
            return [()] * len(before)
        takes = list(map(self._previous.takes.__getitem__, before))
        for place in self._change.fresh:
            takes[place] = ()
        return takes

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

    def _lines_turning(self) -> frozenset[int]:
        """Places of the lines that may now take from other pools, or from theirs in another order.

        Of the same pools, cut as before, only choice lines may.
        """
        change, known = self._change, self._previous.wishes
        every = self._places is not None or self._is_cut_otherwise
        places = range(len(change.lines)) if every else change.places_of(self._previous.choosing)
        return frozenset(
            place
            for place in places
            if change.before[place] >= 0
            and self._wish(place) is not known.of(change.lines[place])
            and self._wish(place).pools != self._pools_before(change.lines[place])
        )

    def _serve(self, place: int) -> None:
        self._now = place
        wish = self._wish(place)
        before = None
        if self._change.before[place] >= 0:
            before = before_of(wish, self._pools_before(wish.line), self._takes[place], self._turned)
        counts = MadeWhenAsked(self._counts, self._count)
        found = serve_line(wish, steps_of(wish, self._supply, self._numbers), counts, before)
        turned = list(turned_pools(self._takes[place], found))
        if turned:
            self._turn(turned)
            self._takes[place] = found

    def _book(self, place: int) -> None:
        """Tell the counts what a line takes as before."""
        for take in self._takes[place]:
            known = self._counts.get(take.pool)
            if known is not None:
                known.give(self._numbers[self._wish(place).window], take.stems)

    def _count(self, pool: int) -> NumberedCount:
        """The count of a pool as the lines before this one leave it; from now on it is told what each line takes."""
        askers = self._askers(pool)
        self._visit(askers)
        asks = [
            (self._wish(place), taken_of(pool, self._takes[place]) if place < self._now else None) for place in askers
        ]
        return NumberedCount(pool, self._wishes.blanks, asks, self._numbers)

    def _askers(self, pool: int) -> list[int]:
        """Places of the lines that may take from a pool, rising."""
        if self._places is not None:
            return self._asking.get(pool, [])
        as_before = self._change.places_of(self._previous.askers.get(pool, np.zeros(0, np.intp)))
        others = {*self._change.fresh, *self._turning}
        if others:
            as_before = [place for place in as_before if place not in others]
            as_before += [place for place in others if pool in self._wish(place).pools]
            as_before.sort()
        return as_before

    @cached_property
    def _asking(self) -> dict[int, list[int]]:
        """The same for every pool, where pools have other places than before."""
        found: dict[int, list[int]] = {}
        for place in range(len(self._change.lines)):
            for pool in self._wish(place).pools:
                found.setdefault(pool, []).append(place)
        return found

    def _wish(self, place: int) -> Wish:
        return self._wishes.of(self._change.lines[place])


def _places_now(old: Supply, new: Supply) -> dict[int, int] | None:
    """The place that each pool of before has now, those that are gone left out; None where all pools are the same."""
    if old is new:
        return None
    places = {_key(pool): place for place, pool in enumerate(new.pools)}
    return {place: places[_key(pool)] for place, pool in enumerate(old.pools) if _key(pool) in places}
