"""Which lots feed a line, and what is left over, against SciPy's maximum flow and a second reading of the rules."""

from __future__ import annotations

import random
from datetime import date, timedelta

import pytest

from haulm.demand.dated_line import DatedLine
from haulm.farm.products import Product
from haulm.farm.words import LineClass
from haulm.matching.allocation.match import match
from haulm.matching.allocation.result import MatchResult
from haulm.matching.reading.free_to_promise import still_free
from haulm.matching.reading.which_stems import sources
from haulm.matching.supply import Pool
from haulm.matching.windows import Window
from support import scale
from support.match_judge import Asks, flow_judge, season_stems, usable_lots
from support.random_farms import TODAY, RandomFarm, random_farm

PARTS = 10
FARMS = scale.count(usual=200, large=4000) // PARTS


def shares(farm: RandomFarm, result: MatchResult, pool: Pool) -> list[tuple[DatedLine, set[int], int]]:
    """Each line's lots and stems in a pool in the first season, in the strict order."""
    found = []
    for place, line in enumerate(result.lines):
        amount = int(result.given(place, pool.product, pool.length_cm)[0])
        if amount:
            found.append((line, usable_lots(farm, line, pool), amount))
    return found


def lots_by_rule(farm: RandomFarm, result: MatchResult, pool: Pool) -> dict[tuple[str, int], int]:
    """Stems of each line from each lot by the rule: weddings freshest in their order, others oldest by due date."""
    asks = shares(farm, result, pool)
    lots = [lot for block in pool.blocks for lot in block.lots]
    stems = season_stems(pool, 0)
    oldest = sorted(range(len(lots)), key=lambda n: (lots[n].ready, lots[n].cut or date.min, lots[n].key))
    first = [ask for ask in asks if ask[0].line_class is LineClass.WEDDING and not ask[0].is_spare]
    rest = sorted((ask for ask in asks if ask not in first), key=lambda ask: ask[0].due)
    waiting: Asks = [(ask[1], ask[2]) for ask in (*first, *rest)]
    found = {}
    for line, usable, amount in (*first, *rest):
        waiting.pop(0)
        ranked = [lot for lot in (oldest[::-1] if (line, usable, amount) in first else oldest) if lot in usable]
        left = amount
        for place, lot in enumerate(ranked):
            taken = most_from(stems, waiting, (lot, left, set(ranked[place + 1 :])))
            stems[lot] -= taken
            left -= taken
            if taken:
                found[line.line, lot] = taken
        assert left == 0
    return found


def most_from(stems: list[int], others: Asks, wish: tuple[int, int, set[int]]) -> int:
    """Most stems of a lot that leave the rest of the line, and everybody else, servable."""
    lot, wanted, later = wish
    for amount in range(min(wanted, stems[lot]), 0, -1):
        left = [count - amount if place == lot else count for place, count in enumerate(stems)]
        asks = [*others, (later, wanted - amount)]
        if flow_judge(left, asks) == sum(item for _, item in asks):
            return amount
    return 0


@pytest.mark.parametrize("part", range(PARTS))
def test_every_line_is_fed_from_the_lots_that_the_rule_names(part: int) -> None:
    for number in range(part * FARMS, (part + 1) * FARMS):
        farm = random_farm(random.Random(number))
        result = match(farm.lines, farm.supply, farm.keeping)
        fed = sources(result)
        for pool in farm.supply.pools:
            lots = [lot for block in pool.blocks for lot in block.lots]
            found = {
                (line.line, lots.index(source.lot)): source.stems
                for line, items in zip(result.lines, fed, strict=True)
                for source in items
                if (source.product, source.length_cm) == (pool.product, pool.length_cm)
            }
            assert found == lots_by_rule(farm, result, pool), (number, str(pool.product), pool.length_cm)


@pytest.mark.parametrize("part", range(PARTS))
def test_what_is_left_over_is_what_a_new_last_line_could_still_get(part: int) -> None:
    for number in range(part * FARMS, (part + 1) * FARMS):
        dice = random.Random(number)
        farm = random_farm(dice)
        result = match(farm.lines, farm.supply, farm.keeping)
        asked = dice.choice(farm.lines)
        window = Window(TODAY + timedelta(days=dice.randint(0, 15)), asked.stage, asked.max_age_days)
        for product in farm.supply.by_product:
            found = still_free(result, product, (Window(TODAY), window), asked.min_length_cm)[1, 0]
            assert found == free_by_solver(farm, result, (window, asked.min_length_cm), product), number


def free_by_solver(farm: RandomFarm, result: MatchResult, ask: tuple[Window, int], product: Product) -> int:
    """Stems that a line with this window could get in the first season after all others."""
    window, length = ask
    total = 0
    for pool in farm.supply.pools:
        if pool.product == product and pool.length_cm >= length:
            given: Asks = [(lots, amount) for _, lots, amount in shares(farm, result, pool)]
            line = new_line(pool, window)
            stems = season_stems(pool, 0)
            reach = flow_judge(stems, [*given, (usable_lots(farm, line, pool), sum(stems))])
            total += reach - sum(amount for _, amount in given)
    return total


def new_line(pool: Pool, window: Window) -> DatedLine:
    """A stall line with a window."""
    return DatedLine(
        "new", "new", "somebody", window.due, 1, LineClass.STALL, 5, TODAY, pool.product,
        stage=window.stage, max_age_days=window.max_age_days,
    )  # fmt: skip
