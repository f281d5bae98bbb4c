"""The extra sowing that closes a gap: its kind, method, date and size, proved by a re-match.

A quick look tells how many places each candidate would need; the most promising are then matched for real, made
larger until the gap closes and smaller while it stays closed.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace
from datetime import date

import numpy as np
import numpy.typing as npt

from haulm.advice.options.candidates import Candidate
from haulm.advice.options.option import Option, Proof
from haulm.advice.room import Room, trays_needed
from haulm.advice.shortfalls import Gap
from haulm.farm.batches import Batch
from haulm.farm.varieties import Crop
from haulm.farm.words import Method

PROBE_PLACES = 100
"""Places in the batch that the quick look tries; stems grow in step with places."""
SURE_MARGIN = 0.01
"""A batch is made this much surer than asked, so that drawing its own luck anew does not open the gap again."""
_ROUND_PLACES = 10
_MOST_PLACES = 5000
_GROW = 1.3
_TRIES = 6

FloatArray = npt.NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Look:
    """The quick look at one candidate: places it would need, by the stems it gives where they are missing."""

    candidate: Candidate
    places: int


@dataclass(frozen=True)
class Search:
    """What a search for a sowing needs to know.

    Attributes:
        gap: the gap to close.
        level: the confidence asked of each line, 0-1.
        before: the gap as it is.
        crops: every crop by key.
        room: beds and benches under the plan.
        batches: the plan's batches, for the size of its trays.
        prove: re-matches the farm with batches added.
        cost: what the seed of so many places costs [minor units].
    """

    gap: Gap
    level: float
    before: Proof
    crops: dict[str, Crop]
    room: Room
    batches: tuple[Batch, ...]
    prove: Callable[[tuple[Batch, ...]], Proof]
    cost: Callable[[int], int | None]

    def closes(self, proof: Proof) -> bool:
        """Whether every line reaches the level, with a little to spare."""
        return proof.confidence >= min(self.level + SURE_MARGIN, 1.0)


def places_needed(missing: FloatArray, usable: FloatArray, weights: FloatArray, level: float) -> int | None:
    """Places that would fill the missing stems in seasons that weigh a level.

    Args:
        missing: stems missing per line and season, shape (lines, seasons) [stems].
        usable: stems that PROBE_PLACES places give where that line can use them, same shape [stems].
        weights: of the seasons, adding up to 1, shape (seasons,).
        level: the confidence wanted, 0-1.

    Returns:
        Places, or None where no number of them would do.

    Source: stems are in proportion to places; the place to start a search, never its answer.
    """
    short = missing > 0
    with np.errstate(divide="ignore", invalid="ignore"):
        each = np.where(short, np.where(usable > 0, missing / usable, np.inf), 0.0).max(axis=0)
    order = np.argsort(each)
    reached = int(np.searchsorted(np.cumsum(weights[order]), level - 1e-9))
    scale = each[order[min(reached, len(order) - 1)]]
    if not math.isfinite(scale):
        return None
    return max(_ROUND_PLACES, _rounded(scale * PROBE_PLACES))


def best_sowings(search: Search, looks: Iterable[Look]) -> list[Option]:
    """The smallest proved sowing of each method, with the last day it can still be sown."""
    by_method: dict[Method, list[Look]] = {}
    for look in looks:
        by_method.setdefault(look.candidate.method, []).append(look)
    found = []
    for method_looks in by_method.values():
        option = _best(search, method_looks)
        if option is not None:
            found.append(option)
    return found


def _best(search: Search, looks: list[Look]) -> Option | None:
    for look in sorted(looks, key=lambda look: (look.places, look.candidate.day))[:2]:
        proved = _proved(search, look)
        if proved is not None:
            batch, proof = proved
            return _option(search, look.candidate, batch, proof, _last_day(search, looks, look, batch))
    return None


def _proved(search: Search, look: Look) -> tuple[Batch, Proof] | None:
    """The batch made larger until the gap closes, then smaller while it stays closed."""
    places = float(look.places)
    for _ in range(_TRIES):
        tried = _tried(search, look.candidate, _rounded(places))
        if tried is None:
            return None
        if search.closes(tried[1]):
            return _smaller(search, look.candidate, tried)
        places *= _GROW
    return None


def _smaller(search: Search, candidate: Candidate, known: tuple[Batch, Proof]) -> tuple[Batch, Proof]:
    high = known[0].places
    low = high // 2
    while high - low > max(_ROUND_PLACES, high // 10):
        middle = _rounded((low + high) / 2)
        if middle >= high:
            break
        tried = _tried(search, candidate, middle)
        if tried is not None and search.closes(tried[1]):
            known, high = tried, middle
        else:
            low = middle
    return known


def _tried(search: Search, candidate: Candidate, places: int) -> tuple[Batch, Proof] | None:
    """The batch with its bed and trays, and the re-match; None where it is too large for the farm."""
    if places > _MOST_PLACES:
        return None
    batch = placed(search, candidate, places)
    return None if batch is None else (batch, search.prove((batch,)))


def placed(search: Search, candidate: Candidate, places: int) -> Batch | None:
    """The batch in a bed that has room for it, with its trays; None where bed or bench is full."""
    crop = search.crops[candidate.product.variety]
    batch = candidate.batch(f"extra-{candidate.product.variety}-{candidate.day:%Y%m%d}-{candidate.method}"[:64], places)
    if candidate.method in (Method.HEATED, Method.COVER):
        trays = trays_needed(places, search.batches)
        if not search.room.has_bench_for(batch, crop, trays):
            return None
        batch = replace(batch, trays=float(trays))
    if search.room.counts_beds:
        bed = search.room.bed_for(batch, crop)
        if bed is None:
            return None
        batch = replace(batch, bed=bed[0], metres=math.ceil(bed[1] * 10) / 10)
    return batch


def _last_day(search: Search, looks: list[Look], best: Look, batch: Batch) -> date:
    """The last date on which a sowing by this method, at most twice as large, still closes the gap."""
    later = sorted(
        (look for look in looks if look.candidate.day > best.candidate.day and look.places <= 2 * batch.places),
        key=lambda look: look.candidate.day,
        reverse=True,
    )
    for look in later[:3]:
        tried = _tried(search, look.candidate, _rounded(look.places * _GROW))
        if tried is not None and search.closes(tried[1]):
            return look.candidate.day
    return best.candidate.day


def _option(search: Search, candidate: Candidate, batch: Batch, proof: Proof, decide_by: date) -> Option:
    crop = search.crops[batch.variety]
    plugs = candidate.method is Method.PLUGS
    trays = f" in {batch.trays:g} trays" if batch.trays else ""
    where = f", bed {batch.bed}" if batch.bed else ""
    verb = f"plant {batch.places} bought plugs of" if plugs else f"sow {batch.places} places of"
    sentence = (
        f"{verb[0].upper()}{verb[1:]} {crop.name}{trays} ({candidate.method}) on {candidate.day}{where}: "
        f"from {search.before.confidence:.0%} to {proof.confidence:.0%} sure."
    )
    kind = "plugs" if plugs else "succession"
    cost = None if plugs else search.cost(batch.places)
    return Option(kind, sentence, decide_by, search.before, proof, True, cost, (batch,))


def _rounded(places: float) -> int:
    return math.ceil(places / _ROUND_PLACES - 1e-9) * _ROUND_PLACES
