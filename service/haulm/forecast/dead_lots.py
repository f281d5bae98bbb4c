"""Lots that don't come up: noticed when counted, and sown again where the calendar allows, so they are late."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

import numpy as np
import numpy.typing as npt

from haulm.farm.words import BatchStatus, LifeCycle, Method
from haulm.forecast.doubt_draws import lot_shares
from haulm.forecast.inputs import Evidence, Sowing
from haulm.forecast.plan import Cycle
from haulm.forecast.seasons import Seasons
from haulm.horticulture.sowing_windows import SowingRules, sowable
from haulm.kept import answers

COUNTED_AFTER = 1.3
COUNTED_AFTER_DAYS = 3
"""A sowing is counted after 1.3 times its days of germination and three more (common practice: when nine in ten are
up)."""

_DAYS_KEPT = 1024
_NOT_PLANTED = (BatchStatus.PLANNED, BatchStatus.SOWN)


def may_be_dead(sowing: Sowing, cycle: Cycle) -> bool:
    """Whether a batch may belong to a lot that does not come up.

    Args:
        sowing: the batch.
        cycle: its plan.

    Returns:
        False where it, or another batch of its lot, was counted, planted or seen alive, and for what is no seed.

    Source: definition.
    """
    evidence = sowing.evidence
    counts = (evidence.germinated_final, evidence.plants_alive, evidence.first_cut, evidence.ready_by)
    if any(count is not None for count in counts) or evidence.germinated_so_far or evidence.cut_so_far:
        return False
    return cycle.seed and sowing.status in _NOT_PLANTED and not sowing.lot_seen and evidence.lost_on is None


def dead_seasons(sowing: Sowing, cycle: Cycle, seasons: Seasons) -> npt.NDArray[np.intp]:
    """The seasons in which a batch's lot does not come up.

    Args:
        sowing: the batch.
        cycle: its plan.
        seasons: for the share of dead lots and the draws.

    Returns:
        The numbers of these seasons, rising, shape (dead,); none where the batch can't be dead.

    Source: one draw for each lot, shared by its batches.
    """
    setting = seasons.setting
    if setting.dead_lot_share <= 0 or not may_be_dead(sowing, cycle):
        return np.zeros(0, dtype=np.intp)
    return np.flatnonzero(lot_shares(sowing.lot_key, (setting.seed, setting.seasons)) < setting.dead_lot_share)


def sown_again(sowing: Sowing, cycle: Cycle, seasons: Seasons) -> Sowing | None:
    """The same batch sown again once its lot is known not to come up.

    Args:
        sowing: the batch.
        cycle: its plan.
        seasons: for today and the span.

    Returns:
        The batch from its later day, without records; None where its method is out of season by then.

    Source: the count, else today; `sowable`.
    """
    crop, span, setting = sowing.crop, seasons.span, seasons.setting
    counted = cycle.start + round(COUNTED_AFTER * crop.germination_days) + COUNTED_AFTER_DAYS
    start = max(counted, span.index(setting.today))
    day = span.first + timedelta(days=start)
    if not _in_season(sowing.method, day, crop.life_cycle, setting.latitude_deg, sowing.season):
        return None
    out = sowing.plant_out_date
    later = None if out is None else out + timedelta(days=start - cycle.start)
    return replace(
        sowing, sow_date=day, plant_out_date=later, status=BatchStatus.PLANNED, evidence=Evidence(), lot_seen=True
    )


@answers(_DAYS_KEPT)
def _in_season(method: Method, day: date, life_cycle: LifeCycle, latitude_deg: float, rules: SowingRules) -> bool:
    return sowable(method, day, life_cycle=life_cycle, latitude_deg=latitude_deg, rules=rules)
