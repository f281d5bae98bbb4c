"""Large made-up matches, for benchmarks and checks at size: products in groups, batches, orders of three classes.

Everything is drawn from one seed. Supply is about twice what is asked, so that some days are short and most are not.
"""

from __future__ import annotations

import random
from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np

from haulm.demand.dated_line import DatedLine
from haulm.farm.products import Product
from haulm.farm.varieties import FieldLife
from haulm.farm.words import LineClass, Role
from haulm.matching.allocation.candidates import strict_order
from haulm.matching.supply import Block, FloatArray, IntArray, Keeping, Pool, ProductKeeping, Supply, standing_lots

SEED = 2027
TODAY = date(2027, 3, 15)
FIRST_READY = date(2027, 5, 17)
DAYS = 150
HARVEST_DAYS = 42
GROUP = 5
"""Products that stand in for one another."""
CUT_WEEKDAYS = frozenset({1, 4})
DUE_WEEKDAYS = (2, 5)
CLASSES = (LineClass.WEDDING, LineClass.STANDING, LineClass.STANDING, LineClass.ONE_OFF)


@dataclass(frozen=True)
class Size:
    """How large."""

    name: str
    products: int
    batches: int
    lines: int


SMALL = Size("small", 6, 10, 300)
FULL = Size("full", 150, 250, 15_000)
SLOPE = (Size("quarter", 38, 63, 3_750), Size("half", 75, 125, 7_500), FULL)


@dataclass(frozen=True, eq=False)
class Instance:
    """A match to be made."""

    lines: tuple[DatedLine, ...]
    supply: Supply
    keeping: Keeping


def instance(size: Size, *, seasons: int = 1, substitutes: bool = False, used: float = 0.5) -> Instance:
    """A match of this size; the same for the same arguments.

    Args:
        size: how many products, batches and lines.
        seasons: how many seasons.
        substitutes: whether a third of the lines name products of their group that may stand in.
        used: share of the stems that is asked for.
    """
    dice = random.Random(SEED)
    products = [Product(f"p{number:03d}") for number in range(size.products)]
    flowering = _flowering(dice, size)
    lines = tuple(_line(dice, number, products, flowering, substitutes=substitutes) for number in range(size.lines))
    asked = sum(line.stems for line in lines)
    stems = _stems(size, flowering, seasons, asked / used)
    lots = standing_lots(FIRST_READY, DAYS)
    pools = tuple(
        Pool(product, 0, (Block(lots, table),)) for product, table in zip(products, stems, strict=True) if table.any()
    )
    weights: FloatArray = np.full(seasons, 1 / seasons)
    keeping = {
        product: ProductKeeping(5 + number % 4, FieldLife(3 + number % 5), Role.ACCENT, "white")
        for number, product in enumerate(products)
    }
    return Instance(strict_order(lines), Supply(pools, seasons, weights), Keeping(CUT_WEEKDAYS, TODAY, 1, keeping))


def _flowering(dice: random.Random, size: Size) -> list[tuple[int, int]]:
    """Each batch's product and the day on which it usually begins to flower, every product with a batch."""
    return [(batch % size.products, dice.randrange(8, DAYS - HARVEST_DAYS - 8)) for batch in range(size.batches)]


def _stems(size: Size, flowering: list[tuple[int, int]], seasons: int, total: float) -> list[IntArray]:
    """Stems by product, shape (days, seasons): batches flower earlier or later, better or worse."""
    draw = np.random.default_rng(SEED)
    tables = [np.zeros((DAYS, seasons), np.int32) for _ in range(size.products)]
    days = np.arange(HARVEST_DAYS)
    curve = np.sin(np.pi * (days + 0.5) / HARVEST_DAYS)
    curve /= curve.sum()
    columns = np.arange(seasons)
    for product, usual in flowering:
        start = np.clip(usual + draw.normal(0, 4, seasons).round().astype(int), 0, DAYS - HARVEST_DAYS)
        yields = total / size.batches * draw.lognormal(-0.05, 0.3, seasons)
        upto = np.floor(np.outer(np.cumsum(curve), yields))
        daily = np.diff(upto, axis=0, prepend=0).astype(np.int32)
        for day in range(HARVEST_DAYS):
            tables[product][start + day, columns] += daily[day]
    return tables


def _line(
    dice: random.Random, number: int, products: list[Product], flowering: list[tuple[int, int]], *, substitutes: bool
) -> DatedLine:
    """A line due on a Tuesday or Friday while a batch of its product flowers."""
    own, begins = dice.choice(flowering)
    group = [place for place in range(own - own % GROUP, min(own - own % GROUP + GROUP, len(products))) if place != own]
    named = dice.random() < 1 / 3
    stands_in = tuple(products[place] for place in dice.sample(group, min(2, len(group)))) if named else ()
    line_class = dice.choice(CLASSES)
    day = FIRST_READY + timedelta(days=begins + dice.randrange(5, HARVEST_DAYS - 3))
    return DatedLine(
        line=f"l{number:05d}",
        order=f"o{number // 5:05d}",
        customer=f"c{number % 40:02d}",
        due=day - timedelta(days=day.weekday()) + timedelta(days=dice.choice(DUE_WEEKDAYS) - 1),
        stems=dice.randrange(5, 30, 5),
        line_class=line_class,
        class_rank=list(LineClass).index(line_class),
        committed_on=TODAY - timedelta(days=dice.randrange(60)),
        product=products[own],
        substitutes=stands_in if substitutes else (),
    )
