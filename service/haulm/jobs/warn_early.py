"""The early warning: what is short, the one best thing to do about each, and what is due on the farm this week."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import date, timedelta

from haulm.advice.options.option import Option
from haulm.advice.room import plant_out_day
from haulm.advice.shortfalls import Gap
from haulm.farm.batches import Batch
from haulm.farm.words import BatchStatus, LineClass, Method, OrderStatus
from haulm.jobs.close_gap import DatedGap, dated_gaps
from haulm.jobs.desk import Desk
from haulm.planning.plan import Plan
from haulm.planning.remedies import remedies
from haulm.planning.resowing import ThinTray, thin_trays

MOST_GAPS = 6
"""Gaps worked through to their best option; the others are only counted, so that the letter stays short."""
_AHEAD = timedelta(days=7)
_FROM_TRAYS = (Method.HEATED, Method.COVER)


@dataclass(frozen=True, slots=True)
class Alert:
    """A gap with the best option it has, and the last day on which that can still be taken."""

    gap: Gap
    decide_by: date
    best: Option | None


@dataclass(frozen=True, slots=True)
class Task:
    """Something due on the farm: the day, and what to do in one sentence."""

    day: date
    sentence: str


@dataclass(frozen=True, slots=True)
class Digest:
    """The letter as values."""

    farm: str
    day: date
    level: float
    alerts: tuple[Alert, ...]
    more_gaps: int
    tasks: tuple[Task, ...]
    forecast_missing: str | None


def warn_early(desk: Desk) -> Digest:
    """What the grower should hear today."""
    plan = desk.plan()
    level = plan.farm.site.default_confidence
    dated = [found for found in dated_gaps(plan, level) if not _only_stall(found.gap)]
    found_out = (_alert(plan, found, level) for found in dated[:MOST_GAPS])
    alerts = tuple(sorted(found_out, key=lambda alert: (alert.decide_by, alert.gap.key)))
    missing = plan.growth.missing
    return Digest(
        farm=plan.farm.site.name,
        day=plan.today,
        level=level,
        alerts=alerts,
        more_gaps=max(0, len(dated) - MOST_GAPS),
        tasks=tuple(sorted(_tasks(plan), key=lambda task: (task.day, task.sentence))),
        forecast_missing=None if missing is None else missing.sentence,
    )


def _only_stall(gap: Gap) -> bool:
    """Whether only the stall is short, which is no broken promise."""
    return all(short.line.line_class is LineClass.STALL for short in gap.shortfalls)


def _alert(plan: Plan, found: DatedGap, level: float) -> Alert:
    options = remedies(plan, found.gap, level)
    best = options[0] if options else None
    decide_by = best.decide_by if best is not None and best.closes else found.decide_by
    return Alert(found.gap, decide_by, best)


def tasks_of(plan: Plan) -> Iterator[Task]:
    """What is due on the farm in the coming week, and holds that let go; in no order."""
    yield from _field_tasks(plan, plan.growth.seen.batches)
    for tray in thin_trays(plan, plan.farm.site.default_confidence):
        yield Task(plan.today, tray_sentence(tray))
    for order in plan.farm.orders:
        lapses = order.status is OrderStatus.ON_HOLD and order.hold_until is not None
        if lapses and order.hold_until is not None and plan.today <= order.hold_until <= plan.today + _AHEAD:
            yield Task(order.hold_until, f"The hold on order {order.key} lets go at the end of the day.")


def tray_sentence(tray: ThinTray) -> str:
    """What to do about a tray that is late, or has come up thin; nothing is written off."""
    batch, advice = tray.batch, tray.advice
    if advice is None:
        return f"Look at batch {batch.key}: most trays are up by {tray.check_on}. Count it, or record what you see."
    start = f"Batch {batch.key}: {tray.up} places are up, {advice.places_short} more would have to be sown."
    if advice.is_too_late:
        return f"{start} No new sowing saves what is promised of it: tell the customers in time, or find other stems."
    if advice.by is None:
        return f"{start} It is too late in the year to sow again."
    lost = sum(day is None for day in advice.by_line.values())
    saved = "to keep what is promised of it" if advice.by_line else "to flower before frost"
    return f"{start} Sow again by {advice.by} {saved}." + (f" {lost} of its lines are past saving." if lost else "")


def _field_tasks(plan: Plan, batches: Iterable[Batch]) -> Iterator[Task]:
    last = plan.today + _AHEAD
    for batch in batches:
        if batch.sow_date is None:
            continue
        name = plan.crops[batch.variety].name
        places = f"{batch.places} places of " if batch.places else ""
        if batch.status is BatchStatus.PLANNED and batch.sow_date <= last:
            late = " It is overdue: record it as sown, or it counts for nothing." if batch.sow_date < plan.today else ""
            yield Task(batch.sow_date, f"Sow {places}{name} ({batch.method}), batch {batch.key}.{late}")
        elif batch.status is BatchStatus.SOWN and batch.method in _FROM_TRAYS:
            day = plant_out_day(batch, plan.crops[batch.variety], batch.sow_date)
            if plan.today <= day <= last:
                yield Task(day, f"Plant out {places}{name}, batch {batch.key}, hardened off.")
