"""Trays that have come up thin: what was promised of them, and until when sowing again still helps."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import timedelta

import numpy as np

from haulm.advice.resow import PromisedStems, Resow, check_day, places_short, resow
from haulm.farm.words import BatchStatus, LineClass, Method
from haulm.forecast.back_plan import Starts
from haulm.forecast.inputs import Sowing
from haulm.forecast.percentiles import quantiles
from haulm.forecast.supply import Forecast
from haulm.planning.growth import sowing_of
from haulm.planning.plan import Plan
from haulm.planning.thin_tray import ThinTray as ThinTray

_SOWN = (Method.COVER, Method.HEATED, Method.DIRECT)
_NOT_NAMED = (LineClass.SPARE, LineClass.STALL)


def thin_trays(plan: Plan, level: float) -> tuple[ThinTray, ...]:
    """The sown batches to look at, and those that were counted and are thin.

    Args:
        plan: the plan of the day.
        level: how sure a new sowing has to be in flower in time.

    Returns:
        In the order of the batches. A batch is promised to the named lines of its product that are due while it is in
        flower in the middling season.
    """
    drawn = plan.growth.forecast
    if drawn is None or drawn.seasons is None:
        return ()
    return plan.remembered_trays.of(level, lambda: tuple(_thin(plan, drawn, level)))


def _thin(plan: Plan, drawn: Forecast, level: float) -> Iterator[ThinTray]:
    for batch in plan.growth.seen.batches:
        if batch.status is not BatchStatus.SOWN or batch.method not in _SOWN or batch.sow_date is None:
            continue
        sowing = sowing_of(plan.farm, batch, plan.crops[batch.variety], plan.growth.seen)
        check_on = check_day(sowing)
        seen = sowing.evidence
        up = seen.germinated_final if seen.germinated_final is not None else seen.germinated_so_far
        if plan.today < check_on or seen.plants_alive is not None or seen.first_cut is not None:
            continue
        if up is None:
            yield ThinTray(batch, check_on, None, None)
        elif places_short(sowing) > 0:
            promised = tuple(_promised(plan, drawn, sowing))
            yield ThinTray(batch, check_on, up, _advice(plan, drawn, sowing, promised, level))


def _advice(plan: Plan, drawn: Forecast, sowing: Sowing, promised: tuple[PromisedStems, ...], level: float) -> Resow:
    starts = Starts(drawn, sowing)
    # What was tried is kept with the tables of the seasons: it stands for them, and is only ever equal to itself.
    seasons = (starts.seasons.started, starts.rests_on, drawn.weights.tobytes())
    rests = (seasons, sowing, promised, plan.today, level)
    return plan.of_products.resown.of(rests, lambda: resow(drawn, sowing, promised, today=plan.today, level=level))


def _promised(plan: Plan, drawn: Forecast, sowing: Sowing) -> Iterator[PromisedStems]:
    latent = next((one for one in drawn.latents if one.key == sowing.key), None)
    if latent is None or drawn.seasons is None:
        return
    days = latent.first_day.astype(np.float64)[None, :]
    first = drawn.seasons.span.first + timedelta(days=round(float(quantiles(days, (0.5,), drawn.weights)[0, 0])))
    last = first + timedelta(days=round(7 * sowing.crop.harvest_weeks))
    for line in plan.result.lines:
        named = line.line_class not in _NOT_NAMED
        if named and line.product == sowing.product and first <= line.due <= last:
            yield PromisedStems(f"{line.line} {line.due}", line.due, line.stems)
