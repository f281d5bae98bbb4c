"""What is worked out of a gap to be kept: its days and its ways; and whether a way that was kept still holds."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from haulm.advice.gap_days import GapDays
from haulm.advice.options.need import need_of
from haulm.advice.options.option import Option
from haulm.advice.options.placing import moved
from haulm.advice.shortfalls import Gap
from haulm.advice.ways import Effects, LessSure, Ways
from haulm.planning.across_gaps import beyond
from haulm.planning.plan import Plan
from haulm.planning.remedies import days_of, recommended_of, remedies
from haulm.planning.sowing_search import BatchProofs, costing_of, proof_of
from haulm.planning.why_open import why_open
from haulm.planning.why_unsure import lines_of_gap, unsure


def days_and_ways(
    plan: Plan, gap: Gap, before: str | None = None, names: Mapping[str, str] | None = None
) -> tuple[GapDays, Ways]:
    """The days of a gap and its ways, each sowing proved by a re-match.

    Args:
        plan: the plan.
        gap: one of its gaps.
        before: what the way recommended before is; None: none was.
        names: the names that gaps of the plan keep, by their keys; one that has none is called by its key.
    """
    best = recommended_of(plan, gap, before)
    options = (best, *(option for option in remedies(plan, gap) if option is not best))
    effects, causes = _effects(plan, gap, best, names or {}), unsure(plan, lines_of_gap(gap)).causes
    return days_of(plan, gap, before), Ways(options, why_open(plan, gap), effects, causes)


def _effects(plan: Plan, gap: Gap, way: Option, names: Mapping[str, str]) -> Effects | None:
    if not way.batches:
        return None
    found = beyond(plan, gap, way.batches)
    less = (LessSure(one.line.line, one.line.due, one.line.customer, one.before, one.after) for one in found.lowered)
    return Effects(
        tuple(names.get(other.key, other.key) for other in found.also_close),
        tuple(less),
        tuple((names.get(one.gap.key, one.gap.key), one.share) for one in found.helped),
    )


def still_so(plan: Plan, gap: Gap, way: Option) -> Option | None:
    """A way that was worked out for an earlier version, as it is now: by one re-match, in the beds it was given.

    Args:
        plan: the plan of now.
        gap: the gap as it is now.
        way: a way that sows something.

    Returns:
        The way with what it does and costs now; None where it is no longer possible.
    """
    room, taken = plan.room, {batch.key for batch in plan.farm.batches}
    if way.decide_by < plan.today:
        return None
    for batch in way.batches:
        crop, day = plan.crops.get(batch.variety), batch.sow_date or batch.plant_out_date
        assert day is not None, "a sowing has a day"
        if crop is None or batch.key in taken or day < plan.today or moved(batch, day, crop, room) is None:
            return None
        room = room.with_batch(batch, crop)
    need = need_of(gap)
    after = BatchProofs(plan, need).prove(way.batches)
    cost = round(costing_of(plan).spent(way.batches))
    closes = after.reaches(need.sure_levels)
    return replace(way, before=proof_of(plan, need), after=after, closes=closes, cost_minor=cost)
