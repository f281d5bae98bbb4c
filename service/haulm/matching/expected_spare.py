"""What products are expected to have to spare in a window: mean stems there less the stems of the lines that name them.

Which lines share lots with a window outlasts changes of the lines; so does the mean.
"""

from __future__ import annotations

from collections.abc import Iterable, Set
from dataclasses import dataclass, field
from functools import cached_property

import numpy as np

from haulm.demand.dated_line import DatedLine
from haulm.farm.products import Product
from haulm.matching.supply import Block, BoolArray, FloatArray, Supply
from haulm.matching.windows import Acceptance, Window, window_of

Ask = tuple[Window, int]
"""A window and the least length [cm]."""


@dataclass(frozen=True, slots=True)
class _Sight:
    """One product as an ask sees it.

    Attributes:
        stems: mean stems in the window.
        meets: whether the product's own line of a kind can use some of them, as far as it is known.
    """

    stems: float
    meets: dict[Ask, bool] = field(default_factory=dict[Ask, bool])


class ExpectedSpare:
    """Expected stems to spare, for some lines and pools."""

    def __init__(self, lines: tuple[DatedLine, ...], supply: Supply, acceptance: Acceptance) -> None:
        """Nothing is worked out until asked."""
        self._lines = lines
        self._supply = supply
        self._acceptance = acceptance
        self._means: dict[Block, FloatArray] = {}
        self._sights: dict[tuple[Product, Window, int], _Sight] = {}
        self._masks: dict[int, BoolArray] = {}
        self._spare: dict[Product, dict[Ask, float]] = {}
        self._kept: dict[Product, dict[Ask, int]] = {}

    def with_lines(self, lines: tuple[DatedLine, ...], differing: Iterable[DatedLine]) -> ExpectedSpare:
        """The same for other lines; `differing` are those that stand in one of both only."""
        asks: dict[Product, set[Ask]] = {}
        for line in differing:
            if line.product is not None:
                asks.setdefault(line.product, set()).add((window_of(line), line.min_length_cm))
        found = ExpectedSpare(lines, self._supply, self._acceptance)
        found._means = self._means
        found._sights = self._sights
        for product, known in dict(self._spare).items():
            changed = asks.get(product)
            found._spare[product] = known if changed is None else self._out_of_sight_of(changed, product, known)
        found._kept = {product: kept for product, kept in self._own_demand.items() if product not in asks}
        return found

    def _out_of_sight_of(self, asks: Set[Ask], product: Product, known: dict[Ask, float]) -> dict[Ask, float]:
        """What is known of a product where none of its own lines that ask something can use the same stems."""
        sights = self._sights
        return {
            seen: spare
            for seen, spare in dict(known).items()
            if not any(sights[product, *seen].meets.get(ask, True) for ask in asks)
        }

    def knows(self, product: Product, window: Window, min_length_cm: int) -> bool:
        """Whether what a product has to spare in a window is worked out already."""
        return (window, min_length_cm) in self._spare.get(product, {})

    def after(self, supply: Supply, acceptance: Acceptance, changed: frozenset[int]) -> ExpectedSpare:
        """The same where some pools, by their places, are others."""
        found = ExpectedSpare(self._lines, supply, acceptance)
        others = {supply.pools[place].product for place in changed}
        blocks = {block for pool in supply.pools for block in pool.blocks}
        found._means = {block: mean for block, mean in dict(self._means).items() if block in blocks}
        found._sights = {key: sight for key, sight in dict(self._sights).items() if key[0] not in others}
        found._masks = {place: masks for place, masks in dict(self._masks).items() if place not in changed}
        found._spare = {product: known for product, known in dict(self._spare).items() if product not in others}
        found._own_demand = self._own_demand
        return found

    def cutting(self, acceptance: Acceptance) -> ExpectedSpare:
        """The same under rules that differ in extra cut days only."""
        found = ExpectedSpare(self._lines, self._supply, acceptance)
        found._means = self._means
        found._own_demand = self._own_demand
        return found

    def of(self, product: Product, window: Window, min_length_cm: int) -> float:
        """Mean stems of a product in a window less the stems of the lines of that product which can use some of them.

        Args:
            product: the product.
            window: the window asked.
            min_length_cm: the least length asked [cm].
        """
        known = self._spare.setdefault(product, {})
        found = known.get((window, min_length_cm))
        if found is None:
            found = known[window, min_length_cm] = self._less_asked(product, window, min_length_cm)
        return found

    def _less_asked(self, product: Product, window: Window, min_length_cm: int) -> float:
        key = (product, window, min_length_cm)
        sight = self._sights.get(key)
        if sight is None:
            there = self._there(*key).items()
            stems = sum(float(self.mean_stems(place)[mask].sum()) for place, mask in there)
            sight = self._sights[key] = _Sight(stems)
        asks = self._own_demand.get(product, {})
        if not asks.keys() <= sight.meets.keys():
            sight.meets.update(self._meeting(key, asks))
        return round(sight.stems - sum(stems for ask, stems in asks.items() if sight.meets[ask]), 6)

    def mean_stems(self, place: int) -> FloatArray:
        """Weighted mean stems of each lot of a pool, by its place, shape (lots,)."""
        parts = [self._mean_of(block) for block in self._supply.pools[place].blocks]
        return parts[0] if len(parts) == 1 else np.concatenate([*parts, np.zeros(0)])

    def _there(self, product: Product, window: Window, min_length_cm: int) -> dict[int, BoolArray]:
        """Per pool that is long enough, the lots of a window in which stems are expected, shape (lots,)."""
        places = self._supply.by_product.get(product, ())
        return {
            place: self._acceptance.mask(place, window) & (self.mean_stems(place) > 0)
            for place in places
            if self._supply.pools[place].length_cm >= min_length_cm
        }

    def _meeting(self, key: tuple[Product, Window, int], asks: Iterable[Ask]) -> dict[Ask, bool]:
        """Whether a product's own lines can use some of the stems that an ask sees."""
        own = tuple(asks)
        shares = np.zeros(len(own), np.bool_)
        for place, mask in self._there(*key).items():
            shares |= (self._own_masks(place, own) & mask).any(axis=1)
        return dict(zip(own, shares.tolist(), strict=True))

    def _own_masks(self, place: int, asks: tuple[Ask, ...]) -> BoolArray:
        """Lots of a pool that the product's own lines accept, shape (asks, lots); none where it is too short."""
        if place not in self._masks:
            pool = self._supply.pools[place]
            rows = [self._acceptance.mask(place, other) & (pool.length_cm >= length) for other, length in asks]
            self._masks[place] = np.array(rows, np.bool_).reshape(len(asks), len(pool.lots))
        return self._masks[place]

    def _mean_of(self, block: Block) -> FloatArray:
        if block not in self._means:
            weights = self._supply.weights
            one_season = block.stems.shape[1] != weights.size
            # Not `@`: a product of this size wakes threads, which then wait for the next one at full speed.
            mean = block.stems[:, 0] if one_season else np.einsum("ls,s->l", block.stems, weights)
            self._means[block] = mean.astype(np.float64)
        return self._means[block]

    @cached_property
    def _own_demand(self) -> dict[Product, dict[Ask, int]]:
        """Per product, the stems of the lines that name it as their own, by window and least length."""
        found = dict(self._kept)
        for line in self._lines:
            if line.product is not None and line.product not in self._kept:
                asks = found.setdefault(line.product, {})
                key = (window_of(line), line.min_length_cm)
                asks[key] = asks.get(key, 0) + line.stems
        return found
