"""What of a plan could stand under fleece before the first frosts of autumn, and the plan in which it does."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from datetime import date, timedelta

import numpy as np

from haulm.advice.options.candidates import last_work_day, next_work_day
from haulm.advice.options.fleece import Covered
from haulm.advice.options.situation import Situation
from haulm.advice.room import BARE_BED, metres_needed
from haulm.farm.batches import Batch
from haulm.farm.edits import with_rows
from haulm.farm.words import BedKind, WinterCover
from haulm.forecast.latent import Latent, is_tender
from haulm.language.days import day_of_month
from haulm.language.words import _
from haulm.matching.supply import Supply
from haulm.planning.growth import Drawing, grown
from haulm.planning.plan import Plan
from haulm.planning.sowing_search import own_products

_LEAST_SHARE = 0.05
"""A batch is looked at where frost ends it before the last day asked in this share of seasons; fleece lies by the day
by which it has in as many."""


def coverable(plan: Plan, situation: Situation) -> Iterator[Covered]:
    """The batches of what the lines ask that frost ends too early, all of them together; nothing where there is none.

    Args:
        plan: the plan.
        situation: the gap.
    """
    products = {product for line in situation.lines for product in own_products(plan, line)}
    until = max(line.due for line in situation.lines)
    found = [
        (batch, day)
        for batch in plan.growth.seen.batches
        if batch.product in products and _may_be_covered(plan, batch) and (day := _struck(plan, batch, until))
    ]
    if found:
        batches = tuple(replace(batch, winter_cover=WinterCover.FLEECE) for batch, _ in found)
        names = tuple(_name(plan, batch) for batch in batches)
        by = min(day for _, day in found) - timedelta(days=1)
        by = last_work_day(plan.farm.site, by) if by >= plan.today else next_work_day(plan.farm.site, plan.today)
        yield Covered(batches, names, by, sum(_metres(plan, batch) for batch in batches))


def supply_under(plan: Plan, covered: Covered) -> Supply:
    """What the farm gives with these batches under fleece, in the same seasons."""
    last_due = max((line.due for line in plan.result.lines), default=plan.today)
    drawing = plan.growth.circumstances[1]
    assert isinstance(drawing, Drawing), "a growth knows how its seasons were drawn"
    rows = {batch.key: batch for batch in plan.farm.batches}
    farm = with_rows(plan.farm, [replace(rows[one.key], winter_cover=one.winter_cover) for one in covered.batches])
    return grown(farm, plan.today, drawing, plan.settled, last_due=last_due, before=plan.growth).supply


def _may_be_covered(plan: Plan, batch: Batch) -> bool:
    in_tunnel = any(bed.key == batch.bed and bed.kind is BedKind.TUNNEL for bed in plan.farm.beds)
    is_bare = batch.winter_cover is WinterCover.NONE and not batch.is_over and not in_tunnel
    return is_bare and is_tender(plan.crops[batch.variety])


def _struck(plan: Plan, batch: Batch, until: date) -> date | None:
    """The day by which frost has ended a batch in one season of twenty; None where that is no earlier than a day."""
    drawn = plan.growth.forecast
    if drawn is None or drawn.seasons is None:
        return None
    span = drawn.seasons.span
    last = span.index(until)
    days = [day for one in drawn.latents if one.key == batch.key if (day := _quantile(one, drawn.weights)) <= last]
    return drawn.setting.today + timedelta(days=min(days) - span.index(drawn.setting.today)) if days else None


def _quantile(latent: Latent, weights: np.ndarray[tuple[int], np.dtype[np.float64]] | None) -> int:
    order = np.argsort(latent.kill_day, kind="stable")
    shares = np.full(len(order), 1 / len(order)) if weights is None else weights[order]
    place = int(np.searchsorted(np.cumsum(shares), _LEAST_SHARE))
    return int(latent.kill_day[order[min(place, len(order) - 1)]])


def _name(plan: Plan, batch: Batch) -> str:
    bed = next((bed.name for bed in plan.farm.beds if bed.key == batch.bed), None)
    day = batch.sow_date or batch.plant_out_date
    name = plan.crops[batch.variety].name
    sown = name if day is None else _("{name} of {day}").format(name=name, day=day_of_month(day))
    return _("{sowing} in {bed}").format(sowing=sown, bed=bed) if bed else sown


def _metres(plan: Plan, batch: Batch) -> float:
    bed = next((bed for bed in plan.farm.beds if bed.key == batch.bed), BARE_BED)
    return batch.metres or metres_needed(batch.most_plants, plan.crops[batch.variety], bed)
