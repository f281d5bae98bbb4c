"""The search for sowings for what a plan lacks: the pure search of advice, fed with looks and real re-matches."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from datetime import date, timedelta

import numpy as np

from haulm.advice.options.candidates import Candidate, candidates
from haulm.advice.options.need import KINDS_TRIED, Need
from haulm.advice.options.option import Proof, Worth
from haulm.advice.options.search import Search
from haulm.advice.options.sketch import PROBE_PLACES, Look, Sketch
from haulm.advice.options.steps import Terms, is_sold_as_plugs
from haulm.advice.options.worth import Costing, Gains
from haulm.advice.pricing import PriceList, answering
from haulm.advice.room import tray_size
from haulm.demand.dated_line import DatedLine
from haulm.farm.batches import Batch
from haulm.farm.costs import STEM_MINOR
from haulm.farm.products import Product
from haulm.farm.varieties import Crop
from haulm.farm.weeks import Week
from haulm.farm.words import Form, Method
from haulm.forecast.inputs import Sowing
from haulm.kept import Kept, answers
from haulm.matching.allocation.candidates import chosen, most_each
from haulm.matching.allocation.trial import PoolName, SupplyTrial
from haulm.matching.reading.confidence import mean_of, weight_of
from haulm.matching.supply import Block, BoolArray, Pool
from haulm.matching.windows import accepted_lots, window_of
from haulm.planning.growth import sowing_of
from haulm.planning.plan import Plan

_LEAST_SHARE = 6 / 7
"""Of the weeks to flower: begun so late, a kind may still flower by a day in a warm season (common practice)."""
_BATCHES_KEPT = 8
"""The stems of so many tried batches are kept: a set is tried again with some of it moved."""
_LOOKS_KEPT = 1024
_SKETCHED_SEASONS = 500
"""So many seasons, evenly picked, are enough for a sketch."""


def sowing_search(plan: Plan, need: Need, products: Sequence[Product], *, has_all_ways: bool = True) -> Search:
    """A search for the sowings of some products that would make lines as sure as they are to be.

    Args:
        plan: the plan; it has a forecast.
        need: the lines.
        products: what may be sown.
        has_all_ways: whether it is told until when a sowing would still do.
    """
    every = max(1, plan.result.supply.seasons // _SKETCHED_SEASONS)
    proofs = BatchProofs(plan, need)
    return Search(
        levels=need.sure_levels,
        before=proof_of(plan, need),
        crops=dict(plan.crops),
        room=plan.room,
        batches=plan.farm.batches,
        runs=runs_of(plan, products, max(line.due for line in need.lines)),
        look=_looks(plan, need.lines, every),
        sketch=_sketch(plan, need, every),
        prove=proofs.prove,
        worth=_worths(plan, need, proofs),
        terms=terms_of(plan),
        has_all_ways=has_all_ways,
    )


def _sketch(plan: Plan, need: Need, every: int) -> Sketch:
    weights = plan.result.supply.weights[::every]
    each = [most_each(line) for line in need.lines]
    return Sketch(
        np.array([plan.missing(line)[::every] for line in need.lines], np.float32),
        np.array([np.inf if limit is None else limit for limit in each], np.float32),
        weights / weights.sum(),
        np.array(need.sure_levels),
        all_filled(plan, need.beside)[::every] if need.are_together else None,
    )


def all_filled(plan: Plan, lines: Iterable[DatedLine]) -> BoolArray:
    """The seasons in which all lines have what they ask, shape (seasons,)."""
    found = np.ones(plan.result.supply.seasons, np.bool_)
    for line in lines:
        found &= plan.missing(line) == 0
    return found


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


def _worths(plan: Plan, need: Need, proofs: BatchProofs) -> Callable[[tuple[Batch, ...], Proof], Worth]:
    """What batches are worth to lines; lines that count together are worth what all of them are."""
    stems, prices = tuple(line.stems for line in need.lines), stem_prices(plan, need.lines)
    if need.are_together:
        total = sum(stems)
        stems, prices = (total,), (sum(n * price for n, price in zip(stems, prices, strict=True)) / total,)
    gains = Gains(stems, prices, proof_of(plan, need), plan.farm.site.costs.stem_bought)
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


def runs_of(plan: Plan, products: Iterable[Product], last_due: date) -> tuple[tuple[Candidate, ...], ...]:
    """The sowings of some products that are worth a look for lines due up to a day, a run for each product and method.

    Args:
        plan: the plan.
        products: the products.
        last_due: the last day anything is due; what is sown on it is too late.
    """
    return tuple(run for product in products for run in _runs(plan, product, last_due))


def _runs(plan: Plan, product: Product, last_due: date) -> Iterator[tuple[Candidate, ...]]:
    found = list(_candidates(plan, product, last_due))
    for method in dict.fromkeys(candidate.method for candidate in found):
        yield tuple(candidate for candidate in found if candidate.method is method)


def _candidates(plan: Plan, product: Product, last_due: date) -> Iterator[Candidate]:
    crop = plan.crops[product.variety]
    plugs_from = _plugs_from(plan, crop)
    return candidates(plan.farm.site, crop, product, today=plan.today, last_due=last_due, plugs_from=plugs_from)


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


def products_tried(plan: Plan, lines: Iterable[DatedLine], kinds: int = KINDS_TRIED) -> list[Product]:
    """What is tried for lines: of what answers each so many kinds, those that flower soonest."""
    return list(dict.fromkeys(product for line in lines for product in _tried_for(plan, line)[:kinds]))


def _tried_for(plan: Plan, line: DatedLine) -> list[Product]:
    """The kinds that are tried for a line; stand-ins where nothing that answers its choice flowers in time."""
    own = own_products(plan, line)
    if line.choice is None or any(flowers_by(plan, product, line.due) for product in own):
        return own
    stand_ins = [product for product in line.substitutes if flowers_by(plan, product, line.due)]
    return sorted(stand_ins, key=lambda product: (plan.crops[product.variety].weeks_to_flower, product))


def flowers_by(plan: Plan, product: Product, due: date) -> bool:
    """Whether a kind that is sown or planted as soon as it can be may flower by a day."""
    if product.form is not Form.FRESH:
        return False
    latest = due - timedelta(days=round(_LEAST_SHARE * 7 * plan.crops[product.variety].weeks_to_flower))
    return any(True for _ in _candidates(plan, product, latest + timedelta(days=1)))


def proof_of(plan: Plan, need: Need) -> Proof:
    """What the plan as it stands says of lines."""
    found = [plan.outlook_of(line) for line in need.lines]
    missing = sum(one.expected_missing for one in found)
    if need.are_together:
        return Proof((plan.joint_of(plan.result.places[line] for line in need.watched),), missing)
    return Proof(tuple(one.confidence for one in found), missing)


class BatchProofs:
    """Re-matches of lines with batches added, equal to those of the whole farm with these batches."""

    def __init__(self, plan: Plan, need: Need) -> None:
        """Nothing is tried yet."""
        self._plan, self._need = plan, need
        self._tryout = SupplyTrial(plan.result, [plan.result.places[line] for line in need.watched])
        self._blocks: Kept[Batch, tuple[tuple[PoolName, Block], ...]] = Kept(_BATCHES_KEPT)

    def prove(self, batches: tuple[Batch, ...]) -> Proof:
        """How sure the lines are with batches, and what they lack."""
        added: dict[PoolName, list[Block]] = {}
        for batch in batches:
            for name, block in self._of(batch):
                added.setdefault(name, []).append(block)
        need, weights = self._need, self._plan.result.supply.weights
        filled = self._tryout.filled(added)
        missing = [line.stems - stems for line, stems in zip(need.watched, filled, strict=True)]
        lacked = sum(mean_of(stems, weights) for stems in missing[: len(need.lines)])
        if need.are_together:
            every = [np.broadcast_to(stems == 0, weights.shape) for stems in missing]
            return Proof((weight_of(np.logical_and.reduce(every), weights),), lacked)
        return Proof(tuple(weight_of(stems == 0, weights) for stems in missing), lacked)

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


def _looks(plan: Plan, lines: Sequence[DatedLine], every: int) -> Callable[[Candidate], Look]:
    """Quick looks at candidates, each taken once; every so many seasons are looked at."""

    @answers(_LOOKS_KEPT)
    def look(candidate: Candidate) -> Look:
        return _look(plan, lines, candidate, every)

    return look


def _look(plan: Plan, lines: Sequence[DatedLine], candidate: Candidate, every: int) -> Look:
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
