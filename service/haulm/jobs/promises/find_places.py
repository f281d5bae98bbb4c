"""Find where what a quote asks falls: each size judged by the whole rule, each sowing proved by a re-match."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from functools import cache, partial

from haulm.advice.acceptance import Verdict
from haulm.advice.quote_places import Counts, Places, grown, places_of, with_count
from haulm.farm.batches import Batch
from haulm.farm.orders import Order
from haulm.farm.quantities import reaches
from haulm.farm.words import OrderStatus
from haulm.jobs.desk.desk import Desk
from haulm.jobs.quotes.answer import Answered, QuoteAsked, parts_of
from haulm.jobs.quotes.draft import DraftLine
from haulm.jobs.quotes.order_parts import TwoParts, farm_with, lines_of_parts, lines_of_size, promised_at, verdict_of
from haulm.jobs.quotes.promise_refused import cause_in_words
from haulm.jobs.quotes.size import SURE, Part, in_order, largest_counts, told_size
from haulm.jobs.quotes.version import Largest
from haulm.kept import Kept
from haulm.planning.combined_plan import with_batches
from haulm.planning.plan import Plan
from haulm.planning.sowings import sowing_for_order
from haulm.planning.sown_for import SownFor, begun_on, sown_for

LEAST_CHANCE = 0.1
"""What comes in fewer seasons than one in ten is no wish but beyond the field (common practice)."""
_SHARES = (1.0, 0.5)
"""Where no sowing could be enough for all that is missing, one for half of it is looked for: somebody is waiting."""


_SOWN_KEPT, _DRAFTS_KEPT = 4, 64


@dataclass(frozen=True, slots=True)
class FoundPlaces:
    """Where what is asked falls, with the proofs.

    Attributes:
        parts: what is asked.
        counts: how many of each fall into which place.
        sown: what is sown for the larger part; None where there is none.
        stands: of what is promised today, how sure all of it is at once, were it held, 0-1.
        larger: of the larger part the same, with what is sown, 0-1.
        chances: of each part, how often all that is wished of it comes beside the larger part, 0-1.
        against: why what is promised today would not be accepted as a contract, in words; empty where it would.
        against_larger: of the larger part the same, with what is sown.
    """

    parts: tuple[Part, ...]
    counts: Places
    sown: SownFor | None
    stands: float
    larger: float
    chances: tuple[float, ...]
    against: str = ""
    against_larger: str = ""


def find_places(desk: Desk, plan: Plan, found: Answered, asked: QuoteAsked) -> FoundPlaces:
    """Where what is asked falls, were it held today.

    Args:
        desk: the desk.
        plan: the farm without the order.
        found: the answer to all that is asked.
        asked: what is asked.
    """
    parts = tuple(parts_of(asked, found.trial, found.order, found.draft))
    trials = _Trials(desk, plan, found.order, asked, found.level)
    every, none = tuple(part.count for part in parts), tuple(0 for _ in parts)
    promised = _promised(trials, parts)
    sown, larger = _with_sowing(trials, found, parts, promised)
    batches = () if sown is None else sown.batches

    def chance(counts: Counts) -> float:
        return trials.joint(TwoParts(promised, _more(promised, counts)), batches) if any(counts) else 0.0

    joint = cache(chance)
    coming = grown(larger, every, in_order(parts), lambda counts: joint(counts) >= LEAST_CHANCE)
    wished = [with_count(larger, place, coming[place]) for place in range(len(parts))]
    stands = TwoParts(promised, none)
    return FoundPlaces(
        parts,
        places_of(every, promised, larger, coming),
        sown,
        trials.joint(stands, ()) if any(promised) else 0.0,
        joint(larger),
        tuple(joint(counts) if counts != larger else 0.0 for counts in wished),
        trials.against_a_contract(stands, ()) if any(promised) else "",
        trials.against_a_contract(TwoParts(promised, _more(promised, larger)), batches) if batches else "",
    )


def largest_today(desk: Desk, plan: Plan, found: Answered, asked: QuoteAsked) -> Largest | None:
    """The largest size that may be promised as the farm stands; None where all that is asked may.

    Args:
        desk: the desk.
        plan: the farm without the order.
        found: the answer to all that is asked.
        asked: what is asked.
    """
    parts = tuple(parts_of(asked, found.trial, found.order, found.draft))
    trials = _Trials(desk, plan, found.order, asked, found.level)
    promised = _promised(trials, parts)
    joint = trials.joint(TwoParts(promised, tuple(0 for _ in parts)), ()) if any(promised) else 0.0
    return largest_told(parts, promised, joint)


def largest_told(parts: Sequence[Part], promised: Counts, joint: float) -> Largest | None:
    """The largest size that may be promised, in words; None where it is all that is asked."""
    if promised == tuple(part.count for part in parts):
        return None
    return told_size(parts, promised if any(promised) else None, joint, SURE)


def _promised(trials: _Trials, parts: Sequence[Part]) -> Counts:
    """What may be promised as the farm stands, nought where nothing may."""
    every, none = tuple(part.count for part in parts), tuple(0 for _ in parts)
    passes = cache(lambda counts: trials.passes(TwoParts(counts, none), ()))
    return every if passes(every) else largest_counts(parts, passes) or none


@dataclass(frozen=True, slots=True)
class _Trials:
    """Sizes of an order, each in its place in the farm, with what is sown for it.

    Attributes:
        desk: the desk.
        plan: the farm without the order.
        order: the order as a hold of today.
        asked: what is asked.
        level: how sure all its lines must be at once, 0-1.
        sown: the farm with batches and without the order.
        drafts: the lines of so many of each part.
    """

    desk: Desk
    plan: Plan
    order: Order
    asked: QuoteAsked
    level: float
    sown: Kept[tuple[Batch, ...], Plan] = field(default_factory=lambda: Kept(_SOWN_KEPT))
    drafts: Kept[Counts, tuple[DraftLine, ...]] = field(default_factory=lambda: Kept(_DRAFTS_KEPT))

    def trial(self, parts: TwoParts, batches: Sequence[Batch], order: Order | None = None) -> Plan:
        """The farm with the parts on hold, or as another order would have them, and batches."""
        base = self.plan if not batches else self.sown.of(tuple(batches), lambda: with_batches(self.plan, batches))
        lines = lines_of_parts(parts, self.order.key, self._lines_of)
        farm = farm_with(base.farm, order or self.order, promised_at(lines, self.level))
        return self.desk.planner.trial(base, farm)

    def _lines_of(self, counts: Counts) -> tuple[DraftLine, ...]:
        return self.drafts.of(counts, lambda: lines_of_size(self.plan, self.asked, self.order.key, counts))

    def joint(self, parts: TwoParts, batches: Sequence[Batch]) -> float:
        """How sure all lines of the parts are at once, 0-1."""
        return self.trial(parts, batches).joint(self.order.key)

    def passes(self, parts: TwoParts, batches: Sequence[Batch]) -> bool:
        """Whether the parts can be promised as a hold: sure enough, and no earlier promise falls."""
        trial = self.trial(parts, batches)
        if not reaches(trial.joint(self.order.key), self.level):
            return False  # most sizes fail here, before anybody else is looked at
        return self._verdict(trial).accepted

    def against_a_contract(self, parts: TwoParts, batches: Sequence[Batch]) -> str:
        """Why the parts would not be accepted, were they contracted today; empty where they would.

        A contract is served with its kind, before many that a hold comes after, so it takes more from others.
        """
        trial = self.trial(parts, batches, replace(self.order, status=OrderStatus.CONTRACTED, hold_until=None))
        said = self._verdict(trial)
        return "" if said.accepted else cause_in_words(said, trial)

    def _verdict(self, trial: Plan) -> Verdict:
        return verdict_of(self.desk, self.plan, trial, self.order, self.level)


def _with_sowing(
    trials: _Trials, found: Answered, parts: Sequence[Part], promised: Counts
) -> tuple[SownFor | None, Counts]:
    """What is sown for more than is promised, and the largest size that passes with it; nothing where none does."""
    every, none = tuple(part.count for part in parts), tuple(0 for _ in parts)
    for share in _SHARES if promised != every else ():
        target = tuple(least + math.ceil((most - least) * share) for least, most in zip(promised, every, strict=True))
        whole = found.trial if target == every else trials.trial(TwoParts(target, none), ())
        advised = sowing_for_order(whole, whole.lines_of(trials.order.key), trials.level)
        if advised is None:
            continue
        if not advised.closes:
            target = _largest_beside(trials, promised, target, parts, advised.batches)
        two = TwoParts(promised, _more(promised, target))
        sown = None
        if target != promised:
            sown = sown_for(advised, trials.trial(two, ()), trials.order.key, trials.level, partial(trials.passes, two))
        return (None, promised) if sown is None else (sown, _largest_with(trials, parts, two, sown))
    return None, promised


def _largest_beside(
    trials: _Trials, promised: Counts, most: Counts, parts: Sequence[Part], batches: Sequence[Batch]
) -> Counts:
    """The largest size that passes with batches that are not enough for all of it."""

    def passes(counts: Counts) -> bool:
        return trials.passes(TwoParts(promised, _more(promised, counts)), batches)

    return grown(promised, most, in_order(parts), passes)


def _largest_with(trials: _Trials, parts: Sequence[Part], two: TwoParts, sown: SownFor) -> Counts:
    """The largest size that passes with what is sown, on the best day and on the last one."""
    late = begun_on(trials.plan, sown.batches, sown.sow_by) or sown.batches

    def passes(counts: Counts) -> bool:
        larger = TwoParts(two.inner, _more(two.inner, counts))
        return trials.passes(larger, sown.batches) and trials.passes(larger, late)

    return grown(two.larger, tuple(part.count for part in parts), in_order(parts), passes)


def _more(these: Counts, those: Counts) -> Counts:
    return tuple(many - few for few, many in zip(these, those, strict=True))
