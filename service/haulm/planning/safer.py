"""Sowings that would make an order surer: one for each short line, proved together by a re-match of the farm."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta

import numpy as np

from haulm.advice.options.candidates import Candidate, sowing_rules
from haulm.advice.pricing import answering
from haulm.advice.room import Room, trays_needed
from haulm.demand.dated_line import DatedLine
from haulm.farm.batches import Batch
from haulm.farm.products import Product
from haulm.farm.varieties import Crop
from haulm.farm.words import Form, LifeCycle, Method
from haulm.horticulture.sowing_windows import sowable
from haulm.matching.confidence import weight_of
from haulm.matching.supply import Block
from haulm.matching.tryout import PoolName, Tryout
from haulm.planning.growth import sowing_of
from haulm.planning.plan import Plan
from haulm.planning.sowing_search import room_of

_METHODS = {
    LifeCycle.HARDY_ANNUAL: (Method.COVER, Method.DIRECT),
    LifeCycle.HALF_HARDY_ANNUAL: (Method.COVER, Method.HEATED, Method.DIRECT),
    LifeCycle.TENDER_ANNUAL: (Method.COVER, Method.HEATED, Method.DIRECT),
}
"""What a grower can still sow for a day this year, the plainest way first (common practice)."""
_EARLY_DAYS = 10
"""Sown so much earlier than the weeks to flower say, the batch is in the midst of its harvest on the day [d]."""
_KINDS_TRIED = 4
_PLACES_PER_WANTED = 3.0
"""Places for each place that would do in a middling season (common practice)."""
_HALVINGS = 3
_MOST_PLACES = 5_000


@dataclass(frozen=True, slots=True)
class Surer:
    """Sowings that would make an order surer, and how sure it is with them.

    Attributes:
        batches: the batches, each with room in a bed.
        joint: weight of the seasons in which all lines of the order are filled, 0-1.
        decide_by: the last day on which the first of them is sown.
        cost_minor: what their seed costs [minor units].
    """

    batches: tuple[Batch, ...]
    joint: float
    decide_by: date
    cost_minor: int


def surer(trial: Plan, lines: Sequence[DatedLine], level: float) -> Surer | None:
    """The sowings that would make lines reach a level jointly, or help most; None where none is in time or has room.

    Args:
        trial: the plan with the lines in their place.
        lines: the lines, as the plan has them.
        level: the joint confidence asked of them, 0-1.
    """
    forecast = trial.growth.forecast
    if forecast is None or forecast.seasons is None:
        return None
    choices = [(list(_candidates(trial, line)), lack) for line, lack in _short(trial, lines, level)]
    found: Surer | None = None
    # Two proofs at most, with ample places, since a couple is waiting. Two kinds for a line rarely fail at once.
    for kinds_each in (1, 2):
        wanted = [(kind, lack) for kinds, lack in choices for kind in kinds[:kinds_each]]
        batches = _placed(trial, wanted)
        if not batches or (found is not None and batches == found.batches):
            break
        made = _surer(trial, batches, _joint(trial, lines, batches))
        if found is None or made.joint > found.joint + 1e-9:
            found = made
        if found.joint >= level - 1e-9:
            break
    before = trial.joint_of(trial.result.places[line] for line in lines)
    return found if found is not None and found.joint > before + 1e-9 else None


def can_still_be_sown(plan: Plan, products: Iterable[Product], due: date) -> bool:
    """Whether any of these kinds could still be sown to flower by a day."""
    if plan.growth.forecast is None or plan.growth.forecast.seasons is None:
        return False
    return any(p.form is Form.FRESH and _candidate(plan, p, due) is not None for p in products)


def _short(trial: Plan, lines: Sequence[DatedLine], level: float) -> list[tuple[DatedLine, float]]:
    """The lines to be made surer, with the stems each may lack: those below what all of them need for the level."""
    wanted = 1 - (1 - level) / max(1, len(lines))
    outlooks = [trial.outlooks[trial.result.places[line]] for line in lines]
    return [(o.line, _lack(trial, o.line, wanted)) for o in outlooks if o.confidence < wanted - 1e-9]


def _lack(trial: Plan, line: DatedLine, level: float) -> float:
    """The stems a line lacks in a season as poor as the level has to bear."""
    missing = trial.missing(line)
    weights = trial.result.supply.weights
    running = 0.0
    for place in missing.argsort():
        running += float(weights[place])
        if running >= level - 1e-9:
            return float(missing[place])
    return float(missing.max())


def _candidates(trial: Plan, line: DatedLine) -> Iterator[Candidate]:
    """Kinds that could be sown in time for a line: those of its own role first, its stand-ins last.

    Of each, those that give most at once come first.
    """
    own = [line.product] if line.product else list(answering(line.choice, trial.crops)) if line.choice else []
    first = line.choice.roles[0] if line.choice and line.choice.roles else None
    fresh = [product for product in dict.fromkeys((*own, *line.substitutes)) if product.form is Form.FRESH]

    def rank(product: Product) -> tuple[bool, bool, float, Product]:
        crop = trial.crops[product.variety]
        return product not in own, crop.role is not first, -_per_day(crop), product

    ranked = sorted(fresh, key=rank)
    for product in ranked[:_KINDS_TRIED]:
        candidate = _candidate(trial, product, line.due)
        if candidate is not None:
            yield candidate


def _per_day(crop: Crop) -> float:
    """Stems of a place on a day of its harvest."""
    return crop.stems_per_plant / max(1.0, crop.harvest_weeks * 7)


def _candidate(trial: Plan, product: Product, due: date) -> Candidate | None:
    """The sowing after which the harvest has begun on a day; None where it would have to be past or out of season."""
    site, crop = trial.farm.site, trial.crops[product.variety]
    rules = sowing_rules(site, crop.life_cycle)
    ideal = due - timedelta(days=round(crop.weeks_to_flower * 7) + _EARLY_DAYS)
    latest = due - timedelta(days=round(crop.weeks_to_flower * 6))
    for method in _METHODS.get(crop.life_cycle, ()):
        day = max(ideal, trial.today)
        while day <= latest:
            if sowable(method, day, life_cycle=crop.life_cycle, latitude_deg=site.latitude, rules=rules):
                return Candidate(product, method, day)
            day += timedelta(days=7)
    return None


def _placed(trial: Plan, wanted: Sequence[tuple[Candidate, float]]) -> tuple[Batch, ...]:
    """A batch for each kind, smaller where there is no room for all of it; those that find none are left out."""
    room = room_of(trial)
    stems: dict[Candidate, float] = {}
    for candidate, lack in wanted:
        stems[candidate] = stems.get(candidate, 0.0) + lack
    found: list[Batch] = []
    for number, (candidate, lack) in enumerate(stems.items()):
        crop = trial.crops[candidate.product.variety]
        places = _places(trial, crop, lack)
        sizes = (_batch(trial, candidate, places / 2**halved, number) for halved in range(_HALVINGS))
        fitted = next((fit for size in sizes if (fit := _fitted(trial, room, size, crop)) is not None), None)
        if fitted is not None:
            found.append(fitted)
            room = room.with_batch(fitted, crop)
    return tuple(found)


def _places(trial: Plan, crop: Crop, stems: float) -> float:
    """Places that give so many stems on the days that the day they leave can be cut from."""
    days = crop.stand_days + crop.hold_days / 2
    share = min(1.0, days / max(1.0, crop.harvest_weeks * 7))
    each = max(0.1, crop.stems_per_plant * share * crop.germination_share)
    return _PLACES_PER_WANTED * stems / each


def _batch(trial: Plan, candidate: Candidate, places: float, number: int) -> Batch:
    taken = {batch.key for batch in trial.farm.batches}
    size = max(10, min(_MOST_PLACES, round(places / 10) * 10))
    key = f"extra-{candidate.product.variety}"[:40] + f"-{candidate.day:%Y%m%d}-{candidate.method}"
    while key in taken:
        number += 1
        key = f"{key[:58]}-{number}"
    return candidate.batch(key, size)


def _fitted(trial: Plan, room: Room, batch: Batch, crop: Crop) -> Batch | None:
    """The batch in its trays and bed; None where there is no room."""
    if batch.method in (Method.HEATED, Method.COVER):
        trays = trays_needed(batch.places, trial.farm.batches)
        if not room.has_bench_for(batch, crop, trays):
            return None
        batch = replace(batch, trays=float(trays))
    if not room.counts_beds:
        return batch
    bed = room.bed_for(batch, crop)
    return None if bed is None else replace(batch, bed=bed[0], metres=bed[1])


def _joint(trial: Plan, lines: Sequence[DatedLine], batches: tuple[Batch, ...]) -> float:
    """A re-match of lines with batches added: the weight of the seasons in which all are filled, 0-1."""
    tryout = Tryout(trial.result, [trial.result.places[line] for line in lines])
    weights = trial.result.supply.weights
    added: dict[PoolName, list[Block]] = {}
    for batch in batches:
        sowing = sowing_of(trial.farm, batch, trial.crops[batch.variety])
        for name, block in trial.growth.blocks_of(sowing).items():
            added.setdefault(name, []).append(block)
    full = [np.asarray(got == line.stems) for line, got in zip(lines, tryout.filled(added), strict=True)]
    return weight_of(np.logical_and.reduce([np.broadcast_to(one, weights.shape) for one in full]), weights)


def _surer(trial: Plan, batches: tuple[Batch, ...], joint: float) -> Surer:
    places = sum(batch.places for batch in batches)
    first = min(batch.sow_date or trial.today for batch in batches)
    return Surer(batches, joint, first, places * trial.farm.site.prices.seed_minor_per_place)
