"""How far the figures of a farm's varieties may be off, and which of its sowings live or die together."""

from __future__ import annotations

from collections.abc import Mapping

from haulm.crop_library.library import FARM
from haulm.evidence.known_doubt import known_doubts
from haulm.evidence.past_years import THROUGH
from haulm.farm.batches import Batch
from haulm.farm.snapshot import Farm
from haulm.farm.varieties import Crop
from haulm.farm.words import BatchStatus
from haulm.forecast.doubt import Doubt, FigureDoubt
from haulm.forecast.doubt_sizes import usual_doubt
from haulm.forecast.inputs import Evidence
from haulm.forecast.learning import Figure

_STANDS = (BatchStatus.PLANTED, BatchStatus.CUTTING, BatchStatus.FINISHED)


def doubt_of(farm: Farm, crop: Crop) -> Doubt:
    """How far a variety's need and stems may be off on a farm: the one place where years of its own narrow it."""
    assert any(variety.key == crop.key for variety in farm.varieties), "the crop is one of the farm's"
    return known_doubts(farm)[crop.key] if farm.past_years else usual_doubt(crop)


def without_held(farm: Farm, batch: Batch, evidence: Evidence, doubt: Doubt) -> Doubt:
    """The doubt that a batch may speak of: one that is over says no more of a figure that holds its season already."""
    day = evidence.first_cut or evidence.finished_on
    if day is None or (batch.status is not BatchStatus.FINISHED and evidence.finished_on is None):
        return doubt
    row = next(variety for variety in farm.varieties if variety.key == batch.variety)
    is_held = {figure: day.year <= (getattr(row, through) or 0) for figure, through in THROUGH.items()}
    need = FigureDoubt(doubt.need.shift) if is_held[Figure.WEEKS] else doubt.need
    stems = FigureDoubt(doubt.stems.shift) if is_held[Figure.STEMS] else doubt.stems
    return Doubt(need, stems)


def is_first_year(farm: Farm, crop: Crop) -> bool:
    """Whether the farm has no figure of its own of a variety, of neither its weeks nor its stems."""
    own = FARM in (crop.origin.get("weeks_to_flower"), crop.origin.get("stems_per_plant"))
    return not own and doubt_of(farm, crop) == usual_doubt(crop)


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
