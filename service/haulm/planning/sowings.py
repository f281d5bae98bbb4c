"""What is sown for stems that are missing: one search, whoever asks it: a gap, an order, the plan for all gaps.

The ways of a gap keep all that it finds; an order takes the one that a gap of the same stems would recommend.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import replace
from datetime import date
from itertools import chain

import numpy as np

from haulm.advice.options.faster_kind import as_faster, faster_kinds
from haulm.advice.options.growing import growth
from haulm.advice.options.lift import make_room
from haulm.advice.options.need import KINDS_TRIED, Need
from haulm.advice.options.option import Option, Proof
from haulm.advice.options.placing import placed_anew
from haulm.advice.options.ranking import ranked
from haulm.advice.options.several import MOST_BATCHES
from haulm.advice.options.sketch import MOST_PLACES
from haulm.advice.options.succession import sowing_options
from haulm.advice.room import trays_needed
from haulm.demand.dated_line import DatedLine
from haulm.farm.batches import Batch
from haulm.farm.products import Product
from haulm.farm.quantities import reaches
from haulm.matching.reading.confidence import weight_of
from haulm.planning.plan import Plan
from haulm.planning.sowing_search import flowers_by, products_tried, sowing_search, terms_of

Prove = Callable[[tuple[Batch, ...]], Proof]
"""How sure lines are with batches, by a re-match."""
_ROUNDS = 5
_SPARE_DOUBT = 0.5
"""What nothing is sown for may take so much of the doubt that the level allows: no batch is sure to come up."""


def sowings_for(plan: Plan, need: Need, *, has_all_ways: bool = True) -> list[Option]:
    """Sowings of what lines ask; where none of them is enough, of a quicker kind that they name.

    Where no sowing is enough and one would be with more room, that is said too.

    Args:
        plan: the plan.
        need: the lines, and how sure they are to be.
        has_all_ways: whether all ways are told, each with its last days; else only the one to be recommended.
    """
    if not _has_seasons(plan):
        return []
    search = sowing_search(plan, need, products_tried(plan, need.lines, need.kinds), has_all_ways=has_all_ways)
    found = sowing_options(search)
    if any(option.closes for option in found):
        return found
    quicker = faster_kinds(need.lines, plan.crops)[: need.kinds]
    if quicker:
        found += as_faster(sowing_options(sowing_search(plan, need, quicker, has_all_ways=has_all_ways)))
    room = None if any(option.closes for option in found) else make_room(search)
    return found if room is None else [*found, room]


def sowing_for_order(plan: Plan, lines: Sequence[DatedLine], level: float) -> Option | None:
    """The sowing after which all lines of an order come in the same season; that which helps most where none is enough.

    It is the one that is recommended for a gap of the same stems. None where nothing is missing, or no sowing could be
    enough.

    Args:
        plan: the farm with the order in its place.
        lines: its lines, as the plan has them.
        level: the joint confidence asked of them, 0-1.
    """
    key = (tuple(lines), level)
    return plan.remembered_order_sowings.of(key, lambda: _for_order(plan, *key))


def can_still_be_sown(plan: Plan, products: Iterable[Product], due: date) -> bool:
    """Whether any of these kinds could still be sown or planted to flower by a day."""
    return _has_seasons(plan) and any(flowers_by(plan, product, due) for product in products)


def grown_until(
    plan: Plan, batches: tuple[Batch, ...], before: Proof, levels: Sequence[float], prove: Prove
) -> tuple[Batch, ...] | None:
    """Batches, made larger until what they are for is sure enough; None where that takes too much room, or never ends.

    Args:
        plan: the plan.
        batches: the batches, in their beds.
        before: how sure it is without them.
        levels: how sure it must be, 0-1.
        prove: how sure it is with batches, by a re-match.
    """
    for _ in range(_ROUNDS):
        after = prove(batches)
        if after.reaches(levels):
            return batches
        times = growth(before, after, levels)
        larger = None if times is None else enlarged(plan, batches, times)
        if larger is None:
            return None
        batches = larger
    return batches if prove(batches).reaches(levels) else None


def enlarged(
    plan: Plan, batches: Iterable[Batch], times: float, grows: Callable[[Batch], bool] = lambda _: True
) -> tuple[Batch, ...] | None:
    """Batches so many times as large, in whole steps, each in its own bed where it fits; None where there is no room.

    Args:
        plan: the plan.
        batches: the batches.
        times: how many times.
        grows: which of them become larger.
    """
    sized = [_sized(plan, batch, times) if grows(batch) else batch for batch in batches]
    if any(batch.places > MOST_PLACES for batch in sized):
        return None
    return placed_anew(sized, plan.room, plan.crops)


def _sized(plan: Plan, batch: Batch, times: float) -> Batch:
    """A batch of another size; its bed stays as a hint, its metres are worked out where it is placed."""
    places = terms_of(plan).step(plan.crops[batch.variety], batch.method).rounded(times * batch.places)
    trays = batch.trays if batch.trays is None else float(trays_needed(places, plan.farm.batches))
    return replace(batch, sown=places, trays=trays)


def _for_order(plan: Plan, lines: Sequence[DatedLine], level: float) -> Option | None:
    if not _has_seasons(plan) or reaches(plan.joint_of(plan.result.places[line] for line in lines), level):
        return None
    need = _need_of_order(plan, lines, level)
    if need is None:
        return None
    found = [option for option in ranked(sowings_for(plan, need, has_all_ways=False)) if option.batches]
    return next((option for option in found if option.closes), found[0] if found else None)


def _need_of_order(plan: Plan, lines: Sequence[DatedLine], level: float) -> Need | None:
    """All lines of an order in the same season, sown for as few of them as will do; None where none could be enough.

    Of what is left to be filled from what is there the fewest seasons may fail. Lines that the same kinds answer are
    sown for together; the more such groups there are, the fewer kinds are tried for each, since somebody is waiting.
    """
    if len(lines) == 1:
        return Need(tuple(lines), (level,), are_together=True)
    filled, weights = {line: plan.missing(line) == 0 for line in lines}, plan.result.supply.weights

    def left(sown: Sequence[DatedLine]) -> float:
        rest = [filled[line] for line in lines if line not in sown]
        return weight_of(np.logical_and.reduce([np.broadcast_to(one, weights.shape) for one in rest]), weights)

    groups, now = _groups(plan, lines), left(())
    chosen: list[tuple[DatedLine, ...]] = []
    while groups and len(chosen) < MOST_BATCHES and not reaches(now, 1 - _SPARE_DOUBT * (1 - level)):
        best = max(groups, key=lambda group: left((*chain(*chosen), *group)))
        groups.remove(best)
        chosen.append(best)
        now = left(tuple(chain(*chosen)))
    if not chosen or not reaches(now, level):
        return None
    sown = tuple(chain(*chosen))
    beside = tuple(line for line in lines if line not in sown)
    return Need(sown, (level,), are_together=True, beside=beside, kinds=max(1, KINDS_TRIED // len(chosen)))


def _groups(plan: Plan, lines: Iterable[DatedLine]) -> list[tuple[DatedLine, ...]]:
    """The lines that something can be sown for in time; those that the same kinds answer together."""
    found: dict[frozenset[Product], list[DatedLine]] = {}
    for line in lines:
        kinds = frozenset(one for one in products_tried(plan, [line]) if flowers_by(plan, one, line.due))
        if kinds:
            alike = next((others for others in found if not others.isdisjoint(kinds)), kinds)
            found.setdefault(alike, []).append(line)
    return [tuple(group) for group in found.values()]


def _has_seasons(plan: Plan) -> bool:
    return plan.growth.forecast is not None and plan.growth.forecast.seasons is not None
