"""Lines, pools and rules for hand-worked matches: the farm cuts on Mondays and Thursdays and conditions overnight."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date, timedelta
from typing import Any

import numpy as np

from haulm.demand.dated_line import DatedLine
from haulm.farm.products import Product
from haulm.farm.varieties import FieldLife, Stage
from haulm.farm.words import LineClass, Role
from haulm.matching.supply import Block, Keeping, Lot, Pool, ProductKeeping, Supply

MONDAY = date(2027, 6, 14)
AMMI = Product("ammi")


def day(number: int) -> date:
    """So many days after the Monday that is today."""
    return MONDAY + timedelta(days=number)


def kept(
    *, hold: int = 5, stand: int = 3, stages: tuple[Stage, ...] = (), role: Role = Role.FILLER, colour: str = "white"
) -> ProductKeeping:
    """How a product keeps."""
    return ProductKeeping(hold, FieldLife(stand, stages), role, colour)


def rules(
    products: Mapping[Product, ProductKeeping] | None = None, *, cut: tuple[int, ...] = (1, 4), condition: int = 1
) -> Keeping:
    """The farm's rules; ammi alone unless products are named."""
    return Keeping(frozenset(cut), MONDAY, condition, products or {AMMI: kept()})


def line(key: str, due: int, stems: int, *, wanted: LineClass = LineClass.STANDING, **more: Any) -> DatedLine:
    """A line of ammi due so many days after today; lines of a class stand in order of due date, then key."""
    facts: dict[str, Any] = {"product": AMMI, "order": "o", "customer": "somebody", "committed_on": MONDAY, **more}
    rank = list(LineClass).index(wanted)
    return DatedLine(line=key, due=day(due), stems=stems, line_class=wanted, class_rank=rank, **facts)


def standing(stems: Mapping[int, int | list[int]], product: Product = AMMI, length_cm: int = 0) -> Pool:
    """Standing stems by ready day, one number or one per season."""
    return lots({Lot(day(ready)): count for ready, count in stems.items()}, product, length_cm)


def lots(stems: Mapping[Lot, int | list[int]], product: Product = AMMI, length_cm: int = 0) -> Pool:
    """Stems by lot, one number or one per season."""
    rows = [np.atleast_1d(np.array(count, np.int32)) for count in stems.values()]
    seasons = max((row.size for row in rows), default=1)
    table = np.array([np.broadcast_to(row, seasons) for row in rows], np.int32).reshape(len(rows), seasons)
    return Pool(product, length_cm, (Block(tuple(stems), table),))


def supply(*pools: Pool, weights: tuple[float, ...] = (1.0,)) -> Supply:
    """Pools over weighted seasons."""
    return Supply(pools, len(weights), np.array(weights))
