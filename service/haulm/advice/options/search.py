"""A search for sowings: what it knows, where a batch would stand, and whether the gap closes with it."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from datetime import date

from haulm.advice.options.candidates import Candidate
from haulm.advice.options.growing import growth
from haulm.advice.options.option import Proof, Worth
from haulm.advice.options.placing import Full, free_key, moved, placed
from haulm.advice.options.sketch import MOST_PLACES, Look, Sized, Sketch
from haulm.advice.options.steps import Step, Terms
from haulm.advice.room import Room
from haulm.farm.batches import Batch
from haulm.farm.varieties import Crop


@dataclass(frozen=True)
class Search:
    """What a search for sowings needs to know.

    Attributes:
        levels: how sure each line of the gap must be, with a margin, 0-1; one for all where they count together.
        before: the gap as it is.
        crops: every crop by key.
        room: beds and benches under the plan.
        batches: the plan's batches, for the size of its trays and the keys that are taken.
        runs: the sowings worth a look, one run per product and method, dates rising week by week.
        look: the quick look at one of them.
        sketch: the gap's lines, at these levels.
        prove: re-matches the farm with batches added.
        worth: what batches cost for what they give.
        terms: in what steps the farm sows, and when it orders.
        has_all_ways: whether all ways are told, each with its last days; else only the one to be recommended, and its
            own day stands for the last.
        refused: sowings that were tried and found no room, in order; the search writes it.
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
    worth: Callable[[tuple[Batch, ...], Proof], Worth]
    terms: Terms
    has_all_ways: bool = True
    refused: list[Refused] = field(default_factory=lambda: list[Refused]())

    def closes(self, proof: Proof) -> bool:
        """Whether every line reaches its level, with a little to spare."""
        return proof.reaches(self.levels)

    def tried(self, sowings: Sequence[Sized]) -> tuple[tuple[Batch, ...], Proof] | None:
        """The batches in their beds and trays, and the re-match; None where the farm has no room for them."""
        batches = self.placed(sowings)
        if batches is not None:
            return batches, self.prove(batches)
        if len(sowings) == 1 and sowings[0].places <= MOST_PLACES:
            self._note_refused(sowings[0])
        return None

    def growth(self, proof: Proof) -> float | None:
        """By how much sowings should grow that do not close the gap yet; None where more of them hardly helps."""
        return growth(self.before, proof, self.levels)

    def placed(self, sowings: Sequence[Sized]) -> tuple[Batch, ...] | None:
        """The batches in beds that have room for them, one after another; None where bed or bench is full."""
        room = self.room
        found: list[Batch] = []
        for sized in sowings:
            candidate = sized.look.candidate
            crop = self.crops[candidate.product.variety]
            if sized.places > MOST_PLACES:
                return None
            batch = placed(self.unplaced(sized), crop, room, self.batches)
            if isinstance(batch, Full):
                return None
            found.append(batch)
            room = room.with_batch(batch, crop)
        return tuple(found)

    def _note_refused(self, sized: Sized) -> None:
        crop = self.crops[sized.look.candidate.product.variety]
        full = placed(self.unplaced(sized), crop, self.room, self.batches)
        if isinstance(full, Full):
            self.refused.append(Refused(sized, full))

    def unplaced(self, sized: Sized) -> Batch:
        """A batch without trays and bed."""
        candidate = sized.look.candidate
        return candidate.batch(free_key(candidate, self.batches), sized.places)

    def moved(self, batch: Batch, day: date) -> tuple[Batch, Proof] | None:
        """A batch as it is on another day in its bed, and the re-match; None where the bed has no room then."""
        later = moved(batch, day, self.crops[batch.variety], self.room)
        return None if later is None else (later, self.prove((later,)))

    def step(self, candidate: Candidate) -> Step:
        """The step in which a candidate is sown."""
        return self.terms.step(self.crops[candidate.product.variety], candidate.method)

    def sized(self, look: Look, places: float) -> Sized:
        """A sowing of whole steps, with no fewer places than these."""
        return Sized(look, self.step(look.candidate).rounded(places))

    def order_by(self, batches: Sequence[Batch], sow_by: date) -> date | None:
        """The last day on which to order what batches need that are begun by a day.

        None where it is too late, or all that they need is at home or ordered.
        """
        first = min(filter(None, (batch.sow_date or batch.plant_out_date for batch in batches)))
        days: list[date] = []
        for batch in batches:
            if self._is_in_hand(batch):
                continue
            own = batch.sow_date or batch.plant_out_date
            assert own is not None, "a sowing has a day"
            order = self.terms.order_by(self.crops[batch.variety], batch.method, own + (sow_by - first))
            if order is None:
                return None
            days.append(order)
        return min(days, default=None)

    def are_in_hand(self, batches: Sequence[Batch]) -> bool:
        """Whether all that batches need is at home or ordered."""
        return all(map(self._is_in_hand, batches))

    def _is_in_hand(self, batch: Batch) -> bool:
        return self.terms.tick(self.crops[batch.variety], batch.method) is not None


@dataclass(frozen=True, eq=False)
class Refused:
    """A sowing that has no room, and what is full."""

    sized: Sized
    full: Full
