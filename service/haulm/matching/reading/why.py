"""Why a line is short: the lots it could use, and the earlier lines that hold every stem of them.

The proof is a set of lots without a free stem and the lines that can use no other lot: their numbers add up (Hall).
"""

from __future__ import annotations

from dataclasses import dataclass

from haulm.farm.products import Product
from haulm.matching.allocation.candidates import Candidates
from haulm.matching.allocation.result import MatchResult
from haulm.matching.reading.flow import Network
from haulm.matching.supply import Lot
from haulm.matching.windows import window_of


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
        lot_stems: stems in each of these lots.
        stems: stems in all of them; `could_have` and all that is held add up to it.
        could_have: the most of them that the line could have.
        held: the earlier lines that hold the rest, in the strict order.
    """

    product: Product
    length_cm: int
    lots: tuple[Lot, ...]
    lot_stems: tuple[int, ...]
    stems: int
    could_have: int
    held: tuple[HeldStems, ...]


@dataclass(frozen=True, slots=True)
class AtLimit:
    """Stems that a line takes of a pool that has more, because it takes no more of one product."""

    product: Product
    length_cm: int
    stems: int


@dataclass(frozen=True, slots=True)
class Shortage:
    """Why a line lacks stems in one season.

    Attributes:
        line: the line's place in the strict order.
        missing: stems it lacks.
        could_have: stems it could have over all its pools: those of `used_up` and `at_limit` add up to it.
        below_minimum: it could have some, but fewer than are worth sending, so it gets none.
        used_up: per pool that gave all it could, why there is no more.
        at_limit: what it takes of the pools that could give more.
    """

    line: int
    missing: int
    could_have: int
    below_minimum: bool
    used_up: tuple[UsedUp, ...]
    at_limit: tuple[AtLimit, ...] = ()


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
    candidate = result.candidates.of(wanted)
    left = wanted.stems
    room: dict[Product, int] = {}
    found: list[UsedUp] = []
    at_limit: list[AtLimit] = []
    for pool in candidate.pools:
        product = result.supply.pools[pool].product
        most = room.setdefault(product, wanted.stems if candidate.most_each is None else candidate.most_each)
        allowed = min(left, most)
        used_up = _used_up(result, (line, candidate), pool, season, allowed)
        taken = allowed if used_up is None else used_up.could_have
        room[product] = most - taken
        left -= taken
        if used_up is not None:
            found.append(used_up)
        elif taken > 0:
            at_limit.append(AtLimit(product, result.supply.pools[pool].length_cm, taken))
    could_have = wanted.stems - left
    below_minimum = 0 < could_have < wanted.minimum
    return Shortage(line, missing, could_have, below_minimum, tuple(found), tuple(at_limit))


def _used_up(result: MatchResult, ask: tuple[int, Candidates], pool: int, season: int, allowed: int) -> UsedUp | None:
    """What ties up a pool for a line that may take so many stems of it, or None where it gives them."""
    line, candidate = ask
    found = result.supply.pools[pool]
    stems = found.season(season)
    earlier = [
        (taker, int(taken[season if taken.size > 1 else 0]))
        for taker, taken in result.takers.get(pool, ())
        if taker < line and taken[season if taken.size > 1 else 0]
    ]
    windows = [window_of(result.lines[taker]) for taker, _ in earlier]
    masks = [result.candidates.acceptance.mask(pool, window).tolist() for window in (*windows, candidate.window)]
    network = Network([[lot for lot in range(len(stems)) if mask[lot] and stems[lot]] for mask in masks], stems)
    for row, (_, amount) in enumerate(earlier):
        network.push(row, amount)
    mine = len(earlier)
    could_have = network.push(mine, allowed)
    tied = network.tied_up(mine) if could_have < allowed else None
    if tied is None:
        return None
    places, holders = tied
    lots = sorted(places, key=lambda place: found.lots[place].order)
    return UsedUp(
        product=found.product,
        length_cm=found.length_cm,
        lots=tuple(found.lots[lot] for lot in lots),
        lot_stems=tuple(stems[lot] for lot in lots),
        stems=sum(stems[lot] for lot in lots),
        could_have=could_have,
        held=tuple(HeldStems(*earlier[row]) for row in sorted(holders)),
    )
