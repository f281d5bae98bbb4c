"""What hopes would get of the stems that no line was given: behind everybody, and without moving anybody.

A second count on a match that stands. The match itself never sees a hope, so it is the same with or without any.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from haulm.farm.products import Product
from haulm.matching.allocation.allocations import Allocation, Allocations
from haulm.matching.allocation.result import MatchResult
from haulm.matching.pools.counting import Count
from haulm.matching.pools.grouping import pool_view
from haulm.matching.supply import IntArray
from haulm.matching.windows import Window, window_of


@dataclass(frozen=True, slots=True)
class HopedAsk:
    """What is hoped for.

    Attributes:
        window: when.
        stems: how many.
        products: what would do.
        most_each: the most stems of one product, or None for no such limit.
    """

    window: Window
    stems: int
    products: tuple[Product, ...]
    most_each: int | None = None

    def __post_init__(self) -> None:
        assert self.stems >= 0, "nobody asks less than nothing"


def hoped(result: MatchResult, asks: Sequence[HopedAsk]) -> tuple[Allocations, ...]:
    """What each ask would take, one after the other, every line of the match keeping what it was given.

    Of several products the one with most left comes first (the weighted mean, ties by key), and of each the shortest
    length.

    Args:
        result: a match.
        asks: what is hoped for, in the order in which it is served.

    Returns:
        Per ask its takes, as of a line; pools that give nothing in any season are left out.

    Source: the rule of the match (docs/engineer/model.md).
    """
    products = {product for ask in asks for product in ask.products}
    places = [place for product in sorted(products) for place in result.supply.by_product.get(product, ())]
    windows = tuple(dict.fromkeys(ask.window for ask in asks))
    left = {place: _Left(result, place, windows) for place in places}
    return tuple(_taken(result, left, ask) for ask in asks)


class _Left:
    """What is left of one pool."""

    def __init__(self, result: MatchResult, pool: int, windows: Sequence[Window]) -> None:
        """All that lines were given is gone."""
        takers = [(window_of(result.lines[line]), stems) for line, stems in result.takers.get(pool, ())]
        asked = sorted(dict.fromkeys((*(window for window, _ in takers), *windows)), key=lambda window: window.due)
        acceptance = result.candidates.acceptance
        view = pool_view(result.supply.pools[pool], [acceptance.mask(pool, window) for window in asked])
        self._place = dict(zip(asked, view.place, strict=True))
        given = np.zeros((len(view.accept), max([view.stems.shape[1], *(stems.size for _, stems in takers)])), np.int32)
        for window, stems in takers:
            given[self._place[window]] += stems
        self._count = Count(view, given)

    def most(self, window: Window) -> IntArray | None:
        """The most a window could have, shape (seasons,) or (1,); None where it takes none of these lots."""
        where = self._place[window]
        return None if where < 0 else self._count.most(where)

    def give(self, window: Window, stems: IntArray) -> None:
        """Give stems, at most `most`."""
        self._count.give(self._place[window], stems)


def _taken(result: MatchResult, left: Mapping[int, _Left], ask: HopedAsk) -> Allocations:
    got: IntArray = np.zeros(result.supply.seasons, np.int32)
    takes: list[Allocation] = []
    for product in _order(result, left, ask):
        of_product: IntArray = np.zeros_like(got)
        for place in result.supply.by_product.get(product, ()):
            most = left[place].most(ask.window)
            if most is None:
                continue
            limit = (
                ask.stems - got if ask.most_each is None else np.minimum(ask.stems - got, ask.most_each - of_product)
            )
            stems = np.minimum(most, limit).astype(np.int32)
            if stems.any():
                left[place].give(ask.window, stems)
                takes.append(Allocation(place, stems))
                got, of_product = got + stems, of_product + stems
    return tuple(takes)


def _order(result: MatchResult, left: Mapping[int, _Left], ask: HopedAsk) -> tuple[Product, ...]:
    if len(ask.products) < 2:
        return ask.products
    spare = {product: _mean_left(result, left, ask, product) for product in ask.products}
    return tuple(sorted(ask.products, key=lambda product: (-spare[product], product)))


def _mean_left(result: MatchResult, left: Mapping[int, _Left], ask: HopedAsk, product: Product) -> float:
    total = 0.0
    for place in result.supply.by_product.get(product, ()):
        most = left[place].most(ask.window)
        if most is not None:
            total += float((np.broadcast_to(most, result.supply.seasons) * result.supply.weights).sum())
    return total
