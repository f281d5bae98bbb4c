"""A second reading of why a line is short in a season: each cause tried by whole matches of another's, one by one.

It shares no code with `matching/reading/causes.py`: stems are counted by the solver of `match_judge`, lots are looked
at day by day, and stems come sooner or later by farms whose lots are written anew.
"""

from __future__ import annotations

import random
from collections.abc import Mapping
from dataclasses import replace
from datetime import timedelta

import numpy as np

from haulm.demand.dated_line import DatedLine
from haulm.matching.supply import Block, Lot, Pool, Supply
from support.match_judge import flow_judge, judged, long_enough, may_serve, products_in_turn, season_stems
from support.random_farms import RandomFarm, random_farm

NO_PLANTS = ("lost", "dead_lot", "frost")


def judged_cause(
    farm: RandomFarm, alive: Mapping[str, Supply], line: DatedLine, season: int, most_days: int
) -> tuple[str, int] | None:
    """The cause in one season, and the days of one that is late or early; None where the line is filled."""
    if _got(farm, line, season) >= line.stems:
        return None
    every = [farm, *(replace(farm, supply=supply) for supply in alive.values())]
    if not any(_alone(one, line, at) for one in every for at in range(farm.supply.seasons)):
        return "nothing_sown", 0
    alone = _alone(farm, line, season)
    for cause in (cause for cause in NO_PLANTS if cause in alive):
        again = replace(farm, supply=alive[cause])
        if _got(again, line, season) >= line.stems or (not alone and _alone(again, line, season)):
            return cause, 0
    return ("taken", 0) if alone >= line.stems else _out_of_time(farm, (line, alone), season, most_days)


def _out_of_time(farm: RandomFarm, short: tuple[DatedLine, int], season: int, most_days: int) -> tuple[str, int]:
    """Late, early or few, for a line and what it could have as the only one."""
    line, alone = short
    for days in range(1, most_days + 1):
        for cause, by in (("late", days), ("early", -days)):
            moved = _alone(_sooner(farm, by), line, season)
            if moved >= line.stems or (not alone and moved):
                return cause, days
    return "few", 0


def farm_with_causes(dice: random.Random, *, seasons: int) -> tuple[RandomFarm, dict[str, Supply]]:
    """A small farm, some of whose plants are gone in some seasons, and its pools with them alive by cause."""
    farm = random_farm(dice, seasons=seasons, most_lines=5)
    pools = tuple(replace(pool, blocks=tuple(map(_of_the_field, pool.blocks))) for pool in farm.supply.pools)
    farm = replace(farm, supply=replace(farm.supply, pools=pools))
    return farm, {cause: _more(dice, farm.supply) for cause in NO_PLANTS if dice.random() < 0.5}


def _of_the_field(block: Block) -> Block:
    """A block whose standing lots were counted by nobody."""
    return Block(tuple(replace(lot, key="") if lot.cut is None else lot for lot in block.lots), block.stems)


def _more(dice: random.Random, supply: Supply) -> Supply:
    """The supply with more field stems of some pools, and less of a few: seed sown again comes at another time."""
    pools = [_grown(dice, pool) if dice.random() < 0.6 else pool for pool in supply.pools]
    return replace(supply, pools=tuple(pools))


def _grown(dice: random.Random, pool: Pool) -> Pool:
    field, known = pool.blocks
    more = np.array([dice.choice((-1, 0, 0, 2, 6)) for _ in range(field.stems.size)], np.int32)
    return replace(
        pool, blocks=(Block(field.lots, np.maximum(field.stems + more.reshape(field.stems.shape), 0)), known)
    )


def _got(farm: RandomFarm, line: DatedLine, season: int) -> int:
    """What the line gets with everybody there."""
    return sum(stems for (key, _, _), stems in judged(farm, season, flow_judge).items() if key == line.line)


def _alone(farm: RandomFarm, line: DatedLine, season: int) -> int:
    """What the line could have as the only one: usable stems by product, at most its limit of each."""
    total = 0
    for product in products_in_turn(farm, line):
        each = line.stems if line.choice is None else (line.stems + 1) // 2 if line.max_each is None else line.max_each
        stems = sum(
            count
            for pool in long_enough(farm, line, product)
            for lot, count in zip(
                (lot for block in pool.blocks for lot in block.lots), season_stems(pool, season), strict=True
            )
            if may_serve(lot, line, product, farm.keeping)
        )
        total += min(each, stems)
    return min(total, line.stems)


def _sooner(farm: RandomFarm, days: int) -> RandomFarm:
    """The farm with every standing stem ready so many days sooner."""

    def moved(lot: Lot) -> Lot:
        return lot if lot.cut is not None else replace(lot, ready=lot.ready - timedelta(days=days))

    pools = [
        replace(pool, blocks=tuple(Block(tuple(map(moved, block.lots)), block.stems) for block in pool.blocks))
        for pool in farm.supply.pools
    ]
    return replace(farm, supply=replace(farm.supply, pools=tuple(pools)))
