"""The answers of a desk in values that can be compared: of one that has lived on, of a new process, of a new import."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date, timedelta

import numpy as np

from haulm.advice.floors import Floors
from haulm.farm.orders import Order, OrderLine
from haulm.farm.products import Choice, Product
from haulm.farm.weeks import Week
from haulm.farm.words import Form, OrderKind, OrderStatus, Role, Weekday
from haulm.forecast.back_plan import Starts
from haulm.jobs.desk.desk import Desk
from haulm.jobs.desk.judging import floors_of
from haulm.jobs.promises.list_availability import AvailabilityAsked, list_availability
from haulm.planning.growth import sowing_of
from haulm.planning.may_promise import LineAsked, may_promise_line
from haulm.planning.plan import Plan
from haulm.planning.resowing import thin_trays
from support.promise_comparison import thing_of
from support.promise_match import Name, name_of

Answers = dict[str, object]
LEVELS = (0.5, 0.8)
WEEKS = 6
MOST = 40
PROBE = "q9999"
"""An order behind all others of its class and day, whatever version a farm is at."""


def answers(desk: Desk, *, with_floors: bool) -> Answers:
    """Everything that is told of the farm as it stands; floors only among desks on one database."""
    plan = desk.plan()
    floors = floors_of(desk, plan) if with_floors else Floors()
    asked = AvailabilityAsked(Week.of(plan.today), WEEKS, 0.65, Weekday.THU)
    return {
        "match": _takes(plan),
        "outlooks": [(name_of(one.line), one.confidence, one.expected_missing) for one in plan.outlooks],
        "sureness": {thing_of(what): (sure.confidence, sure.level) for what, sure in plan.moment.sure.items()},
        "floors": {thing_of(sure.what): floors.of(sure) for sure in plan.moment.sure.values()},
        "deliveries": [plan.deliveries(level) for level in LEVELS],
        "gaps": [plan.gaps(level) for level in LEVELS],
        "free to promise": list_availability(desk, asked),
        "left over": plan.left_by_week,
        "typical seasons": plan.typical_products,
        "picture": plan.season_picture,
        "thin trays": thin_trays(plan, LEVELS[0]),
        "started in three days": _started(plan),
        "may promise": [may_promise_line(desk.planner, plan, probe, floors) for probe in probes(plan.today)],
    }


def differing(found: Answers, right: Answers) -> list[str]:
    """The answers that are not the same."""
    return [name for name in right if found[name] != right[name]]


def probes(today: date) -> Iterable[LineAsked]:
    """Promises that somebody might ask for: a wedding of a product, a hold of a choice; judged, never made."""
    due = today + timedelta(days=9)
    wedding = Order(PROBE, "anna", OrderKind.WEDDING, due, due, committed_on=today, status=OrderStatus.CONTRACTED)
    hold = Order(PROBE, "anna", OrderKind.ONE_OFF, due, None, today, OrderStatus.ON_HOLD, hold_until=today)
    accent = Choice((Role.ACCENT,), (), (Form.FRESH,))
    yield LineAsked(wedding, OrderLine(f"{PROBE}-1", PROBE, 1, Product("lagurus"), spare=2), 0.5, MOST)
    yield LineAsked(hold, OrderLine(f"{PROBE}-1", PROBE, 1, None, accent), 0.5, MOST)


def _started(plan: Plan) -> dict[str, bytes]:
    """When each batch would flower, and be ended, in every season, were it started in three days."""
    drawn, day = plan.growth.forecast, plan.today + timedelta(days=3)
    found: dict[str, bytes] = {}
    if drawn is None:
        return found
    for batch in plan.farm.batches:
        days = Starts(drawn, sowing_of(plan.farm, batch, plan.crops[batch.variety])).on(day)
        found[batch.key] = b"" if days is None else b"".join(one.tobytes() for one in days)
    return found


def _takes(plan: Plan) -> dict[Name, dict[tuple[str, int], bytes]]:
    """What every line takes of every pool in every season."""
    result = plan.result
    found: dict[Name, dict[tuple[str, int], bytes]] = {}
    for line, takes in zip(result.lines, result.takes, strict=True):
        mine = found.setdefault(name_of(line), {})
        for take in takes:
            pool = result.pool(take)
            stems = np.broadcast_to(take.stems, result.supply.seasons).astype(np.int32)
            mine[str(pool.product), pool.length_cm] = stems.tobytes()
    return found
