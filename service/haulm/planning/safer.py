"""Sowings that would make an order surer: one for each short line, proved together by a re-match of the farm."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np

from haulm.advice.options.candidates import Candidate, sowing_rules, work_days
from haulm.advice.options.placing import Full, free_key, placed
from haulm.advice.options.sketch import MOST_PLACES
from haulm.advice.pricing import answering
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
from haulm.planning.sowing_search import costing_of, terms_of

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
        for day in work_days(site, max(ideal, trial.today), latest + timedelta(days=1)):
            if sowable(method, day, life_cycle=crop.life_cycle, latitude_deg=site.latitude, rules=rules):
                return Candidate(product, method, day)
    return None


def _placed(trial: Plan, wanted: Sequence[tuple[Candidate, float]]) -> tuple[Batch, ...]:
    """A batch for each kind, smaller where there is no room for all of it; those that find none are left out."""
    room = trial.room
    stems: dict[Candidate, float] = {}
    for candidate, lack in wanted:
        stems[candidate] = stems.get(candidate, 0.0) + lack
    found: list[Batch] = []
    terms = terms_of(trial)
    for candidate, lack in stems.items():
        crop = trial.crops[candidate.product.variety]
        step = terms.step(crop, candidate.method)
        places = _places(trial, crop, lack)
        key = free_key(candidate, (*trial.farm.batches, *found))
        for halved in range(_HALVINGS):
            size = min(MOST_PLACES, step.rounded(places / 2**halved))
            batch = placed(candidate.batch(key, size), crop, room, trial.farm.batches)
            if not isinstance(batch, Full):
                found.append(batch)
                room = room.with_batch(batch, crop)
                break
    return tuple(found)


def _places(trial: Plan, crop: Crop, stems: float) -> float:
    """Places that give so many stems on the days that the day they leave can be cut from."""
    days = crop.stand_days + crop.hold_days / 2
    share = min(1.0, days / max(1.0, crop.harvest_weeks * 7))
    each = max(0.1, crop.stems_per_plant * share * crop.germination_share)
    return _PLACES_PER_WANTED * stems / each


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
    first = min(batch.sow_date or trial.today for batch in batches)
    return Surer(batches, joint, first, round(costing_of(trial).spent(batches)))
