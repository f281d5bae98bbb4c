"""Why a what-if changes nothing, in one sentence: so that nobody takes silence for good news."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from haulm.farm.batches import Batch
from haulm.jobs.growing.batch_forecast import forecast_of
from haulm.language.words import _
from haulm.planning.growth import sowing_of
from haulm.planning.plan import Plan


def nothing_changed(before: Plan, after: Plan, *, frost_days_earlier: int) -> str:
    """Why no line is any more or less sure, and what to look at.

    Args:
        before: the farm as it stands.
        after: the farm with the changes; no line or delivery of it differs.
        frost_days_earlier: by how much the killing frost is supposed to come earlier [d].
    """
    if not frost_days_earlier and before.farm == after.farm:
        return _("Nothing changes: the farm says so already. Look at the row as it stands, and change what is another.")
    if after.growth.missing is not None:
        # Before any batch: without a forecast nobody can say that no order needs its stems.
        return _("Nothing changes for any order, since nothing is forecast: {sentence}").format(
            sentence=after.growth.missing.sentence
        )
    said = " ".join(_of_batches(before, after))
    if said:
        return _("Nothing changes for any order. {said}").format(said=said)
    return _("Nothing changes: no order is any more or less sure by it, and nobody would be short of anything else.")


def _of_batches(before: Plan, after: Plan) -> Iterator[str]:
    """Of each batch that was changed or added, why that moves no line."""
    known = {batch.key: batch for batch in before.farm.batches}
    for batch in after.farm.batches:
        if known.get(batch.key) == batch:
            continue
        name = f"{after.crops[batch.variety].name} ({batch.key})"
        found = forecast_of(_with_sowing(after, batch), batch.key)
        was = forecast_of(before, batch.key) if batch.key in known else None
        if found is not None and found.gives_none and (was is None or was.gives_none):
            yield f"{name}: {found.sentence}"
        else:
            yield _("{name}: no order needs its stems; what nobody needs stands under what is free.").format(name=name)


def _with_sowing(plan: Plan, batch: Batch) -> Plan:
    """A plan whose forecast knows a batch: one that a trial merely added stands beside it."""
    drawn = plan.growth.forecast
    if drawn is None or any(sowing.key == batch.key for sowing in drawn.sowings):
        return plan
    added = drawn.with_sowings([*drawn.sowings, sowing_of(plan.farm, batch, plan.crops[batch.variety])])
    return replace(plan, growth=replace(plan.growth, forecast=added))
