"""A search for sowings: what it knows, where a batch would stand, and whether the gap closes with it."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

from haulm.advice.options.candidates import Candidate
from haulm.advice.options.option import Proof
from haulm.advice.options.sketch import MOST_PLACES, Look, Sized, Sketch
from haulm.advice.room import Room, trays_needed
from haulm.advice.shortfalls import Gap
from haulm.farm.batches import Batch
from haulm.farm.varieties import Crop
from haulm.farm.words import Method

SURE_MARGIN = 0.01
"""A batch is made this much surer than asked, so that drawing its own luck anew does not open the gap again."""
_KEY_LENGTH = 60
_FURTHER = 1.3
_LEAST_GROWTH, _MOST_GROWTH = 0.1, 0.6


@dataclass(frozen=True)
class Search:
    """What a search for sowings needs to know.

    Attributes:
        levels: how sure each line of the gap must be, with a margin, 0-1.
        before: the gap as it is.
        crops: every crop by key.
        room: beds and benches under the plan.
        batches: the plan's batches, for the size of its trays and the keys that are taken.
        runs: the sowings worth a look, one run per product and method, dates rising week by week.
        look: the quick look at one of them.
        sketch: the gap's lines, at these levels.
        prove: re-matches the farm with batches added.
        cost: what the seed of so many places costs [minor units].
    """

    levels: tuple[float, ...]
    before: Proof
    crops: dict[str, Crop]
    room: Room
    batches: tuple[Batch, ...]
    runs: tuple[tuple[Candidate, ...], ...]
    look: Callable[[Candidate], Look]
    sketch: Sketch
    prove: Callable[[tuple[Batch, ...]], Proof]
    cost: Callable[[int], int | None]

    def closes(self, proof: Proof) -> bool:
        """Whether every line reaches its level, with a little to spare."""
        return proof.reaches(self.levels)

    def tried(self, sowings: Sequence[Sized]) -> tuple[tuple[Batch, ...], Proof] | None:
        """The batches in their beds and trays, and the re-match; None where the farm has no room for them."""
        batches = self.placed(sowings)
        return None if batches is None else (batches, self.prove(batches))

    def growth(self, proof: Proof) -> float | None:
        """By how much sowings should grow that do not close the gap yet; None where more of them hardly helps.

        Source: the confidence gained so far carried on in a straight line, and a little more, since gains shrink.
        """
        lacks = proof.lacks(self.levels)
        gained = self.before.lacks(self.levels) - lacks
        if gained <= 0:
            return None
        further = _FURTHER * lacks / gained
        return 1 + min(max(further, _LEAST_GROWTH), _MOST_GROWTH)

    def placed(self, sowings: Sequence[Sized]) -> tuple[Batch, ...] | None:
        """The batches in beds that have room for them, one after another; None where bed or bench is full."""
        room = self.room
        found: list[Batch] = []
        for sized in sowings:
            candidate = sized.look.candidate
            crop = self.crops[candidate.product.variety]
            batch = self._placed(candidate, crop, sized.places, room)
            if batch is None:
                return None
            found.append(batch)
            room = room.with_batch(batch, crop)
        return tuple(found)

    def _placed(self, candidate: Candidate, crop: Crop, places: int, room: Room) -> Batch | None:
        if places > MOST_PLACES:
            return None
        batch = candidate.batch(self._key(candidate), places)
        if candidate.method in (Method.HEATED, Method.COVER):
            trays = trays_needed(places, self.batches)
            if not room.has_bench_for(batch, crop, trays):
                return None
            batch = replace(batch, trays=float(trays))
        if room.counts_beds:
            bed = room.bed_for(batch, crop)
            if bed is None:
                return None
            batch = replace(batch, bed=bed[0], metres=bed[1])
        return batch

    def _key(self, candidate: Candidate) -> str:
        """A key that no batch of the farm has."""
        tail = f"-{candidate.day:%Y%m%d}-{candidate.method}"
        key = f"extra-{candidate.product.variety}"[: _KEY_LENGTH - len(tail)] + tail
        taken = {batch.key for batch in self.batches}
        number = 2
        found = key
        while found in taken:
            found = f"{key}-{number}"
            number += 1
        return found


def sure_levels(gap: Gap) -> tuple[float, ...]:
    """The level of each line of a gap, with its margin."""
    return tuple(min(level + SURE_MARGIN, 1.0) for level in gap.levels)
