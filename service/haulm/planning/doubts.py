"""How far the figures of a farm's varieties may be off, and which of its sowings live or die together."""

from __future__ import annotations

from collections.abc import Mapping

from haulm.farm.batches import Batch
from haulm.farm.snapshot import Farm
from haulm.farm.varieties import Crop
from haulm.farm.words import BatchStatus
from haulm.forecast.doubt import Doubt
from haulm.forecast.doubt_sizes import usual_doubt
from haulm.forecast.inputs import Evidence

_STANDS = (BatchStatus.PLANTED, BatchStatus.CUTTING, BatchStatus.FINISHED)


def doubt_of(farm: Farm, crop: Crop) -> Doubt:
    """How far a variety's need and stems may be off on a farm: the one place where years of its own would narrow it."""
    assert any(variety.key == crop.key for variety in farm.varieties), "the crop is one of the farm's"
    return usual_doubt(crop)


def lot_of(batch: Batch) -> str:
    """The lot a batch belongs to: as said, else its tray, else itself."""
    return batch.lot or batch.tray or batch.key


def is_seen(batch: Batch, farm: Farm, evidence: Mapping[str, Evidence]) -> bool:
    """Whether something of a batch's lot was counted or planted. A tray is one lot only of what was sown on one day."""
    for other in farm.batches:
        same = lot_of(other) == lot_of(batch)
        if other.key == batch.key or not same or (batch.lot is None and other.sow_date != batch.sow_date):
            continue
        seen = evidence.get(other.key, Evidence())
        if other.status in _STANDS or seen.germinated_final or seen.germinated_so_far or seen.plants_alive:
            return True
    return False
