"""Keep the week's forecast as it was made, once in each ISO week, so that it can be scored when the stems have come."""

from __future__ import annotations

from typing import Any

import numpy as np

from haulm.evidence.came import weeks_rule_stems
from haulm.farm.weeks import Week
from haulm.forecast.percentiles import whole_quantiles
from haulm.jobs.desk.desk import Desk
from haulm.planning.plan import Plan
from haulm.store.unit_of_work import UnitOfWork

KEPT = "forecast-kept"
KEPT_LEVELS = (0.05, 0.1, 0.25, 0.5, 0.75, 0.9, 0.95)
WEEKS_AHEAD = 26


def keep_forecast(desk: Desk, work: UnitOfWork) -> bool:
    """Enter what is said today of each product and week; False where this week's forecast is kept already.

    Nothing is entered while there is no forecast.
    """
    week = Week.of(desk.today())
    subject = f"forecasts/{week}"
    if work.last_entry(KEPT, subject) is not None:
        return False
    rows = _rows(desk.plan_of(work.farm), week)
    if not rows:
        return False
    work.enter(KEPT, subject, {"week": str(week), "levels": list(KEPT_LEVELS), "rows": rows})
    return True


def kept_this_week(desk: Desk, *, actor: str) -> bool:
    """Keep this week's forecast in a unit of work of its own; False where it is kept already."""
    desk.plan()
    with desk.store.unit_of_work(actor=actor, now=desk.now()) as work:
        made = keep_forecast(desk, work)
        work.save()
    return made


def _rows(plan: Plan, this_week: Week) -> list[dict[str, Any]]:
    """A row for each product and later week in which some season has stems."""
    drawn = plan.growth.forecast
    if drawn is None or drawn.seasons is None:
        return []
    first = this_week.plus(1)
    rows: list[dict[str, Any]] = []
    for product in drawn.products:
        pools = drawn.ready_stems(product, first.monday, 7 * WEEKS_AHEAD).values()
        stems = np.sum([pool.reshape(WEEKS_AHEAD, 7, -1).sum(axis=1) for pool in pools], axis=0)
        stated = whole_quantiles(stems, KEPT_LEVELS, drawn.weights).T
        rule = weeks_rule_stems(plan.farm, plan.crops, product, first, WEEKS_AHEAD)
        rows += [
            {"product": str(product), "week": str(first.plus(ahead)), "stems": stated[ahead].tolist(), "rule": naive}
            for ahead, naive in enumerate(rule)
            if stated[ahead][-1] > 0
        ]
    return rows
