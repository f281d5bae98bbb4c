"""Demand that comes all at once, and not row by row: each order that asks more is judged beside the others."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from datetime import date

from haulm.demand.dated_line import DatedLine
from haulm.demand.precedence import demand
from haulm.farm.snapshot import Farm
from haulm.jobs.desk.desk import Desk
from haulm.jobs.desk.judging import judged
from haulm.jobs.promises.judge_demand import asking_more, promise_of
from haulm.jobs.quotes.promise_refused import Judged
from haulm.planning.settled import Settled

_Lines = dict[tuple[str, date, bool], DatedLine]


def judge_together(desk: Desk, farm: Farm, changed: Farm, settled: Settled | None = None) -> tuple[Judged, ...]:
    """The judgement of every order that asks more on the changed farm, each with all others in their place.

    A dated order has to be as sure as promised; a standing order may not take what was promised to others.

    Args:
        desk: the desk.
        farm: the farm as it stands.
        changed: the farm as it would be.
        settled: what would be done with then; None: what is now.
    """
    asking = asked_more(desk, farm, changed)
    if not asking:
        return ()
    plan = desk.plan_of(farm)
    trial = desk.planner.trial(plan, changed, settled=settled)
    dated = {order.key for order in changed.orders}
    return tuple(
        Judged(
            order,
            judged(desk, plan, trial, promise_of(order, more, trial.joint(order), is_dated=order in dated)),
            trial,
        )
        for order, more in asking.items()
    )


def asked_more(desk: Desk, farm: Farm, changed: Farm) -> dict[str, list[DatedLine]]:
    """The lines of each order that ask more on the changed farm; orders that do not are left out."""
    before, after = _asked(farm, desk.today()), _asked(changed, desk.today())
    asking = {order: asking_more(before.get(order, {}), lines) for order, lines in after.items()}
    return {order: more for order, more in asking.items() if more}


def refused(found: Iterable[Judged]) -> tuple[Judged, ...]:
    """Those that may not be promised."""
    return tuple(one for one in found if not one.verdict.accepted)


def _asked(farm: Farm, today: date) -> dict[str, _Lines]:
    found: defaultdict[str, _Lines] = defaultdict(dict)
    for line in demand(farm, today):
        found[line.order][line.line, line.due, line.is_spare] = line
    return found
