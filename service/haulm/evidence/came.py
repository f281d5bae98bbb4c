"""What came of a week: stems that became ready, as far as the records tell, and the naive rule it is scored against."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np

from haulm.evidence.seen import seen, standing_records
from haulm.farm.batches import Batch
from haulm.farm.products import Product
from haulm.farm.records import Record
from haulm.farm.snapshot import Farm
from haulm.farm.varieties import Crop
from haulm.farm.weeks import Week
from haulm.farm.words import Method, RecordKind
from haulm.forecast.latent import CUTTING_LOSS, MARKETABLE
from haulm.horticulture.germination import SURVIVE_TO_PLANTING
from haulm.horticulture.harvest_curve import cumulative_curves

_TAKEN = (RecordKind.CUT, RecordKind.HUNG)
_USUAL_CURVE = 2
_NO_STEMS_YET = (RecordKind.NOT_YET, RecordKind.SOWN, RecordKind.GERMINATED, RecordKind.PLANTED)
_GONE = (RecordKind.LOST, RecordKind.FINISHED)


@dataclass(frozen=True, slots=True)
class Came:
    """Stems that became ready in a week; `at_least` where the records only bound them from below."""

    stems: int
    at_least: bool


def came(farm: Farm, product: Product, week: Week) -> Came:
    """The stems of a product that became ready in a week, by the records.

    Args:
        farm: the farm.
        product: a variety in a form.
        week: a week that is over.

    Returns:
        Stems cut in the week, and those left at its end less those left before it. A batch adds a lower bound only
        where stems of it were cut and nobody said what was left, or where no record tells that it had none.
    """
    records = standing_records(farm.records)
    found = [_batch_came(batch, records, week) for batch in farm.batches if batch.product == product]
    return Came(sum(one.stems for one in found), any(one.at_least for one in found))


def _batch_came(batch: Batch, records: tuple[Record, ...], week: Week) -> Came:
    mine = sorted((one for one in records if one.batch == batch.key), key=lambda one: one.date)
    monday, sunday = week.monday, week.monday + timedelta(days=6)
    before = [one for one in mine if one.date < monday]
    inside = [one for one in mine if monday <= one.date <= sunday]
    after = [one for one in mine if one.date > sunday]
    if any(one.kind in _GONE for one in before) or _nothing_until(inside + after, sunday):
        return Came(0, at_least=False)
    taken = [one for one in inside if one.kind in _TAKEN]
    stems = sum(one.count or 0 for one in taken)
    left_before = _last_left(before)
    if not taken or taken[-1].left is None:
        return Came(max(0, stems - (left_before or 0)), at_least=True)
    begun = any(one.kind in _TAKEN for one in before)
    if begun and left_before is None:
        return Came(stems, at_least=True)
    return Came(max(0, stems + taken[-1].left - (left_before or 0)), at_least=False)


def _nothing_until(later: list[Record], sunday: date) -> bool:
    """Whether a record tells that there was no stem up to the end of the week."""
    return any(one.kind in _NO_STEMS_YET and one.date >= sunday for one in later)


def _last_left(before: list[Record]) -> int | None:
    taken = [one for one in before if one.kind in _TAKEN]
    return taken[-1].left if taken else None


def weeks_rule_stems(farm: Farm, crops: Mapping[str, Crop], product: Product, first: Week, weeks: int) -> list[int]:
    """What the naive rule says: every batch flowers its weeks after sowing, and gives what its places usually give.

    Args:
        farm: the farm.
        crops: every variety with its defaults filled in.
        product: a variety in a form.
        first: the first week wanted.
        weeks: how many.

    Returns:
        Stems by week.

    Source: weeks from sowing and stems a plant taken at their word, the habit's usual curve (common practice).
    """
    total = np.zeros(weeks)
    for batch in seen(farm, crops).batches:
        if batch.product == product and not batch.is_over:
            total += _rule(batch, crops[batch.variety], first, weeks)
    return [round(float(stems)) for stems in total]


def _rule(batch: Batch, crop: Crop, first: Week, weeks: int) -> np.ndarray[tuple[int], np.dtype[np.float64]]:
    start = batch.plant_out_date if batch.method is Method.PLUGS else batch.sow_date
    if start is None or batch.method is Method.ESTABLISHED:
        return np.zeros(weeks)
    wait = crop.weeks_to_flower - (crop.weeks_to_plant_out if batch.method is Method.PLUGS else 0)
    plants = float(batch.plants or 0)
    if batch.sown is not None:
        up = batch.sown * crop.germination_share * SURVIVE_TO_PLANTING
        plants = min(plants or up, up)
    curve = cumulative_curves(crop.habit, crop.harvest_weeks)[_USUAL_CURVE]
    opens = (first.monday - start).days - round(7 * wait)
    edges = np.clip(opens + 7 * np.arange(weeks + 1), 0, len(curve) - 1)
    stems = plants * crop.stems_per_plant * MARKETABLE * (1 - CUTTING_LOSS)
    return np.asarray(stems * np.diff(curve[edges]), dtype=np.float64)
