"""Which stems: the lots that feed each line in one season, every number of the match staying as it is.

Contracted weddings, in the strict order, take the freshest they can have; then every other line, by due date, takes the
oldest it can have. Which ready dates feed a line never changes what anyone gets.
"""

from __future__ import annotations

from dataclasses import dataclass

from haulm.demand.dated_line import DatedLine
from haulm.farm.products import Product
from haulm.farm.words import LineClass
from haulm.matching.allocation.result import MatchResult
from haulm.matching.reading.flow import Network
from haulm.matching.supply import Lot
from haulm.matching.windows import window_of


@dataclass(frozen=True, slots=True)
class Source:
    """Stems of one lot that go to a line."""

    product: Product
    length_cm: int
    lot: Lot
    stems: int


def sources(result: MatchResult, season: int = 0) -> tuple[tuple[Source, ...], ...]:
    """The lots that feed each line in one season.

    Args:
        result: a match.
        season: which season; 0 for an expected one.

    Returns:
        Per line in the strict order, its sources by product, length and age, oldest first; they add up to its fill.
    """
    found: list[list[Source]] = [[] for _ in result.lines]
    for pool in sorted(result.takers, key=lambda place: _pool_key(result, place)):
        for line, source in _pool_sources(result, pool, season):
            found[line].append(source)
    return tuple(tuple(items) for items in found)


def takes_freshest(line: DatedLine) -> bool:
    """Whether a line is a contracted wedding's own (not its spare)."""
    return line.line_class is LineClass.WEDDING and not line.is_spare


def _pool_key(result: MatchResult, pool: int) -> tuple[str, int]:
    found = result.supply.pools[pool]
    return (str(found.product), found.length_cm)


def _pool_sources(result: MatchResult, pool: int, season: int) -> list[tuple[int, Source]]:
    """Sources of all lines in one pool."""
    asks = [
        (line, int(stems[season if stems.size > 1 else 0]))
        for line, stems in result.takers[pool]
        if stems[season if stems.size > 1 else 0]
    ]
    found = result.supply.pools[pool]
    stems = found.season(season)
    lots = sorted((lot for lot in range(len(stems)) if stems[lot]), key=lambda lot: found.lots[lot].order)
    masks = [result.candidates.acceptance.mask(pool, window_of(result.lines[line])).tolist() for line, _ in asks]
    options = [[place for place, lot in enumerate(lots) if mask[lot]] for mask in masks]
    network = Network(options, [stems[lot] for lot in lots])
    by_due = sorted(range(len(asks)), key=lambda ask: (result.lines[asks[ask][0]].due, ask))
    for ask in by_due:
        served = network.push(ask, asks[ask][1])
        assert served == asks[ask][1], "the match gave no more than there is"
    weddings = [ask for ask in range(len(asks)) if takes_freshest(result.lines[asks[ask][0]])]
    for ask in weddings:
        network.prefer(ask, options[ask][::-1])
        network.settle(ask)
    for ask in by_due:
        if not takes_freshest(result.lines[asks[ask][0]]):
            network.prefer(ask, options[ask])
            network.settle(ask)
    return [
        (line, Source(found.product, found.length_cm, found.lots[lots[place]], amount))
        for ask, (line, _) in enumerate(asks)
        for place, amount in sorted(network.used[ask].items())
    ]
