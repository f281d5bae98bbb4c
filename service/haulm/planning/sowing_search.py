"""The search for sowings that close a gap of a plan: the pure search of advice, fed with looks and real re-matches."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from datetime import date

import numpy as np

from haulm.advice.options.candidates import Candidate, candidates
from haulm.advice.options.option import Proof, Worth
from haulm.advice.options.search import Search, sure_levels
from haulm.advice.options.sketch import PROBE_PLACES, Look, Sketch
from haulm.advice.options.steps import Terms, is_sold_as_plugs
from haulm.advice.options.worth import Costing, Gains
from haulm.advice.pricing import PriceList, answering
from haulm.advice.room import tray_size
from haulm.advice.shortfalls import Gap
from haulm.demand.dated_line import DatedLine
from haulm.farm.batches import Batch
from haulm.farm.costs import STEM_MINOR
from haulm.farm.products import Product
from haulm.farm.varieties import Crop
from haulm.farm.weeks import Week
from haulm.farm.words import Method
from haulm.forecast.inputs import Sowing
from haulm.kept import Kept, answers
from haulm.matching.confidence import mean_of, weight_of
from haulm.matching.supply import Block, Pool
from haulm.matching.tryout import PoolName, Tryout
from haulm.matching.windows import accepted_lots, window_of
from haulm.matching.wishes import chosen, most_each
from haulm.planning.growth import sowing_of
from haulm.planning.plan import Plan

_KINDS_TRIED = 4
"""For a choice, the kinds that flower soonest are tried; the rest would only come later."""
_BATCHES_KEPT = 8
"""The stems of so many tried batches are kept: a set is tried again with some of it moved."""
_LOOKS_KEPT = 1024
_SKETCHED_SEASONS = 500
"""So many seasons, evenly picked, are enough for a sketch."""


def sowing_search(plan: Plan, gap: Gap, products: Sequence[Product]) -> Search:
    """A search for the sowings of some products that would close a gap.

    Args:
        plan: the plan; it has a forecast.
        gap: the gap.
        products: what may be sown, the first few are tried.
    """
    farm = plan.farm
    lines = [short.line for short in gap.shortfalls]
    each = [most_each(line) for line in lines]
    every = max(1, plan.result.supply.seasons // _SKETCHED_SEASONS)
    missing = np.array([plan.missing(line)[::every] for line in lines], np.float32)
    most = np.array([np.inf if limit is None else limit for limit in each], np.float32)
    weights, levels = plan.result.supply.weights[::every], sure_levels(gap)
    proofs = BatchProofs(plan, lines)
    return Search(
        levels=levels,
        before=proof_of(gap),
        crops=dict(plan.crops),
        room=plan.room,
        batches=farm.batches,
        runs=tuple(_runs(plan, lines, products)),
        look=_looks(plan, lines, every),
        sketch=Sketch(missing, most, weights / weights.sum(), np.array(levels)),
        prove=proofs.prove,
        worth=_worths(plan, gap, proofs),
        terms=terms_of(plan),
    )


def terms_of(plan: Plan) -> Terms:
    """In what steps the farm sows, and when it orders."""
    return Terms(plan.farm.site, plan.today, tray_size(plan.farm.batches), plan.farm.at_home)


def costing_of(plan: Plan) -> Costing:
    """What batches cost on the farm."""
    site = plan.farm.site
    beds = {bed.key: bed for bed in plan.farm.beds}
    return Costing(site.costs, site.prices.seed_minor_per_place, plan.crops, beds)


def stem_prices(plan: Plan, lines: Iterable[DatedLine]) -> tuple[float, ...]:
    """The price of a stem of each line by the list, or a starting figure where the farm has none [minor units]."""
    found = []
    for line in lines:
        products = (line.product,) if line.product is not None else plan.accepted_by(line)
        found.append(stem_price(plan, products, line.customer, line.due, line.min_length_cm))
    return tuple(found)


def stem_price(plan: Plan, products: Iterable[Product], customer: str | None, due: date, length_cm: int = 0) -> float:
    """The price of a stem of the dearest of some products by the list, or a starting figure [minor units]."""
    prices = PriceList(plan.farm.prices, plan.crops, plan.farm.site.prices)
    price = prices.dearest(products, customer=customer, week=Week.of(due), length_cm=length_cm)
    return float(price.stem) or STEM_MINOR


def _worths(plan: Plan, gap: Gap, proofs: BatchProofs) -> Callable[[tuple[Batch, ...], Proof], Worth]:
    """What batches are worth to a gap."""
    lines = [short.line for short in gap.shortfalls]
    gains = Gains(tuple(line.stems for line in lines), stem_prices(plan, lines), proof_of(gap))
    costing = costing_of(plan)

    def worth(batches: tuple[Batch, ...], after: Proof) -> Worth:
        return gains.worth(
            after,
            spent=costing.spent(batches),
            place=costing.place(batches, plan.room),
            work=costing.work(batches),
            gives=proofs.gives(batches),
        )

    return worth


def runs_of(plan: Plan, gap: Gap, products: Sequence[Product]) -> tuple[tuple[Candidate, ...], ...]:
    """The sowings of some products that are worth a look for a gap, a run for each product and method."""
    return tuple(_runs(plan, [short.line for short in gap.shortfalls], products))


def _runs(plan: Plan, lines: list[DatedLine], products: Sequence[Product]) -> Iterator[tuple[Candidate, ...]]:
    last_due = max(line.due for line in lines)
    for product in products[:_KINDS_TRIED]:
        crop = plan.crops[product.variety]
        found = list(
            candidates(
                plan.farm.site,
                crop,
                product,
                today=plan.today,
                last_due=last_due,
                plugs_from=_plugs_from(plan, crop),
            )
        )
        for method in dict.fromkeys(candidate.method for candidate in found):
            yield tuple(candidate for candidate in found if candidate.method is method)


def _plugs_from(plan: Plan, crop: Crop) -> date | None:
    """The first day on which plugs of a kind that are ordered today are here; None where none are sold."""
    terms = terms_of(plan)
    is_sold = is_sold_as_plugs(crop, plan.farm.site.costs, plan.farm.batches)
    return terms.here_from(crop, Method.PLUGS) if is_sold or terms.tick(crop, Method.PLUGS) is not None else None


def own_products(plan: Plan, line: DatedLine) -> list[Product]:
    """The products that answer a line, the quickest to flower first."""
    if line.product is not None:
        return [line.product]
    assert line.choice is not None
    found = answering(line.choice, plan.crops)
    return sorted(found, key=lambda product: (plan.crops[product.variety].weeks_to_flower, product))


def proof_of(gap: Gap) -> Proof:
    """What the plan as it stands says of a gap's lines."""
    return Proof(tuple(short.confidence for short in gap.shortfalls), gap.expected_missing)


