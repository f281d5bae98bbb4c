"""A second reading of the match's rules, day by day, with solvers of others to count stems.

It shares no code with the match, and is not fast: it asks a solver again for every line and pool.
"""

from __future__ import annotations

from collections.abc import Callable
from datetime import date, timedelta

import numpy as np
from scipy.optimize import linprog
from scipy.sparse import csr_array
from scipy.sparse.csgraph import maximum_flow

from haulm.demand.dated_line import DatedLine
from haulm.farm.products import Product
from haulm.farm.words import Form
from haulm.matching.allocation.candidates import chosen_by
from haulm.matching.supply import Keeping, Lot, Pool
from support.random_farms import RandomFarm

Asks = list[tuple[set[int], int]]
Judge = Callable[[list[int], Asks], int]
Fills = dict[tuple[str, str, int], int]


def may_serve(lot: Lot, line: DatedLine, product: Product, keeping: Keeping) -> bool:
    """Whether a stem of a lot may go into a line, by trying every day on which it might be cut."""
    if lot.usable_until is not None and line.due > lot.usable_until:
        return False
    if product.form is Form.DRIED:
        return lot.ready <= line.due
    kept = keeping.products[product]
    if lot.cut is not None:
        tried = [lot.cut]
    else:
        stood = [lot.ready + timedelta(days=days) for days in range(kept.field_life.days + 1)]
        tried = [day for day in stood if day >= keeping.today and day.isoweekday() in keeping.weekdays]
    return any(fit_when_cut_on(day, lot, line, keeping, product) for day in tried)


def fit_when_cut_on(day: date, lot: Lot, line: DatedLine, keeping: Keeping, product: Product) -> bool:
    """Whether a stem cut on a day is drunk up, fresh, young and ripe enough for the line."""
    kept = keeping.products[product]
    age = (line.due - day).days
    if not keeping.condition_days <= age <= kept.hold_days:
        return False
    if line.max_age_days is not None and age > line.max_age_days:
        return False
    if line.stage is None:
        return True
    days_after_ready = (day - lot.ready).days
    return any(
        stage.name == line.stage and stage.from_day <= days_after_ready <= stage.to_day
        for stage in kept.field_life.stages
    )


def flow_judge(stems: list[int], asks: Asks) -> int:
    """Most stems in all that lots can serve, by maximum flow from asks to lots."""
    source, sink = len(asks) + len(stems), len(asks) + len(stems) + 1
    edges = [(source, ask, amount) for ask, (_, amount) in enumerate(asks)]
    edges += [(ask, len(asks) + lot, amount) for ask, (lots, amount) in enumerate(asks) for lot in lots]
    edges += [(len(asks) + lot, sink, count) for lot, count in enumerate(stems)]
    tails, heads, capacities = (np.array(column, np.int32) for column in zip(*edges, strict=True))
    graph = csr_array((capacities, (tails, heads)), shape=(sink + 1, sink + 1), dtype=np.int32)
    return int(maximum_flow(graph, source, sink).flow_value)


def program_judge(stems: list[int], asks: Asks) -> int:
    """The same by a linear program: whole numbers come of themselves, its matrix being that of a network."""
    pairs = [(ask, lot) for ask, (lots, _) in enumerate(asks) for lot in lots]
    if not pairs:
        return 0
    limits = np.zeros((len(asks) + len(stems), len(pairs)))
    for column, (ask, lot) in enumerate(pairs):
        limits[ask, column] = limits[len(asks) + lot, column] = 1
    caps = [amount for _, amount in asks] + stems
    answer = linprog(-np.ones(len(pairs)), A_ub=limits, b_ub=caps, method="highs")
    assert answer.status == 0
    return round(-answer.fun)


def judged(farm: RandomFarm, season: int, judge: Judge) -> Fills:
    """What each line gets of each pool by the rules, as (line, product, length) -> stems above none."""
    given: dict[tuple[Product, int], Asks] = {}
    fills: Fills = {}
    for line in sorted(farm.lines, key=lambda item: item.precedence):
        got = line_takes(farm, line, season, (given, judge))
        if sum(amount for _, _, amount in got) < line.minimum:
            continue
        for pool, lots, amount in got:
            given.setdefault((pool.product, pool.length_cm), []).append((lots, amount))
            if amount:
                fills[line.line, str(pool.product), pool.length_cm] = amount
    return fills


def line_takes(
    farm: RandomFarm, line: DatedLine, season: int, state: tuple[dict[tuple[Product, int], Asks], Judge]
) -> list[tuple[Pool, set[int], int]]:
    """What one line can take from each of its pools in turn while everybody before it keeps what they have."""
    given, judge = state
    left, got = line.stems, []
    for product in products_in_turn(farm, line):
        of_this = left if line.choice is None else (line.stems + 1) // 2 if line.max_each is None else line.max_each
        for pool in long_enough(farm, line, product):
            before = given.get((pool.product, pool.length_cm), [])
            lots = usable_lots(farm, line, pool)
            stems = season_stems(pool, season)
            wanted = min(left, of_this)
            amount = judge(stems, [*before, (lots, wanted)]) - sum(item for _, item in before) if wanted else 0
            left, of_this = left - amount, of_this - amount
            got.append((pool, lots, amount))
    return got


def products_in_turn(farm: RandomFarm, line: DatedLine) -> list[Product]:
    """Own product, or a choice's products by expected stems less expected demand; then substitutes; nothing twice."""
    names = [line.product] if line.product else []
    if line.choice is not None:
        kept = farm.keeping.products
        accepted = {pool.product for pool in farm.supply.pools}
        accepted = {p for p in accepted if chosen_by(line.choice, p, kept[p])}
        names += sorted(accepted, key=lambda product: (-expected_room(farm, line, product), str(product)))
    names += line.substitutes
    return [product for place, product in enumerate(names) if product not in names[:place]]


def expected_room(farm: RandomFarm, line: DatedLine, product: Product) -> float:
    """Mean stems that a choice line could use of a product, less what that product's own lines ask among them."""
    mean, rivals = 0.0, 0
    usable = {
        (pool.length_cm, lot): expected
        for pool in long_enough(farm, line, product)
        for lot in usable_lots(farm, line, pool)
        if (expected := sum(w * season_stems(pool, s)[lot] for s, w in enumerate(farm.supply.weights))) > 0
    }
    mean = sum(usable.values())
    for other in farm.lines:
        if other.product == product:
            theirs = {
                (pool.length_cm, lot)
                for pool in long_enough(farm, other, product)
                for lot in usable_lots(farm, other, pool)
            }
            rivals += other.stems if theirs & usable.keys() else 0
    return round(mean - rivals, 6)


def long_enough(farm: RandomFarm, line: DatedLine, product: Product) -> list[Pool]:
    """The product's pools that are long enough for a line, shortest first."""
    pools = [pool for pool in farm.supply.pools if pool.product == product and pool.length_cm >= line.min_length_cm]
    return sorted(pools, key=lambda pool: pool.length_cm)


def usable_lots(farm: RandomFarm, line: DatedLine, pool: Pool) -> set[int]:
    """Places of the lots of a pool that may serve a line."""
    lots = [lot for block in pool.blocks for lot in block.lots]
    return {place for place, lot in enumerate(lots) if may_serve(lot, line, pool.product, farm.keeping)}


def season_stems(pool: Pool, season: int) -> list[int]:
    """Stems per lot in one season."""
    return [int(row[season % len(row)]) for block in pool.blocks for row in block.stems]
