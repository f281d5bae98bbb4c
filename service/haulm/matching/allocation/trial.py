"""More stems tried out: what some lines would get of them; a match after a change, up to the last line watched."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

from haulm.farm.products import Product
from haulm.matching.allocation.rematching import allocations_after, same_lines
from haulm.matching.allocation.result import MatchResult, filled
from haulm.matching.supply import Block, IntArray, Pool, Supply

PoolName = tuple[Product, int]
"""Product and length class [cm]."""


class SupplyTrial:
    """A match on which more stems can be tried out again and again."""

    def __init__(self, result: MatchResult, watched: Iterable[int]) -> None:
        """The lines watched are named by their places in the strict order; one at least."""
        self._result = result
        self._watched = tuple(watched)
        self._lines = same_lines(result)

    def filled(self, added: Mapping[PoolName, Sequence[Block]]) -> tuple[IntArray, ...]:
        """Stems each watched line gets when blocks of stems are added.

        Args:
            added: blocks by product and length, shape of their stems (lots, seasons) or (lots, 1) [stems].

        Returns:
            Per watched line, shape (seasons,) [stems].
        """
        supply, changed = with_blocks(self._result.supply, added)
        candidates = self._result.candidates.after(supply, changed)
        takes = allocations_after(self._result, self._lines, candidates, changed, stop=max(self._watched) + 1)
        return tuple(filled(takes[line], supply.seasons) for line in self._watched)


def with_blocks(supply: Supply, added: Mapping[PoolName, Sequence[Block]]) -> tuple[Supply, frozenset[int]]:
    """The supply with blocks added, every pool in its place and new ones last; and the places that changed."""
    pools = list(supply.pools)
    places = {(pool.product, pool.length_cm): place for place, pool in enumerate(pools)}
    changed: set[int] = set()
    for (product, length_cm), blocks in added.items():
        place = places.get((product, length_cm))
        if place is None:
            place = len(pools)
            pools.append(Pool(product, length_cm, tuple(blocks)))
        else:
            pools[place] = Pool(product, length_cm, (*pools[place].blocks, *blocks))
        changed.add(place)
    return Supply(tuple(pools), supply.seasons, supply.weights), frozenset(changed)
