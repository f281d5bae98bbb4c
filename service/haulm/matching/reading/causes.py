"""Why a line is not surer: in every season in which it is short one cause, the first of a stated order that is proved.

Each cause has its own trial. Nothing sown: in no season is there a stem that the line accepts, plants alive or not. No
plants: matched again with the plants alive the line is filled, or has stems where it has none at all. Late, early: what
its batches give, so many days sooner or later, would fill the line alone, or give it stems where it has none. Few: it
would be short if it were the only line. Taken: as the only line it would be filled.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum

import numpy as np

from haulm.demand.dated_line import DatedLine
from haulm.farm.products import Product
from haulm.farm.quantities import HAIR
from haulm.matching.allocation.candidates import most_each, products_named
from haulm.matching.allocation.rematching import allocations_after, same_lines
from haulm.matching.allocation.result import MatchResult, filled
from haulm.matching.reading.faces import Faces, middling
from haulm.matching.supply import Block, BoolArray, FloatArray, IntArray, LotDays, Pool, Supply
from haulm.matching.windows import accepted_lots, window_of

MOST_DAYS = 28
"""Stems further from their day than this were sown for another one: four weeks, as far as weather moves a sowing (from
memory)."""


class Cause(StrEnum):
    """Why a line is short in a season, in the order in which they are asked."""

    NOTHING_SOWN = "nothing_sown"
    LOST = "lost"
    DEAD_LOT = "dead_lot"
    FROST = "frost"
    LATE = "late"
    EARLY = "early"
    FEW = "few"
    TAKEN = "taken"


PLANTS_GONE = (Cause.LOST, Cause.DEAD_LOT, Cause.FROST)
"""The causes for which there are no plants, in their order."""


@dataclass(frozen=True, slots=True)
class CauseShare:
    """A cause, and its share of the seasons in which the line is short.

    Attributes:
        cause: the cause.
        share: the weight of its seasons in that of all seasons in which the line is short, 0-1.
        days: for late and early, by how many days at least, in a middling season of them; 0 for others [d].
    """

    cause: Cause
    share: float
    days: int = 0

    def __post_init__(self) -> None:
        assert 0 <= self.share <= 1 + HAIR, "seasons weigh 1 together"


@dataclass(frozen=True, slots=True)
class Unsure:
    """How some lines fare together.

    Attributes:
        faces: in how many seasons all of it comes, a part, none.
        causes: why it is short, in shares of the seasons in which each of its lines is; none where no line ever is.
    """

    faces: Faces
    causes: tuple[CauseShare, ...]


@dataclass(frozen=True, eq=False)
class Short:
    """The seasons in which one line is short, and the cause in each.

    Attributes:
        weights: of all seasons, adding up to 1, shape (seasons,).
        cause: place of the cause in `Cause`, -1 where the line is filled, shape (seasons,).
        days: by how many days its stems are late or early, shape (seasons,) [d].
    """

    weights: FloatArray
    cause: IntArray
    days: IntArray


def shares(found: Iterable[Short]) -> tuple[CauseShare, ...]:
    """The causes of one line, or of several together, in the stated order; their shares add up to 1.

    Args:
        found: what is known of each line; the seasons of all count alike.

    Returns:
        None at all where no line is ever short.
    """
    lines = tuple(found)
    if not lines:
        return ()
    cause, days = np.concatenate([one.cause for one in lines]), np.concatenate([one.days for one in lines])
    weights = np.concatenate([one.weights for one in lines])
    whole = float(weights[cause >= 0].sum())
    if not whole > 0:
        return ()
    of_each = ((name, np.asarray(cause == place)) for place, name in enumerate(Cause))
    return tuple(
        CauseShare(name, float(weights[where].sum()) / whole, middling(days, where, weights))
        for name, where in of_each
        if weights[where].sum() > 0
    )


def causes(result: MatchResult, places: Sequence[int], alive: Mapping[Cause, Supply]) -> list[Short]:
    """The cause in each season in which each of some lines is short.

    Args:
        result: a match.
        places: the lines, by their places in the strict order.
        alive: for causes of `PLANTS_GONE`, the pools as they would be if no batch of what the lines accept were lost,
            were a dead lot, or were harmed by frost: those of the match in their places, new ones last. What is left
            out changes nothing.
    """
    again = {cause: _filled_with(result, supply, places) for cause, supply in alive.items()} if places else {}
    return [
        _of_line(result, place, alive, {cause: got[at] for cause, got in again.items()})
        for at, place in enumerate(places)
    ]


def _of_line(result: MatchResult, place: int, alive: Mapping[Cause, Supply], again: Mapping[Cause, IntArray]) -> Short:
    """The causes of one line, and what it gets of each of those pools with everybody before it there."""
    line, weights = result.lines[place], result.supply.weights
    short = np.asarray(result.filled(place) < line.stems)
    found = Short(weights, np.full(short.shape, -1, np.int32), np.zeros(short.shape, np.int32))
    if not short.any():
        return found
    alone = _alone(result, result.supply, line)
    kept = {cause: _alone(result, supply, line) for cause, supply in alive.items()}
    if not alone.any() and not any(stems.any() for stems in kept.values()):
        found.cause[short] = _number(Cause.NOTHING_SOWN)
        return found
    found.cause[short] = np.where(alone >= line.stems, _number(Cause.TAKEN), _number(Cause.FEW))[short]
    _out_of_time(result, line, found, alone)
    for cause in reversed(PLANTS_GONE):
        if cause in alive:
            proved = short & ((again[cause] >= line.stems) | ((alone == 0) & (kept[cause] > 0)))
            found.cause[proved], found.days[proved] = _number(cause), 0
    return found


def _number(cause: Cause) -> int:
    return tuple(Cause).index(cause)


def _filled_with(result: MatchResult, supply: Supply, places: Sequence[int]) -> list[IntArray]:
    """What some lines get of other pools, everybody before them being there, each shape (seasons,)."""
    changed = frozenset(
        at
        for at, pool in enumerate(supply.pools)
        if at >= len(result.supply.pools) or pool is not result.supply.pools[at]
    )
    candidates = result.candidates.after(supply, changed)
    takes = allocations_after(result, same_lines(result), candidates, changed, stop=max(places) + 1)
    return [filled(takes[place], supply.seasons) for place in places]


def _alone(result: MatchResult, supply: Supply, line: DatedLine) -> IntArray:
    """What a line could take as the only one, at most what it asks, shape (seasons,) [stems]."""
    found: IntArray = _moved(result, supply, (line, range(1)), np.ones(supply.seasons, np.bool_))[0]
    return found


def _out_of_time(result: MatchResult, line: DatedLine, found: Short, alone: IntArray) -> None:
    """Note the seasons in which its stems come too late or too early for the line, and by how many days."""
    looked = np.asarray(found.cause == _number(Cause.FEW))
    if not looked.any():
        return
    days = range(-MOST_DAYS, MOST_DAYS + 1)
    moved, had = _moved(result, result.supply, (line, days), looked), alone[looked]
    helps = (moved >= line.stems) | ((had == 0) & (moved > 0))
    order = sorted(range(len(days)), key=lambda at: (abs(days[at]), days[at] < 0))
    first = np.argmax(helps[order], axis=0)
    by = np.array([days[at] for at in order], np.int32)[first]
    seasons = np.flatnonzero(looked)[helps.any(axis=0)]
    by = by[helps.any(axis=0)]
    found.cause[seasons] = np.where(by > 0, _number(Cause.LATE), _number(Cause.EARLY))
    found.days[seasons] = np.abs(by)


def _moved(result: MatchResult, supply: Supply, asked: tuple[DatedLine, range], seasons: BoolArray) -> IntArray:
    """What a line could take as the only one if field stems came so many days sooner, shape (days, seasons looked at).

    Args:
        result: for the rules.
        supply: the pools.
        asked: the line, and the days [d].
        seasons: which seasons are looked at, shape (seasons,).
    """
    line, days = asked
    total = np.zeros((len(days), int(seasons.sum())), np.int32)
    each = most_each(line)
    for product in products_named(line, result.keeping, supply.by_product):
        of_it = np.zeros_like(total)
        for pool in _long_enough(supply, product, line.min_length_cm):
            masks = _masks(pool, line, days, result)
            for first, block in _blocks(pool):
                here = masks[:, first : first + len(block.lots)]
                rows = np.flatnonzero(here.any(axis=0))
                stems = block.stems[rows]
                stems = stems[:, seasons] if stems.shape[1] > 1 else stems
                of_it += np.rint(here[:, rows].astype(np.float32) @ stems.astype(np.float32)).astype(np.int32)
        total += of_it if each is None else np.minimum(of_it, each)
    return np.asarray(np.minimum(total, line.stems))


def _long_enough(supply: Supply, product: Product, least_cm: int) -> Iterator[Pool]:
    for place in supply.by_product.get(product, ()):
        if supply.pools[place].length_cm >= least_cm:
            yield supply.pools[place]


def _masks(pool: Pool, line: DatedLine, days: range, result: MatchResult) -> BoolArray:
    """Which lots the line accepts if those of the field were ready so many days sooner, shape (days, lots)."""
    told = pool.days
    # Stems that somebody has counted or cut stay where they are.
    is_field = np.array([lot.cut is None and not lot.key for lot in pool.lots], np.int32)
    window, product = window_of(line), pool.product
    rows = [
        accepted_lots(window, LotDays(told.ready - by * is_field, told.cut, told.until), product, result.keeping)
        for by in days
    ]
    return np.array(rows, np.bool_)


def _blocks(pool: Pool) -> Iterator[tuple[int, Block]]:
    """Each block with the place of its first lot."""
    first = 0
    for block in pool.blocks:
        yield first, block
        first += len(block.lots)
