"""All there is of one product, as asks see it: it outlasts what changes of the lines and of other products."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from datetime import date
from functools import cached_property
from typing import NamedTuple

import numpy as np

from haulm.demand.dated_line import DatedLine
from haulm.farm.products import Product
from haulm.kept import Kept, carried
from haulm.matching.supply import Block, BoolArray, FloatArray, Keeping, ProductKeeping, Supply
from haulm.matching.windows import Acceptance, Window, window_of

StockAsked = tuple[Window, int]
"""A window and the least length [cm]."""
_Seen = tuple[frozenset[DatedLine], frozenset[StockAsked]]

_ASKS_KEPT, _SPARE_KEPT = 4096, 64


class Rules(NamedTuple):
    """The rules that decide which lots of a product a window accepts."""

    product: ProductKeeping
    weekdays: frozenset[int]
    today: date
    condition_days: int
    extra_cut_days: frozenset[date]


class Part(NamedTuple):
    """One pool of a product: its place in `Supply.pools`, its length class [cm], its blocks."""

    place: int
    length_cm: int
    blocks: tuple[Block, ...]


class Goods(NamedTuple):
    """What a shelf depends on; the weights of the seasons as bytes."""

    product: Product
    parts: tuple[Part, ...]
    rules: Rules
    weights: bytes


@dataclass(frozen=True, eq=False)
class BlockMean:
    """The weighted mean stems of a block.

    Attributes:
        block: the block.
        weights: of the seasons, shape (seasons,).
    """

    block: Block
    weights: FloatArray

    @cached_property
    def stems(self) -> FloatArray:
        """Mean stems of each lot, shape (lots,)."""
        stems, weights = self.block.stems, self.weights
        one_season = stems.shape[1] != weights.size
        # Not `@`: a product of this size wakes threads, which then wait for the next one at full speed.
        mean = stems[:, 0] if one_season else np.einsum("ls,s->l", stems, weights)
        return mean.astype(np.float64)


@dataclass(frozen=True, eq=False)
class ProductStock:
    """The pools of one product, the shortest first.

    Attributes:
        parts: the pools.
        means: the means of their blocks, pool by pool.
    """

    parts: tuple[Part, ...]
    means: tuple[tuple[BlockMean, ...], ...]
    _accepting: Kept[StockAsked, tuple[int, ...]] = field(default_factory=lambda: Kept(_ASKS_KEPT))
    _spare: Kept[_Seen, Mapping[StockAsked, float]] = field(default_factory=lambda: Kept(_SPARE_KEPT))

    def accepting(self, ask: StockAsked, acceptance: Acceptance) -> tuple[int, ...]:
        """Places of the pools that are long enough and hold a lot that the window accepts, shortest first.

        Args:
            ask: the window and the least length.
            acceptance: of a supply that has this shelf.
        """
        return self._accepting.of(ask, lambda: tuple(self._that_accept(ask, acceptance)))

    def _that_accept(self, ask: StockAsked, acceptance: Acceptance) -> Iterator[int]:
        window, least_cm = ask
        for part in self.parts:
            if part.length_cm >= least_cm and acceptance.mask(part.place, window).any():
                yield part.place

    def spare(
        self, own: frozenset[DatedLine], asks: frozenset[StockAsked], acceptance: Acceptance
    ) -> Mapping[StockAsked, float]:
        """Mean stems as asks see them, less the stems of the product's own lines that can use some of the same.

        Args:
            own: the lines that name the product as their own.
            asks: what is asked.
            acceptance: of a supply that has this shelf.
        """
        return self._spare.of((own, asks), lambda: self._less_asked(_demand(own), tuple(asks), acceptance))

    def _less_asked(
        self, own: Mapping[StockAsked, int], asks: tuple[StockAsked, ...], acceptance: Acceptance
    ) -> dict[StockAsked, float]:
        seen = self._expected(asks, acceptance)
        stems = np.where(seen, self.mean_stems, 0.0).sum(axis=1)
        if own:
            shares = _share_lots(seen, self._expected(tuple(own), acceptance))
            stems -= shares @ np.array(list(own.values()), np.int64)
        return {ask: round(spare, 6) for ask, spare in zip(asks, stems.tolist(), strict=True)}

    def _expected(self, asks: tuple[StockAsked, ...], acceptance: Acceptance) -> BoolArray:
        """The lots in which asks may expect stems, pool by pool, shape (asks, lots)."""
        masks = [[acceptance.mask(part.place, window) for window, _ in asks] for part in self.parts]
        least_cm = np.array([least for _, least in asks])[:, np.newaxis]
        return np.concatenate(masks, axis=1) & (self.lengths_cm >= least_cm) & (self.mean_stems > 0)

    def mean_stems_in(self, place: int) -> FloatArray:
        """Mean stems of the lots of the pool at a place, shape (lots,)."""
        found = next(means for part, means in zip(self.parts, self.means, strict=True) if part.place == place)
        return np.concatenate([np.zeros(0), *(mean.stems for mean in found)])

    @cached_property
    def mean_stems(self) -> FloatArray:
        """Mean stems of all lots, pool by pool, shape (lots,)."""
        return np.concatenate([self.mean_stems_in(part.place) for part in self.parts])

    @cached_property
    def lengths_cm(self) -> FloatArray:
        """The length class of all lots, pool by pool, shape (lots,) [cm]."""
        lots = [sum(len(block.lots) for block in part.blocks) for part in self.parts]
        return np.repeat(np.array([part.length_cm for part in self.parts], np.float64), lots)


def stock_asked(line: DatedLine) -> StockAsked:
    """What a line asks of the pools of any product."""
    return window_of(line), line.min_length_cm


def _demand(own: Iterable[DatedLine]) -> dict[StockAsked, int]:
    """Stems of lines by what they ask."""
    found: dict[StockAsked, int] = {}
    for line in own:
        ask = stock_asked(line)
        found[ask] = found.get(ask, 0) + line.stems
    return found


def _share_lots(some: BoolArray, others: BoolArray) -> BoolArray:
    """Whether two have a lot in common, shape (some, others); each of shape (asks, lots)."""
    a, b = np.packbits(some, axis=1), np.packbits(others, axis=1)
    return np.asarray((a[:, np.newaxis] & b).any(axis=2))


@dataclass(frozen=True, eq=False)
class ProductStocks:
    """The shelves of all products of a supply under some rules.

    Attributes:
        means: by block and weights, the block's mean stems.
        shelves: by what each depends on.
    """

    means: Mapping[tuple[Block, bytes], BlockMean]
    shelves: Mapping[Goods, ProductStock]

    @cached_property
    def by_product(self) -> dict[Product, ProductStock]:
        """The shelf of each product."""
        return {goods.product: shelf for goods, shelf in self.shelves.items()}


def stocks_of(supply: Supply, keeping: Keeping, before: ProductStocks | None = None) -> ProductStocks:
    """The shelves of a supply; those of products that are as before, and the means of such blocks, are carried over."""
    known = before if before is not None else ProductStocks({}, {})
    weights = supply.season_weights
    blocks = ((block, weights) for pool in supply.pools for block in pool.blocks)
    means = carried(known.means, blocks, lambda fresh: (BlockMean(block, supply.weights) for block, _ in fresh))

    def made(fresh: Iterable[Goods]) -> Iterator[ProductStock]:
        for goods in fresh:
            parts = goods.parts
            yield ProductStock(parts, tuple(tuple(means[block, weights] for block in part.blocks) for part in parts))

    return ProductStocks(means, carried(known.shelves, _goods(supply, keeping, weights), made))


def _goods(supply: Supply, keeping: Keeping, weights: bytes) -> Iterator[Goods]:
    farm = (keeping.weekdays, keeping.today, keeping.condition_days, keeping.extra_cut_days)
    for product, places in supply.by_product.items():
        pools = [(place, supply.pools[place]) for place in places]
        parts = tuple(Part(place, pool.length_cm, pool.blocks) for place, pool in pools)
        yield Goods(product, parts, Rules(keeping.products[product], *farm), weights)