class BatchProofs:
    """Re-matches of a gap's lines with batches added, equal to those of the whole farm with these batches."""

    def __init__(self, plan: Plan, lines: Sequence[DatedLine]) -> None:
        """Nothing is tried yet."""
        self._plan, self._lines = plan, lines
        self._tryout = Tryout(plan.result, [plan.result.places[line] for line in lines])
        self._blocks: Kept[Batch, tuple[tuple[PoolName, Block], ...]] = Kept(_BATCHES_KEPT)

    def prove(self, batches: tuple[Batch, ...]) -> Proof:
        """How sure the lines are with batches, and what they lack."""
        added: dict[PoolName, list[Block]] = {}
        for batch in batches:
            for name, block in self._of(batch):
                added.setdefault(name, []).append(block)
        weights = self._plan.result.supply.weights
        filled = self._tryout.filled(added)
        missing = [line.stems - stems for line, stems in zip(self._lines, filled, strict=True)]
        sure = tuple(weight_of(stems == 0, weights) for stems in missing)
        return Proof(sure, sum(mean_of(stems, weights) for stems in missing))

    def gives(self, batches: tuple[Batch, ...]) -> float:
        """Stems that batches give in all, on average."""
        weights = self._plan.result.supply.weights
        return sum(
            mean_of(block.stems.sum(axis=0, dtype=np.int32), weights)
            for batch in batches
            for _, block in self._of(batch)
        )

    def _of(self, batch: Batch) -> tuple[tuple[PoolName, Block], ...]:
        plan = self._plan
        return self._blocks.of(batch, lambda: tuple(plan.growth.blocks_of(_sowing(plan, batch)).items()))


def _looks(plan: Plan, lines: list[DatedLine], every: int) -> Callable[[Candidate], Look]:
    """Quick looks at candidates, each taken once; every so many seasons are looked at."""

    @answers(_LOOKS_KEPT)
    def look(candidate: Candidate) -> Look:
        return _look(plan, lines, candidate, every)

    return look


def _look(plan: Plan, lines: list[DatedLine], candidate: Candidate, every: int) -> Look:
    seasons = len(range(0, plan.result.supply.seasons, every))
    before = np.zeros((len(lines), seasons), np.float32)
    upto = np.zeros_like(before)
    last_due = max(line.due for line in lines)
    blocks = plan.growth.glance(_sowing(plan, candidate.batch("look", PROBE_PLACES)), last_due, every)
    for (product, length_cm), block in blocks.items():
        running = np.zeros((len(block.lots) + 1, seasons), np.float32)
        np.cumsum(block.stems, axis=0, out=running[1:])
        for row, (first, last) in enumerate(_reach(plan, lines, Pool(product, length_cm, (block,)))):
            before[row] += running[first]
            upto[row] += running[last]
    return Look(candidate, before, upto)


def _reach(plan: Plan, lines: Iterable[DatedLine], pool: Pool) -> Iterator[tuple[int, int]]:
    """The lots of a pool that each line may take, as places from and to; lots that come too late for it are behind."""
    for line in lines:
        accepted = np.flatnonzero(accepted_lots(window_of(line), pool.days, pool.product, plan.growth.keeping))
        if pool.length_cm < line.min_length_cm or not may_take(plan, line, pool.product):
            yield 0, 0
        elif len(accepted):
            yield int(accepted[0]), int(accepted[-1]) + 1
        else:
            past = int((pool.days.ready < line.due.toordinal()).sum())
            yield past, past


def may_take(plan: Plan, line: DatedLine, product: Product) -> bool:
    """Whether a line names a product, its choice accepts it, or it is one of its substitutes."""
    named = product == line.product or product in line.substitutes
    return named or (line.choice is not None and chosen(line.choice, product, plan.growth.keeping))


def _sowing(plan: Plan, batch: Batch) -> Sowing:
    return sowing_of(plan.farm, batch, plan.crops[batch.variety])
