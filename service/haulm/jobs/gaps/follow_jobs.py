"""Follow the jobs that close gaps once the gaps' days stand: what each recommended way is and does, what waiting costs.

It is done a gap at a time outside of any request, by one worker of all that may be there, as the days are. What has
been found is kept, so that whoever shows a job only reads.
"""

from __future__ import annotations

import uuid
from collections.abc import Mapping, Sequence
from datetime import date
from typing import Any

from haulm.advice.gap_days import identity
from haulm.advice.options.option import Option
from haulm.advice.waiting import share_closed, waiting
from haulm.advice.ways import Effects
from haulm.farm.words import LineClass, OrderStatus
from haulm.jobs.desk.desk import Desk
from haulm.jobs.gaps.follow_gaps import LEASE, Step, is_worked_out, work_out_gaps
from haulm.jobs.gaps.kept_options import recommended_kept, ways_kept
from haulm.jobs.gaps.standing_gaps import DatedGap, basis_now, basis_of, dated_gaps
from haulm.jobs.gaps.way_words import brief_way, short_way, way_in_words
from haulm.planning.across_gaps import clash
from haulm.planning.plan import Plan
from haulm.store.gap_book import Basis
from haulm.store.job_book import JOB, Facts


def follow_jobs(desk: Desk, worker: str) -> Step:
    """Work out the job of the next gap that has none for this version; nothing before all days are worked out.

    Raises:
        FarmEmpty: nothing was imported yet.
    """
    if not is_worked_out(desk) or are_jobs_worked_out(desk):
        return Step.DONE
    if not desk.store.leases.take(JOB, worker, desk.now(), LEASE):
        return Step.LATER
    step = _step(desk, desk.plan(), worker)
    if step is Step.DONE:
        desk.store.leases.give_back(JOB, worker)
    return step


def work_out_jobs(desk: Desk) -> bool:
    """Take all steps at once, of the days and then of the jobs; False where another worker is at it.

    Raises:
        FarmEmpty: nothing was imported yet.
    """
    if not work_out_gaps(desk):
        return False
    worker, step = uuid.uuid4().hex, Step.MORE
    while step is Step.MORE:
        step = follow_jobs(desk, worker)
    return step is Step.DONE


def are_jobs_worked_out(desk: Desk) -> bool:
    """Whether the jobs are those of the farm's version, of today, and of the model."""
    kept = desk.store.job_book.kept()
    return kept is not None and kept.is_done and kept.basis == basis_now(desk)


def _step(desk: Desk, plan: Plan, worker: str) -> Step:
    book, basis = desk.store.job_book, basis_of(desk, plan)
    kept, standing = book.kept(), dated_gaps(desk, plan)
    before = {} if kept is None else kept.by_gap
    facts = {found.gap.key: before[found.gap.key] for found in standing if found.gap.key in before}
    waiting_ones = [found for found in standing if not is_of(facts.get(found.gap.key, {}), basis)]
    if waiting_ones:
        name = waiting_ones[0].gap.key
        facts[name] = _facts(desk, plan, (standing, waiting_ones[0]), facts) | {"basis": _written(basis)}
    is_last = len(waiting_ones) <= 1
    if not book.write(worker, basis, facts, is_done=is_last):
        return Step.LATER
    return Step.DONE if is_last else Step.MORE


def is_of(facts: Facts, basis: Basis) -> bool:
    """Whether a gap's facts were worked out for just this version, day and model."""
    return bool(facts.get("basis") == _written(basis))


def _written(basis: Basis) -> list[Any]:
    return [basis.version, basis.day.isoformat(), basis.model]


def _facts(
    desk: Desk, plan: Plan, gaps: tuple[Sequence[DatedGap], DatedGap], known: Mapping[str, Facts]
) -> dict[str, Any]:
    """What is kept of the recommended way of a gap among those that stand; nobody's name."""
    _, found = gaps
    ways = ways_kept(desk, found)
    assert ways is not None, "jobs are worked out once all days and ways are"
    way, cost = ways.recommended, waiting(ways.options, plan.today)
    what = way_in_words(plan, found.gap, way)
    also, lowers = _beyond(ways.effects)
    return {
        "way": identity(way),
        "what": what,
        "briefly": brief_way(plan, found.gap, way),
        "short": short_way(plan, found.gap, way).facts(),
        "day": way.act_by.isoformat(),
        "closes": [[found.gap.key, share_closed(way)], *([name, share] for name, share in also)],
        "lowers": lowers,
        "clashes": _clashes(desk, plan, gaps, way),
        "before": way.before.confidence,
        "after": None if way.after is None else way.after.confidence,
        "week_minor": cost.week_minor,
        "loses_minor": cost.loses_minor,
        "is_wedding": _has_contracted_wedding(plan, found),
        "missed": _missed(known.get(found.gap.key), what, plan.today),
    }


def _beyond(effects: Effects | None) -> tuple[list[tuple[str, float]], int]:
    """Other gaps that a sowing closes, or a part of; how many lines it makes less sure."""
    if effects is None:
        return [], 0
    return [*((name, 1.0) for name in effects.also_closes), *effects.helps], len(effects.less_sure)


def _clashes(desk: Desk, plan: Plan, gaps: tuple[Sequence[DatedGap], DatedGap], way: Option) -> list[str]:
    """Gaps that come first by their day, and whose sowing leaves no room for that of a gap among them as it is."""
    standing, found = gaps
    if not way.batches:
        return []
    clashing = []
    for one in standing[: standing.index(found)]:
        other = recommended_kept(desk, one)
        if other is not None and other.batches and clash(plan, other, way) is not None:
            clashing.append(one.gap.key)
    return clashing


def _has_contracted_wedding(plan: Plan, found: DatedGap) -> bool:
    contracted = {order.key for order in plan.farm.orders if order.status is OrderStatus.CONTRACTED}
    lines = [short.line for short in found.gap.shortfalls]
    return any(line.line_class is LineClass.WEDDING and line.order in contracted for line in lines)


def _missed(before: Facts | None, what: str, today: date) -> dict[str, str] | None:
    """What was to be done by a day that has passed; it stays said while what is left is the same."""
    if before is None:
        return None
    if date.fromisoformat(before["day"]) < today:
        return {"what": str(before["what"]), "briefly": str(before["briefly"]), "day": str(before["day"])}
    missed: dict[str, str] | None = before["missed"]
    return missed if before["what"] == what else None
