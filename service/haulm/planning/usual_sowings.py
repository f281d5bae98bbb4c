"""Extra sowings that usual sales would pay for: hoped for, never a gap's, judged by money per metre of bed.

A quick look at each sowing picks the day and the size; what is told of the best of each kind comes from a match of the
whole farm with it, every promise served first.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import timedelta

import numpy as np

from haulm.advice.options.candidates import Candidate, candidates
from haulm.advice.options.placing import Full, free_key, placed
from haulm.advice.options.sketch import PROBE_PLACES
from haulm.advice.options.worth import Costing, stay_weeks
from haulm.farm.batches import Batch
from haulm.farm.products import Product
from haulm.farm.words import Form
from haulm.matching.allocation.match import rematch
from haulm.matching.allocation.result import filled
from haulm.matching.allocation.trial import with_blocks
from haulm.matching.supply import FloatArray, Pool
from haulm.matching.windows import Window, accepted_lots
from haulm.planning.bed_money import usual_figures
from haulm.planning.growth import sowing_of
from haulm.planning.plan import Plan
from haulm.planning.sowing_search import costing_of, terms_of
from haulm.planning.usual import hoped_for, products_of
from haulm.planning.usual_figures import Hoped, HopedSowing

_SEASONS_LOOKED_AT = 100
_KINDS_TRIED, _KINDS_OF_A_CHOICE = 8, 3
_EVERY_OTHER = 2
"""Sowings of every other week are looked at."""
_STEPS = (1, 2, 3, 4, 6, 8)
"""So many steps of a sowing are tried: half trays, metres of row, bags."""
_LEAST_LACKING = 10.0
"""Fewer stems lacking over a season are not worth a sowing."""
_WEEKS_AROUND = timedelta(weeks=4)
"""A sowing is looked at that flowers by the calendar so close to a week that lacks stems."""


@dataclass(frozen=True, slots=True)
class _Lack:
    """What one hope lacks: its window, stems in each season looked at, and the price of a stem [minor units]."""

    window: Window
    stems: FloatArray
    price: float


def usual_sowings(plan: Plan) -> tuple[HopedSowing, ...]:
    """The sowings that would pay, one for each kind at most, the most for a metre and week first.

    Each is judged by itself, after every promise, less seed, plants, hours and what bed and bench are worth.
    """
    return plan.remembered_sowings.of(plan.farm.usual_sales, lambda: _found(plan))


def _found(plan: Plan) -> tuple[HopedSowing, ...]:
    if plan.growth.forecast is None:
        return ()
    hoped = usual_figures(plan).hoped
    every = max(1, plan.result.supply.seasons // _SEASONS_LOOKED_AT)
    found = []
    for product, lacks in _lacking(plan, hoped, every):
        batch = _best(plan, product, lacks, every)
        proved = None if batch is None else _proved(plan, hoped, batch)
        if proved is not None:
            found.append(proved)
    return tuple(sorted(found, key=lambda one: (-one.per_metre_week, one.batch.variety)))


def _lacking(plan: Plan, hoped: Hoped, every: int) -> Iterator[tuple[Product, list[_Lack]]]:
    """The products of which hopes lack most money, with what is lacking."""
    lacks: dict[Product, list[_Lack]] = {}
    for hope, takes, price in zip(hoped.hopes, hoped.takes, hoped.prices, strict=True):
        missing = (hope.sale.stems - filled(takes, plan.result.supply.seasons))[::every].astype(np.float64)
        would_do = [product for product in products_of(plan, hope.sale) if product.form is Form.FRESH]
        quickest = sorted(would_do, key=lambda product: (plan.crops[product.variety].weeks_to_flower, product))
        for product in quickest[:_KINDS_OF_A_CHOICE]:
            lacks.setdefault(product, []).append(_Lack(Window(hope.due), missing, price))
    ranked = sorted(
        lacks.items(), key=lambda item: (-sum(lack.price * float(lack.stems.mean()) for lack in item[1]), item[0])
    )
    for product, found in ranked[:_KINDS_TRIED]:
        if sum(float(lack.stems.mean()) for lack in found) >= _LEAST_LACKING:
            yield product, found


def _best(plan: Plan, product: Product, lacks: Sequence[_Lack], every: int) -> Batch | None:
    """The day, method and size that leave most by a quick look; None where none leaves anything."""
    crop, costing, terms = plan.crops[product.variety], costing_of(plan), terms_of(plan)
    best: tuple[float, Batch] | None = None
    for candidate in _worth_a_look(plan, product, lacks):
        step = terms.step(crop, candidate.method)
        stems, key = _glance(plan, candidate, lacks, every), free_key(candidate, plan.farm.batches)
        for places in dict.fromkeys(step.rounded(step.places * steps) for steps in _STEPS):
            brought = _brought(plan, stems, lacks, places / PROBE_PLACES)
            batch = placed(candidate.batch(key, places), crop, plan.room, plan.farm.batches)
            if isinstance(batch, Full):
                break
            left = brought - _costs(plan, costing, batch)
            if left > 0 and (best is None or left > best[0]):
                best = (left, batch)
    return None if best is None else best[1]


def _worth_a_look(plan: Plan, product: Product, lacks: Sequence[_Lack]) -> Iterator[Candidate]:
    crop, dues = plan.crops[product.variety], [lack.window.due for lack in lacks]
    found = candidates(plan.farm.site, crop, product, today=plan.today, last_due=max(dues), plugs_from=None)
    for candidate in tuple(found)[::_EVERY_OTHER]:
        first = candidate.day + timedelta(weeks=crop.weeks_to_flower)
        last = first + timedelta(weeks=crop.harvest_weeks)
        if any(first - _WEEKS_AROUND <= due <= last + _WEEKS_AROUND for due in dues):
            yield candidate


def _glance(plan: Plan, candidate: Candidate, lacks: Sequence[_Lack], every: int) -> list[Pool]:
    batch = candidate.batch("look", PROBE_PLACES)
    sowing = sowing_of(plan.farm, batch, plan.crops[batch.variety])
    blocks = plan.growth.glance(sowing, max(lack.window.due for lack in lacks), every)
    return [Pool(product, length, (block,)) for (product, length), block in blocks.items()]


def _brought(plan: Plan, pools: Sequence[Pool], lacks: Sequence[_Lack], times: float) -> float:
    """Money that so many times the stems of a look would bring, the oldest first [minor units]."""
    weights = plan.result.supply.weights[:: max(1, plan.result.supply.seasons // _SEASONS_LOOKED_AT)]
    still = [lack.stems.copy() for lack in lacks]
    brought = np.zeros(weights.size)
    for pool in pools:
        left = np.broadcast_to(pool.blocks[0].stems, (len(pool.lots), weights.size)) * times
        for lack, missing in zip(lacks, still, strict=True):
            rows = np.flatnonzero(accepted_lots(lack.window, pool.days, pool.product, plan.growth.keeping))
            given = np.diff(np.minimum(np.cumsum(left[rows], axis=0), missing), axis=0, prepend=0.0)
            left[rows] -= given
            missing -= given.sum(axis=0)
            brought += given.sum(axis=0) * lack.price
    return float(brought @ weights / weights.sum())


def _costs(plan: Plan, costing: Costing, batch: Batch) -> float:
    batches = (batch,)
    return costing.spent(batches) + costing.work(batches) + costing.place(batches, plan.room)


def _proved(plan: Plan, hoped: Hoped, batch: Batch) -> HopedSowing | None:
    """What a match with the batch says; None where it does not pay after all."""
    farm, costing = plan.farm, costing_of(plan)
    added = {
        name: (block,)
        for name, block in plan.growth.blocks_of(sowing_of(farm, batch, plan.crops[batch.variety])).items()
    }
    supply, _ = with_blocks(plan.result.supply, added)
    gained = hoped_for(plan, rematch(plan.result, plan.result.lines, supply)).minor - hoped.minor
    stay = costing.bed_stay(batch, plan.room)
    if stay is None or gained <= _costs(plan, costing, batch):
        return None
    spent = costing.spent((batch,)) + costing.work((batch,))
    return HopedSowing(batch, gained, spent, stay.amount, stay_weeks(stay))
