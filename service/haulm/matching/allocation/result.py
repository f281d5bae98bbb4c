"""The answer of a match: what each line takes from each pool, in every season."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from haulm.demand.dated_line import DatedLine
from haulm.farm.products import Choice, Product
from haulm.matching.allocation.allocations import Allocation, Allocations, AllocationTable
from haulm.matching.allocation.candidates import AllCandidates, all_candidates
from haulm.matching.allocation.links import Links
from haulm.matching.supply import IndexArray, IntArray, Keeping, Pool, StemArray, Supply


@dataclass(frozen=True, eq=False)
class MatchResult:
    """Who gets which stems. Lines are named by their place in the strict order.

    Attributes:
        lines: the lines in the strict order.
        supply: what was matched.
        keeping: the rules it was matched under.
        takes: per line, what it takes; pools that give it nothing in any season are left out.
        known_wishes: what each line may take, where the match has kept it.
    """

    lines: tuple[DatedLine, ...]
    supply: Supply
    keeping: Keeping
    takes: tuple[Allocations, ...]
    known_wishes: AllCandidates | None = None

    def filled(self, line: int) -> IntArray:
        """Stems a line gets in each season, shape (seasons,)."""
        return filled(self.takes[line], self.supply.seasons)

    def filled_all(self) -> IntArray:
        """Stems every line gets in each season, shape (lines, seasons)."""
        found = np.zeros((len(self.lines), self.supply.seasons), np.int32)
        for place in range(len(self.lines)):
            for take in self.takes[place]:
                found[place] += take.stems
        return found

    def given(self, line: int, product: Product, length_cm: int) -> IntArray:
        """Stems a line takes of a product in one length class in each season, shape (seasons,)."""
        total = np.zeros(self.supply.seasons, np.int32)
        for take in self.takes[line]:
            pool = self.supply.pools[take.pool]
            if (pool.product, pool.length_cm) == (product, length_cm):
                total += take.stems
        return total

    def pool(self, take: Allocation) -> Pool:
        """The pool of a take."""
        return self.supply.pools[take.pool]

    @cached_property
    def places(self) -> dict[DatedLine, int]:
        """Place of each line in the strict order."""
        return {line: place for place, line in enumerate(self.lines)}

    @cached_property
    def table(self) -> AllocationTable:
        """All takes, one below the other in the strict order."""
        return AllocationTable(self.takes)

    @cached_property
    def takers(self) -> dict[int, list[tuple[int, StemArray]]]:
        """Per pool, the lines that take from it and their stems, shape (seasons,) or (1,), in the strict order."""
        found: dict[int, list[tuple[int, StemArray]]] = {}
        for place, takes in enumerate(self.takes):
            for take in takes:
                found.setdefault(take.pool, []).append((place, take.stems))
        return found

    @cached_property
    def links(self) -> Links:
        """Which pools and lines hang together."""
        return Links([candidate.pools for candidate in self.candidates.in_order], len(self.supply.pools))

    @cached_property
    def choosing(self) -> dict[Choice, IndexArray]:
        """The places of the lines of each choice, which pick their stems among products, rising, shape (lines,)."""
        found: dict[Choice, list[int]] = {}
        for place, line in enumerate(self.lines):
            if line.choice is not None:
                found.setdefault(line.choice, []).append(place)
        return {choice: np.array(places, np.intp) for choice, places in found.items()}

    @cached_property
    def naming(self) -> dict[Product, IndexArray]:
        """The places in the order of the lines that name a product, as their own or as a substitute, rising [number].

        Shape (lines,).
        """
        found: dict[Product, list[int]] = {}
        for place, line in enumerate(self.lines):
            own = () if line.product is None else (line.product,)
            for product in dict.fromkeys((*own, *line.substitutes)):
                found.setdefault(product, []).append(place)
        return {product: np.array(places, np.intp) for product, places in found.items()}

    @cached_property
    def candidates(self) -> AllCandidates:
        """What each line may take; worked out again where the match has not kept it."""
        return self.known_wishes or all_candidates(self.lines, self.supply, self.keeping)

    def stems_in(self, take: Allocation, season: int) -> int:
        """Stems of a take in one season."""
        return int(take.stems[season if take.stems.size > 1 else 0])


def filled(takes: Allocations, seasons: int) -> IntArray:
    """Stems of some takes together in each season, shape (seasons,)."""
    total = np.zeros(seasons, np.int32)
    for take in takes:
        total += take.stems
    return total
