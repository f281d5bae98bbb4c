"""How many plants of a batch stand in the bed, and what losses leave of them."""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

from haulm.farm.words import BatchStatus, Method
from haulm.forecast.inputs import Evidence, Sowing
from haulm.forecast.own_draws import OwnDraws
from haulm.horticulture.germination import SURVIVE_TO_PLANTING, germination_share

_IN_BED = (BatchStatus.PLANTED, BatchStatus.CUTTING)


def plants_of(sowing: Sowing, draws: OwnDraws, count: int) -> npt.NDArray[np.float64]:
    """Plants in the bed before frost: a count where there is one, else what the seed gives.

    Args:
        sowing: the batch.
        draws: its own draws.
        count: the number of seasons.

    Returns:
        Plants, shape (seasons,), or () where all seasons have the same [places].

    Source: `germination_share`; with no number sown, as many are taken to be sown as the wanted plants need on average.
    """
    evidence, crop = sowing.evidence, sowing.crop
    if evidence.plants_alive is not None:
        return np.array(float(evidence.plants_alive))
    if sowing.method is Method.ESTABLISHED or (sowing.status in _IN_BED and sowing.plants is not None):
        return np.array(float(sowing.plants or 0))
    if sowing.method in (Method.PLUGS, Method.TUBER):
        return np.array((sowing.plants or sowing.sown or 0) * SURVIVE_TO_PLANTING)
    if crop.germination_share <= 0 or (sowing.sown is None and sowing.plants is None):
        return np.array(0.0)
    wanted = np.inf if sowing.plants is None else float(sowing.plants)
    sown = sowing.sown if sowing.sown is not None else wanted / (crop.germination_share * SURVIVE_TO_PLANTING)
    if evidence.germinated_final is not None:
        return np.array(min(wanted, evidence.germinated_final * SURVIVE_TO_PLANTING))
    up = sown * germination_share(crop.germination_share, draws.rng, count)
    if evidence.germinated_so_far is not None:
        up = np.maximum(up, evidence.germinated_so_far)
    return np.minimum(wanted, up * SURVIVE_TO_PLANTING)


def after_losses(
    plants: npt.NDArray[np.float64], evidence: Evidence
) -> tuple[npt.NDArray[np.float64], npt.NDArray[np.float64]]:
    """The plants that the latest count of stems was made on, and the share of them that stayed since.

    Args:
        plants: before any loss, any shape [places].
        evidence: for the losses and the day of that count.

    Returns:
        Plants and the share of them, 0 to 1, same shape, or () where none was lost. A loss after that count takes its
        share of what is still to come and of what was left standing; what the count says of the season stays as it was.

    Source: definition.
    """
    if not evidence.losses:
        return plants, np.array(1.0)
    counted = evidence.cut_until
    for loss in evidence.losses:
        if counted is not None and loss.day <= counted:
            plants = loss.rest(plants)
    now = plants
    for loss in evidence.losses:
        if counted is None or loss.day > counted:
            now = loss.rest(now)
    return plants, np.divide(now, plants, out=np.ones_like(plants), where=plants > 0)
