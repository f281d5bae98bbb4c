"""Smaller sowings that leave a gap a point or two short, where what closes it leaves plenty."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import replace

from haulm.advice.options.option import Option, Proof
from haulm.advice.options.search import Search
from haulm.advice.options.sowing_option import is_near, sowing_option
from haulm.farm.batches import Batch
from haulm.farm.words import Method

_TRIED = 2
_SHARE = 0.7
"""A sowing is tried at this share of its places, in whole steps, and at that of those."""


def nearly_closing(search: Search, closing: Iterable[Option]) -> Iterator[Option]:
    """For each sowing that closes a gap and leaves plenty, the smallest one tried that is a point or two short of it.

    Args:
        search: the search they come from.
        closing: the sowings that were found.
    """
    for option in closing:
        if option.closes and option.worth is not None and option.worth.is_plenty:
            near = _smaller(search, option)
            if near is not None:
                day = option.sow_by or option.decide_by
                yield sowing_option(search, near, sow_by=day, decide_by=day, closes=False)


def _smaller(search: Search, option: Option) -> tuple[tuple[Batch, ...], Proof] | None:
    found = None
    batches = option.batches
    for _ in range(_TRIED):
        smaller = tuple(_shrunk(search, batch) for batch in batches)
        if smaller == batches:
            break
        batches = smaller
        proof = search.prove(batches)
        if not is_near(search, proof) or not _helps_by_half(search, proof):
            break
        found = batches, proof
    return found


def _helps_by_half(search: Search, proof: Proof) -> bool:
    """Whether the least sure line comes at least half of the way to its level."""
    return proof.lacks(search.levels) <= search.before.lacks(search.levels) / 2


def _shrunk(search: Search, batch: Batch) -> Batch:
    """A batch of fewer whole steps in the bed and trays of the larger one; as it is where it has only one."""
    crop = search.crops[batch.variety]
    step = search.terms.step(crop, batch.method)
    places = max(step.least, int(_SHARE * batch.places) // step.places * step.places)
    if places >= batch.places:
        return batch
    share = places / batch.places
    trays = batch.trays
    if trays is not None and batch.method in (Method.HEATED, Method.COVER):
        trays = float(-(-places // search.terms.places_per_tray))
    return replace(
        batch, sown=places, trays=trays, metres=None if batch.metres is None else round(batch.metres * share, 1)
    )
