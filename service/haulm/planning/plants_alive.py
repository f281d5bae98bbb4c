"""The stems of the farm as they would be with the plants of some kinds alive: not lost, no dead lot, no harm by frost.

The same seasons, draws and weights; batches of other products stay as they are.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Mapping
from dataclasses import replace
from datetime import date

from haulm.farm.products import Product
from haulm.farm.words import BatchStatus
from haulm.forecast.inputs import Sowing
from haulm.forecast.latent import Latent, latents
from haulm.forecast.supply import Forecast
from haulm.matching.reading.causes import Cause
from haulm.matching.supply import Block, Pool, Supply
from haulm.planning.growth import Growth, field_of
from haulm.planning.known import PoolKey
from haulm.planning.plan import Plan

_FROST_PROOF_C = -99.0


def supplies_alive(plan: Plan, products: Collection[Product]) -> dict[Cause, Supply]:
    """The pools with the plants of some products alive, by what would have been undone for it.

    Args:
        plan: the plan of the day.
        products: the products.

    Returns:
        The pools of the plan's match in their places, new ones last; nothing for what changes no stem.
    """
    growth = plan.growth
    drawn = growth.forecast
    if drawn is None or drawn.seasons is None:
        return {}
    mine = [sowing for sowing in drawn.sowings if sowing.product in products]
    found = {}
    for cause, undone in _UNDONE.items():
        changed = {one.key: other for one in mine if (other := undone(one, plan.today)) != one}
        again = _forecast_with(drawn, mine, changed)
        if again is not None:
            field = field_of(plan.farm, replace(growth, forecast=again, field={}), plan.settled)
            found[cause] = _supply(plan.result.supply, growth, field, {one.product for one in changed.values()})
    return found


def _forecast_with(drawn: Forecast, mine: Collection[Sowing], changed: Mapping[str, Sowing]) -> Forecast | None:
    """The forecast of the products of some batches, a few of them otherwise; None where these give the same."""
    assert drawn.seasons is not None, "asked of a forecast"
    products = {sowing.product for sowing in changed.values()}
    anew = {key: latents(sowing, drawn.seasons) for key, sowing in changed.items()}
    made: list[Latent] = []
    for sowing in mine:
        if sowing.product in products:
            made += anew.get(sowing.key) or [one for one in drawn.latents if one.key == sowing.key]
    return replace(drawn, latents=tuple(made)) if made else None


def _supply(
    supply: Supply, growth: Growth, field: Mapping[PoolKey, tuple[Block, ...]], products: Collection[Product]
) -> Supply:
    """The pools with other field stems of some products."""

    def filled(key: PoolKey) -> Pool:
        known = growth.known.get(key)
        return Pool(*key, (*field.get(key, ()), *(() if known is None else (known,))))

    there = {(pool.product, pool.length_cm) for pool in supply.pools}
    pools = [filled((one.product, one.length_cm)) if one.product in products else one for one in supply.pools]
    new = [filled(key) for key in sorted(field) if key not in there]
    return Supply((*pools, *new), supply.seasons, supply.weights)


def _not_lost(sowing: Sowing, today: date) -> Sowing:
    """The batch without the losses written down, and without failing outright."""
    seen = sowing.evidence
    gone = None if seen.gone_until == seen.lost_on else seen.gone_until
    stands = replace(sowing, evidence=replace(seen, lost_on=None, losses=(), gone_until=gone), may_fail=False)
    return replace(stands, status=_status(sowing, today)) if sowing.status is BatchStatus.LOST else stands


def _status(sowing: Sowing, today: date) -> BatchStatus:
    """What a batch that was lost would be by its days."""
    if sowing.plant_out_date is not None and sowing.plant_out_date <= today:
        return BatchStatus.PLANTED
    is_sown = sowing.sow_date is not None and sowing.sow_date <= today
    return BatchStatus.SOWN if is_sown else BatchStatus.PLANNED


def _not_dead(sowing: Sowing, today: date) -> Sowing:
    """The batch with a lot that comes up in every season."""
    return replace(sowing, lot_seen=True)


def _not_frosted(sowing: Sowing, today: date) -> Sowing:
    """The batch of a kind that no cold harms."""
    cold = _FROST_PROOF_C
    return replace(sowing, crop=replace(sowing.crop, kill_c=cold, soft_c=cold, hardened_c=cold))


_UNDONE: dict[Cause, Callable[[Sowing, date], Sowing]] = {
    Cause.LOST: _not_lost,
    Cause.DEAD_LOT: _not_dead,
    Cause.FROST: _not_frosted,
}
