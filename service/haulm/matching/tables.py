"""Pools as tables of numbers for the compiled pass: rows of F and G, and where each window finds its own.

Not every pool has such tables: windows that are no intervals are counted otherwise, and then all lines are served by
`serve.py`.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

import numpy as np

from haulm.farm.products import Product
from haulm.matching.blank_counts import Blank, BlankCounts
from haulm.matching.levels import Layer, kind_for
from haulm.matching.pass_arrays import Entries, StemArray, in_blocks
from haulm.matching.supply import Supply
from haulm.matching.windows import Window

Ask = tuple[Window, tuple[int, ...]]
"""A window and the pools of which stems are asked there, one after the other."""


class Tables:
    """The tables of some pools.

    Attributes:
        base: F and G of every layer with nothing given, per block of seasons, shape (rows, lanes); one lane where all
            seasons are alike.
        entries: the windows of all pools.
        product: a number for the product of each pool of the supply, shape (pools,).
    """

    def __init__(
        self, blanks: Mapping[int, Blank], layers: Mapping[int, Sequence[Layer]], products: Sequence[Product]
    ) -> None:
        """Take the blank counts of pools and their layers, and the product of every pool of the supply."""
        rows = _Rows()
        self._blanks = dict(blanks)
        self._first = {pool: rows.add(pool, layers[pool], blank.size) for pool, blank in blanks.items()}
        self._places: dict[Ask, tuple[int, ...]] = {}
        self.base = rows.base()
        self.entries = rows.entries(len(products))
        numbers = {product: number for number, product in enumerate(dict.fromkeys(products))}
        self.product = np.array([numbers[product] for product in products], np.int64)

    def places(self, asks: Sequence[Ask]) -> list[tuple[int, ...]] | None:
        """Per ask, the places among all windows of its own in each of its pools; None where one is not among these."""
        try:
            return [self._places[ask] for ask in asks]
        except KeyError:
            pass
        for ask in asks:
            if ask not in self._places:
                window, pools = ask
                if not all(pool in self._blanks and window in self._blanks[pool].places for pool in pools):
                    return None
                self._places[ask] = tuple(self._first[pool] + self._blanks[pool].places[window] for pool in pools)
        return [self._places[ask] for ask in asks]


class KnownTables:
    """The tables of a supply, made anew where a window is asked that they do not know."""

    def __init__(self, blanks: BlankCounts, supply: Supply) -> None:
        """Nothing is made until asked."""
        self._blanks = blanks
        self._supply = supply
        self._known: Tables | None = None

    def of(self, asks: Sequence[Ask]) -> tuple[Tables, list[tuple[int, ...]]] | None:
        """Tables that know all these asks, and the places of each there; None where a pool of them has none."""
        found = self._known
        places = None if found is None else found.places(asks)
        if found is None or places is None:
            found = self._known = self._made(asks)
            places = None if found is None else found.places(asks)
        return None if found is None or places is None else (found, places)

    def _made(self, asks: Iterable[Ask]) -> Tables | None:
        asked: dict[int, dict[Window, None]] = {}
        for window, pools in asks:
            for pool in pools:
                asked.setdefault(pool, {})[window] = None
        blanks = {pool: self._blanks.of(pool, windows) for pool, windows in asked.items()}
        layers = {pool: blank.layers for pool, blank in blanks.items()}
        known = {pool: found for pool, found in layers.items() if found is not None}
        if len(known) < len(blanks):
            return None
        return Tables(blanks, known, [pool.product for pool in self._supply.pools])


class _Rows:
    """Rows and windows as they are put one below the other."""

    def __init__(self) -> None:
        self._parts: list[StemArray] = []
        self._rows = 0
        self._first = [0]
        self._is_local: list[bool] = []
        self._ends: list[tuple[int, int, int, int, int]] = []
        self._of_pool: dict[int, tuple[int, int]] = {}

    def add(self, pool: int, layers: Sequence[Layer], windows: int) -> int:
        """Add the windows of a pool; returns the place of the first."""
        begin = len(self._is_local)
        first_row = self._rows
        placed = [(layer, self._put(layer.levels.held), self._put(layer.levels.freed)) for layer in layers]
        for window in range(windows):
            for layer, held, freed in placed:
                if window in layer.ends:
                    start, end = layer.ends[window]
                    stops = (held + len(layer.levels.held), freed + len(layer.levels.freed))
                    self._ends.append((held + end, freed + start, held, *stops))
            self._first.append(len(self._ends))
            self._is_local.append(layers[0].is_sorted)
        self._of_pool[pool] = (first_row, self._rows)
        return begin

    def _put(self, levels: StemArray) -> int:
        begin = self._rows
        self._parts.append(levels)
        self._rows += len(levels)
        return begin

    def base(self) -> tuple[StemArray, ...]:
        """All rows in blocks of seasons, in the smallest type that holds them."""
        width = max((part.shape[1] for part in self._parts), default=1)
        large = any(part.dtype == np.int32 and kind_for(part) is np.int32 for part in self._parts)
        blocks = in_blocks(width)
        found = tuple(
            np.empty((self._rows, block.stop - block.start), np.int32 if large else np.int16) for block in blocks
        )
        begin = 0
        for part in self._parts:
            for block, lanes in zip(blocks, found, strict=True):
                lanes[begin : begin + len(part)] = part if part.shape[1] == 1 else part[:, block]
            begin += len(part)
        return found

    def entries(self, pools: int) -> Entries:
        """All windows, of so many pools."""
        layers = np.array(self._ends, np.int64).reshape(len(self._ends), 5)
        rows = np.zeros((pools, 2), np.int64)
        for pool, place in self._of_pool.items():
            rows[pool] = place
        first, is_local = np.array(self._first, np.int64), np.array(self._is_local, np.bool_)
        return Entries(first, is_local, layers, rows)
