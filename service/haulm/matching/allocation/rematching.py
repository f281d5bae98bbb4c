"""What differs from an earlier match, and the takes of all lines after it; only what it can reach is worked out again.

A line is served anew where it is new, where it may take from other pools than before, or where a pool that it may take
from has turned: it holds other stems, or an earlier line now takes otherwise from it. Every other line keeps its takes.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterable, Iterator, Set
from dataclasses import dataclass

import numpy as np

from haulm.demand.dated_line import DatedLine
from haulm.farm.products import Product
from haulm.matching.allocation.allocate import Earlier, allocate
from haulm.matching.allocation.allocations import Allocation, Allocations, AllocationTable
from haulm.matching.allocation.candidates import AllCandidates, Candidates, all_candidates, place_in_order, strict_order
from haulm.matching.allocation.result import MatchResult
from haulm.matching.supply import BoolArray, IndexArray, Supply


@dataclass(frozen=True, eq=False)
class LineChange:
    """Lines beside those of an earlier match.

    Attributes:
        lines: all lines that now stand, in the strict order; a line that stood before is the very same object.
        before: place of each in the earlier match, -1 for a new one, shape (lines,).
        fresh: places of the new lines, rising.
        gone: places in the earlier match of the lines that stand no more, rising.
    """

    lines: tuple[DatedLine, ...]
    before: IndexArray
    fresh: tuple[int, ...] = ()
    gone: tuple[int, ...] = ()

    def places_of(self, earlier: IndexArray) -> list[int]:
        """The places in the order now of lines by those in the earlier one, shape (lines,); lines gone are left out."""
        gone = np.array(self.gone, np.intp)
        left = np.searchsorted(gone, earlier)
        stayed = (earlier - left)[np.searchsorted(gone, earlier, side="right") == left]
        fresh = np.array(self.fresh, np.intp)
        places: list[int] = (stayed + np.searchsorted(fresh - np.arange(fresh.size), stayed, side="right")).tolist()
        return places

    def behind(self, gone: int) -> int:
        """The place now of the first line that has stayed behind one that is gone; the number of lines if none has."""
        stayed = np.flatnonzero(self.before > gone)
        return int(stayed[0]) if stayed.size else len(self.lines)


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
    then = np.array(before, np.intp)
    return LineChange(
        tuple(ordered), then, tuple(np.flatnonzero(then < 0).tolist()), tuple(np.flatnonzero(~stands).tolist())
    )


def same_lines(previous: MatchResult) -> LineChange:
    """The lines of a match as they were."""
    return LineChange(previous.lines, np.arange(len(previous.lines)))


def candidates_after(
    previous: MatchResult, change: LineChange, supply: Supply, changed: frozenset[int]
) -> AllCandidates:
    """The candidates of the lines that now stand for pools of which some, by their places, are others than before."""
    if supply is previous.supply:
        return previous.candidates.with_lines(change.lines)
    if keys(supply) != keys(previous.supply):
        return all_candidates(change.lines, supply, previous.keeping)
    return previous.candidates.after(supply, changed).with_lines(change.lines)


def changed_pools(old: Supply, new: Supply) -> frozenset[int]:
    """Places of the pools that are new or hold other stems than before."""
    if old is new:
        return frozenset()
    before = dict(zip(keys(old), old.pools, strict=True))
    return frozenset(
        place
        for place, (key, pool) in enumerate(zip(keys(new), new.pools, strict=True))
        if (then := before.get(key)) is None or not then.same_as(pool)
    )


def keys(supply: Supply) -> list[tuple[Product, int]]:
    """The name of each pool: its product and length."""
    return [(pool.product, pool.length_cm) for pool in supply.pools]


def allocations_after(
    previous: MatchResult, change: LineChange, candidates: AllCandidates, changed: Set[int], stop: int | None = None
) -> list[Allocations]:
    """What lines take after a change.

    Args:
        previous: the earlier match.
        change: the lines.
        candidates: what they may take now.
        changed: places of the pools that are others than before.
        stop: how many lines are asked for, the first ones; None for all.
    """
    reach = _Reach(previous, change, candidates, len(change.lines) if stop is None else stop)
    return reach.takes(changed)


class _Reach:
    """What a change reaches."""

    def __init__(self, previous: MatchResult, change: LineChange, candidates: AllCandidates, stop: int) -> None:
        self._previous = previous
        self._change = change
        self._wishes = candidates
        self._before = change.before[:stop]
        self._now = _places_now(previous.supply, candidates.supply)
        self._table = (
            previous.table if self._now is None else AllocationTable([self._moved(own) for own in previous.takes])
        )
        self._turns_at: dict[int, int] = {}
        self._is_new = self._before < 0
        self._may_differ = self._is_new.copy()

    def takes(self, changed: Set[int]) -> list[Allocations]:
        """What lines take."""
        for pool in changed:
            self._turn(pool, 0)
        for gone in self._change.gone:
            for take in self._table.takes[gone]:
                self._turn(take.pool, self._change.behind(gone))
        touched = set(self._look_for_turning(changed))
        takes: list[Allocations] = [self._table.takes[place] if place >= 0 else () for place in self._before.tolist()]
        places = np.flatnonzero(self._is_reached(touched | self._turns_at.keys()))
        dirty_from = {pool: int(np.searchsorted(places, line)) for pool, line in self._turns_at.items()}
        then = Earlier(self._table, self._before[places].astype(np.int64), self._is_new[places], dirty_from)
        found = [self._wish(place) for place in places.tolist()]
        for place, own in zip(places.tolist(), allocate(found, self._wishes, then), strict=True):
            takes[place] = own
        return takes

    def _turn(self, pool: int, line: int) -> None:
        """Note a pool that is another from some line on."""
        self._turns_at[pool] = min(line, self._turns_at.get(pool, line))

    def _look_for_turning(self, changed: Set[int]) -> Iterator[int]:
        """The pools of the lines that are new, or may now take from other pools, or from theirs in another order."""
        is_cut_otherwise = self._wishes.acceptance.keeping != self._previous.keeping
        may_turn = range(len(self._before)) if is_cut_otherwise or self._now is not None else self._may_turn(changed)
        for place in may_turn:
            if place < len(self._before) and not self._is_new[place]:
                self._may_differ[place] = True
                candidate, then = self._wish(place), self._wish_then(place)
                if is_cut_otherwise:
                    self._look_for_opened(place, candidate)
                if candidate is not then:
                    self._compare(place, candidate, then)
        for place in np.flatnonzero(self._is_new).tolist():
            yield from self._wish(place).pools

    def _may_turn(self, changed: Set[int]) -> list[int]:
        """The lines that may take otherwise where all pools are where they were, and cut as before.

        Those that name a product of a changed pool, and those whose choice it answers; all choice lines where lines
        have come or gone, since what others ask moves the order of a choice too.
        """
        products = {self._wishes.supply.pools[pool].product for pool in changed}
        reached = [self._previous.naming[product] for product in products if product in self._previous.naming]
        is_same_demand = not self._change.fresh and not self._change.gone
        for choice, places in self._previous.choosing.items():
            if not is_same_demand or not products.isdisjoint(self._wishes.offer.answering(choice)):
                reached.append(places)
        return self._change.places_of(np.unique(np.concatenate(reached))) if reached else []

    def _look_for_opened(self, place: int, candidate: Candidates) -> None:
        """Note pools of which a line accepts other lots than before: from it on, others find other stems there."""
        for pool in candidate.pools:
            mask = self._wishes.acceptance.mask(pool, candidate.window)
            before = self._previous.candidates.acceptance.mask(pool, candidate.window)
            if mask is not before and not np.array_equal(mask, before):
                self._turn(pool, place)

    def _compare(self, place: int, candidate: Candidates, then: Candidates) -> None:
        """Note whether a line may take from other pools than it might; those that it may not any more have turned."""
        pools = then.pools if self._now is None else tuple(self._now.get(pool, -1) for pool in then.pools)
        if pools != candidate.pools:
            self._is_new[place] = True
            for pool in set(pools).difference(candidate.pools, (-1,)):
                self._turn(pool, place)

    def _is_reached(self, touched: Iterable[int]) -> BoolArray:
        """Whether a change of some pools may reach each line, shape (lines,)."""
        if self._now is not None:
            return np.ones(len(self._before), np.bool_)
        reached = np.append(self._previous.links.reached(touched), True)
        return np.asarray(self._is_new | reached[self._before])

    def _moved(self, takes: Allocations) -> Allocations:
        """Takes by the places that pools have now; not of pools that are gone."""
        assert self._now is not None, "asked where pools have moved"
        return tuple(Allocation(self._now[take.pool], take.stems) for take in takes if take.pool in self._now)

    def _wish(self, place: int) -> Candidates:
        """What a line may take; of one that cannot take otherwise it is known, which spares most of all look-ups."""
        return self._wishes.of(self._change.lines[place]) if self._may_differ[place] else self._wish_then(place)

    def _wish_then(self, place: int) -> Candidates:
        return self._previous.candidates.in_order[int(self._before[place])]


def _places_now(old: Supply, new: Supply) -> dict[int, int] | None:
    """The place that each pool of before has now, those that are gone left out; None where they are where they were."""
    if old is new or keys(new)[: len(old.pools)] == keys(old):
        return None
    places = {key: place for place, key in enumerate(keys(new))}
    return {place: places[key] for place, key in enumerate(keys(old)) if key in places}
