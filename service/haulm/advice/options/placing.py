"""Where one more batch stands: its trays, its bed, and a key that no batch of the farm has."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Mapping
from dataclasses import replace
from datetime import date
from enum import StrEnum

from haulm.advice.options.candidates import Candidate
from haulm.advice.room import Fit, Room, trays_needed
from haulm.farm.batches import Batch
from haulm.farm.varieties import Crop
from haulm.farm.words import BedKind, Method

_KEY_LENGTH = 60


class Full(StrEnum):
    """What has no room for a batch."""

    BED = "bed"
    BENCH = "bench"


def placed(batch: Batch, crop: Crop, room: Room, batches: Collection[Batch]) -> Batch | Full:
    """A batch in trays and bed with room for it; what is full where there is none.

    Args:
        batch: the batch, without trays and bed.
        crop: its kind.
        room: beds and benches as they are taken.
        batches: the farm's, for the size of its trays.
    """
    if batch.method in (Method.HEATED, Method.COVER):
        trays = trays_needed(batch.places, batches)
        if not room.has_bench_for(batch, crop, trays):
            return Full.BENCH
        batch = replace(batch, trays=float(trays))
    if room.counts_beds:
        bed = room.bed_for(batch, crop)
        if bed is None:
            return Full.BED
        batch = replace(batch, bed=bed[0], metres=bed[1])
    return batch


def moved(batch: Batch, day: date, crop: Crop, room: Room) -> Batch | None:
    """A batch as it is, sown or planted on another day in the bed it has; None where that has no room then."""
    plugs = batch.method is Method.PLUGS
    other = replace(batch, plant_out_date=day) if plugs else replace(batch, sow_date=day)
    if batch.bed is not None and not any(fit.bed == batch.bed for fit in room.fits(other, crop)):
        return None
    if batch.trays is not None and not room.has_bench_for(other, crop, batch.trays):
        return None
    return other


def placed_anew(batches: Iterable[Batch], room: Room, crops: Mapping[str, Crop]) -> tuple[Batch, ...] | None:
    """Batches whose size has changed, each in its own bed where it still fits, else in another of its kind.

    Args:
        batches: the batches; the bed each names says whether it needs cover.
        room: beds and benches under the plan.
        crops: every crop by key.

    Returns:
        The batches with bed and metres, or None where there is no room for all of them.
    """
    found: list[Batch] = []
    for batch in batches:
        crop = crops[batch.variety]
        if batch.trays is not None and not room.has_bench_for(batch, crop, batch.trays):
            return None
        if batch.bed is not None:
            fits = list(fits_alike(batch, room, crops))
            best = min(fits, key=lambda fit: (fit.bed != batch.bed, fit.spare, fit.bed), default=None)
            if best is None:
                return None
            batch = replace(batch, bed=best.bed, metres=best.metres)
        found.append(batch)
        room = room.with_batch(batch, crop)
    return tuple(found)


def fits_alike(batch: Batch, room: Room, crops: Mapping[str, Crop]) -> Iterator[Fit]:
    """The beds with room for a batch that are under cover as the bed it names is, or are not."""
    tunnel = any(bed.key == batch.bed and bed.kind is BedKind.TUNNEL for bed in room.beds)
    return (fit for fit in room.fits(batch, crops[batch.variety]) if fit.tunnel is tunnel)


def free_key(candidate: Candidate, batches: Collection[Batch]) -> str:
    """A key that no batch of the farm has."""
    tail = f"-{candidate.day:%Y%m%d}-{candidate.method}"
    key = f"extra-{candidate.product.variety}"[: _KEY_LENGTH - len(tail)] + tail
    taken = {batch.key for batch in batches}
    number = 2
    found = key
    while found in taken:
        found = f"{key}-{number}"
        number += 1
    return found
