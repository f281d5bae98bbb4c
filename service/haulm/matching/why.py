"""Why a line is short: the lots it could use, and the earlier lines that hold every stem of them.

The proof is a set of lots without a free stem and the lines that can use no other lot: their numbers add up (Hall).
"""

from __future__ import annotations

from dataclasses import dataclass

from haulm.farm.products import Product
from haulm.matching.flow import Network
from haulm.matching.result import MatchResult
from haulm.matching.supply import Lot
from haulm.matching.windows import window_of
from haulm.matching.wishes import Wish


@dataclass(frozen=True, slots=True)
class HeldStems:
    """Stems that a line is given in a pool."""

    line: int
    stems: int


@dataclass(frozen=True, slots=True)
class UsedUp:
    """Lots of one pool that are used up.

    Attributes:
        product, length_cm: the pool.
        lots: lots that the line could use, and those that the lines holding them could move to.
        stems: stems in these lots; `could_have` and all that is held add up to it.
        could_have: the most of them that the line could have.
        held: the earlier lines that hold the rest, in the strict order.
    """

    product: Product
    length_cm: int
    lots: tuple[Lot, ...]
    stems: int
    could_have: int
    held: tuple[HeldStems, ...]


@dataclass(frozen=True, slots=True)
class Shortage:
    """Why a line lacks stems in one season.

    Attributes:
        line: the line's place in the strict order.
        missing: stems it lacks.
        could_have: stems it could have over all its pools.
        below_minimum: it could have some, but fewer than are worth sending, so it gets none.
        used_up: per pool that gave all it could, why there is no more.
    """

    line: int
    missing: int
    could_have: int
    below_minimum: bool
    used_up: tuple[UsedUp, ...]


def why(result: MatchResult, line: int, season: int = 0) -> Shortage:
    """Why a line is short in one season.

    Args:
        result: a match.
        line: the line's place in the strict order.
        season: which season; 0 for an expected one.

    Returns:
        The shortage; nothing missing and no pool used up where the line is filled.
    """
    wanted = result.lines[line]
    missing = wanted.stems - int(result.filled(line)[season])
    if missing == 0:
        return Shortage(line, 0, wanted.stems, False, ())
    wish = result.wishes.of(wanted)
    left = wanted.stems
    room: dict[Product, int] = {}
    found: list[UsedUp] = []
    for pool in wish.pools:
        product = result.supply.pools[pool].product
        most = room.setdefault(product, wanted.stems if wish.most_each is None else wish.most_each)
        allowed = min(left, most)
        used_up = _used_up(result, (line, wish), pool, season, allowed)
        taken = allowed if used_up is None else used_up.could_have
        room[product] = most - taken
        left -= taken
        found += [used_up] if used_up is not None else []
    could_have = wanted.stems - left
    return Shortage(line, missing, could_have, 0 < could_have < wanted.minimum, tuple(found))


def _used_up(result: MatchResult, ask: tuple[int, Wish], pool: int, season: int, allowed: int) -> UsedUp | None:
    """What ties up a pool for a line that may take so many stems of it, or None where it gives them."""
    line, wish = ask
    found = result.supply.pools[pool]
    stems = found.season(season)
    earlier = [
        (taker, int(taken[season if taken.size > 1 else 0]))
        for taker, taken in result.takers.get(pool, ())
        if taker < line and taken[season if taken.size > 1 else 0]
    ]
    windows = [window_of(result.lines[taker]) for taker, _ in earlier]
    masks = [result.wishes.acceptance.mask(pool, window).tolist() for window in (*windows, wish.window)]
    network = Network([[lot for lot in range(len(stems)) if mask[lot] and stems[lot]] for mask in masks], stems)
    for row, (_, amount) in enumerate(earlier):
        network.push(row, amount)
    mine = len(earlier)
    could_have = network.push(mine, allowed)
    tied = network.tied_up(mine) if could_have < allowed else None
    if tied is None:
        return None
    lots, holders = tied
    return UsedUp(
        product=found.product,
        length_cm=found.length_cm,
        lots=tuple(sorted((found.lots[lot] for lot in lots), key=lambda lot: lot.order)),
        stems=sum(stems[lot] for lot in lots),
        could_have=could_have,
        held=tuple(HeldStems(*earlier[row]) for row in sorted(holders)),
    )
