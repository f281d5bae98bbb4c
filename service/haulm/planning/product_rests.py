"""What the stems of one product rest on: where that is equal in two versions of a farm, so is every count of them."""

from __future__ import annotations

from datetime import date
from typing import NamedTuple

from haulm.demand.dated_line import DatedLine
from haulm.farm.products import Product
from haulm.matching.allocation.allocations import Allocations
from haulm.matching.allocation.result import MatchResult
from haulm.matching.supply import Block, ProductKeeping


class Grows(NamedTuple):
    """All that the stems of one product rest on before anybody is given any."""

    product: Product
    pools: tuple[tuple[int, tuple[Block, ...]], ...]
    weights: bytes
    keeping: tuple[ProductKeeping, frozenset[int], date, int, frozenset[date]]


class Rests(NamedTuple):
    """The same with what every line takes of its pools."""

    grows: Grows
    takers: tuple[tuple[DatedLine, Allocations], ...]

    @property
    def product(self) -> Product:
        """Whose stems they are."""
        return self.grows.product


def grows_from(result: MatchResult, product: Product) -> Grows:
    """What the stems of a product rest on before anybody is given any.

    Args:
        result: a match over the seasons.
        product: a product that it has pools of.

    Returns:
        A key of answers about them.

    Source: the project's own (docs/engineer/kept.md).
    """
    keeping, supply = result.keeping, result.supply
    rules = (keeping.weekdays, keeping.today, keeping.condition_days, keeping.extra_cut_days)
    pools = tuple((place, supply.pools[place].blocks) for place in supply.by_product[product])
    return Grows(product, pools, supply.season_weights, (keeping.products[product], *rules))


def rests_on(result: MatchResult, product: Product) -> Rests:
    """What the stems of a product and whom they are given to rest on.

    Args:
        result: a match over the seasons.
        product: a product that it has pools of.

    Returns:
        A key of answers about what it has left.

    Source: the project's own (docs/engineer/kept.md).
    """
    places = result.supply.by_product[product]
    takers = dict.fromkeys(line for place in places for line, _ in result.takers.get(place, ()))
    return Rests(grows_from(result, product), tuple((result.lines[line], result.takes[line]) for line in takers))
