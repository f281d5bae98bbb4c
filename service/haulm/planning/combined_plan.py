"""The combined plan of a farm: what closes each gap, the fewest batches of it, and the re-match that proves them."""

from __future__ import annotations

from collections.abc import Container, Iterable, Iterator, Mapping, Sequence
from dataclasses import replace

from haulm.advice.combined import Bundle, ClosedGap, CombinedPlan, OpenGap, chosen_batches, replaced
from haulm.advice.options.option import Proof
from haulm.advice.options.ranking import WITHOUT_SOWING, closes_for_good
from haulm.advice.options.search import sure_levels
from haulm.advice.options.sketch import MOST_PLACES
from haulm.advice.options.steps import Step
from haulm.advice.room import trays_needed
from haulm.advice.season_plan import LookedAt
from haulm.advice.shortfalls import Gap
from haulm.advice.ways import Ways
from haulm.demand.dated_line import DatedLine
from haulm.farm.batches import Batch
from haulm.farm.edits import with_rows
from haulm.matching.match import rematch
from haulm.planning.growth import sowing_of
from haulm.planning.integer_program import solved
from haulm.planning.plan import Plan
from haulm.planning.remedies import remedies
from haulm.planning.sowing_search import BatchProofs, costing_of, may_take, terms_of
from haulm.planning.why_open import why_open

_LARGER = 2
"""A batch this many times as large is tried for two gaps of one product at once."""
_GROW = 1.25
_ROUNDS = 5
_Line = tuple[str, object]


def look_at(plan: Plan, gap: Gap, ways: Ways | None = None) -> LookedAt:
    """What the combined plan needs to know of one of a plan's gaps; `ways` where they were worked out of it already."""
    options = remedies(plan, gap) if ways is None else ways.options
    sowings = (one.batches for one in options if one.closes and one.batches and one.is_in_proportion)
    others = (one.kind for one in options if closes_for_good(one) and not one.batches)
    return LookedAt(
        gap.key,
        tuple(sorted(sowings, key=lambda batches: [(one.key, one.places, one.bed or "") for one in batches])),
        tuple(sorted({WITHOUT_SOWING[kind] for kind in others})),
        why_open(plan, gap) if ways is None else ways.why_open,
    )


def combined_plan(plan: Plan, level: float | None, looked: Iterable[LookedAt]) -> CombinedPlan:
    """The smallest set of extra batches that closes all gaps that can be closed, within bed metres and bench trays.

    Args:
        plan: the plan.
        level: the confidence asked of every line, 0-1; None for each line's own.
        looked: what was found of each of its gaps at that level.

    Returns:
        The batches, proved by one re-match of the farm with all of them; what is still short then, each with why.
        The grower's hours are not known to the farm and not counted.
    """
    gaps = plan.gaps(level)
    known = {one.gap: one for one in looked}
    bundles = list(_bundles(plan, gaps, known))
    room = plan.room
    batches, closing = chosen_batches(bundles, room, plan.crops, solved)
    claimed = [gap for gap in gaps if gap.key in closing]
    batches = _enough(plan, batches, claimed)
    batches = _needed(plan, batches, claimed)
    after = with_batches(plan, batches)
    still = {_key(line) for gap in after.gaps(level) for line in _lines(gap)}
    closed = [gap for gap in gaps if not any(_key(line) in still for line in _lines(gap))]
    return CombinedPlan(
        level=level,
        batches=batches,
        closed=tuple(ClosedGap(gap, _proof(after, gap)) for gap in closed),
        open=tuple(_open(gaps, after.gaps(level), {bundle.gap for bundle in bundles}, known)),
        cost_minor=round(costing_of(plan).spent(batches)) if batches else None,
    )


def with_batches(plan: Plan, batches: Iterable[Batch]) -> Plan:
    """The plan with batches added, in the same seasons."""
    farm = with_rows(plan.farm, tuple(batches))
    growth = plan.growth
    for batch in farm.batches[len(plan.farm.batches) :]:
        growth = growth.with_sowing(sowing_of(farm, batch, plan.crops[batch.variety]))
    result = rematch(plan.result, plan.result.lines, growth.supply)
    return Plan(farm, plan.today, growth, result, plan.settled)


def _bundles(plan: Plan, gaps: Sequence[Gap], known: Mapping[str, LookedAt]) -> Iterator[Bundle]:
    """The sowings that close each gap, and those of other gaps, as they are or larger, that close it too."""
    own = {gap.key: known[gap.key].sowings for gap in gaps}
    for gap in gaps:
        yield from (Bundle(gap.key, batches) for batches in own[gap.key])
    for gap in gaps:
        prove = BatchProofs(plan, _lines(gap)).prove
        others = [batches[0] for key in own if key != gap.key for batches in own[key] if len(batches) == 1]
        for batch in dict.fromkeys(others):
            if any(may_take(plan, line, batch.product) for line in _lines(gap)):
                for sized in (batch, *_larger(plan, batch)):
                    if prove((sized,)).reaches(sure_levels(gap)):
                        yield Bundle(gap.key, (sized,))
                        break


def _larger(plan: Plan, batch: Batch) -> Iterator[Batch]:
    places = _step(plan, batch).rounded(_LARGER * batch.places)
    if places <= MOST_PLACES:
        yield _sized(plan, batch, places)


def _step(plan: Plan, batch: Batch) -> Step:
    return terms_of(plan).step(plan.crops[batch.variety], batch.method)


def _sized(plan: Plan, batch: Batch, places: int) -> Batch:
    """A batch of another size; its bed stays as a hint, its metres are worked out where it is placed."""
    trays = batch.trays if batch.trays is None else float(trays_needed(places, plan.farm.batches))
    return replace(batch, sown=places, trays=trays)


def _enough(plan: Plan, batches: tuple[Batch, ...], claimed: Sequence[Gap]) -> tuple[Batch, ...]:
    """The batches, those of gaps that are still short beside the others made larger, as long as there is room."""
    for _ in range(_ROUNDS):
        after = with_batches(plan, batches)
        short = [gap for gap in claimed if not _proof(after, gap).reaches(gap.levels)]
        if not short:
            return batches
        lines = [line for gap in short for line in _lines(gap)]
        grown = [
            _sized(plan, batch, _step(plan, batch).rounded(_GROW * batch.places))
            if any(may_take(plan, line, batch.product) for line in lines)
            else batch
            for batch in batches
        ]
        placed = replaced(grown, plan.room, plan.crops)
        if placed is None or any(batch.places > MOST_PLACES for batch in placed):
            return batches
        batches = placed
    return batches


def _needed(plan: Plan, batches: tuple[Batch, ...], claimed: Sequence[Gap]) -> tuple[Batch, ...]:
    """The batches without those that no gap needs once the others are made, the largest looked at first."""
    kept_closed = [gap for gap in claimed if _proof(with_batches(plan, batches), gap).reaches(gap.levels)]
    if not kept_closed:
        return batches
    prove = BatchProofs(plan, [line for gap in kept_closed for line in _lines(gap)]).prove
    levels = [level for gap in kept_closed for level in gap.levels]
    kept = list(batches)
    for batch in sorted(batches, key=lambda batch: (-batch.places, batch.key)):
        others = [other for other in kept if other is not batch]
        if others and prove(tuple(others)).reaches(levels):
            kept = others
    return tuple(kept)


def _open(
    gaps: Sequence[Gap], left: Iterable[Gap], closable: Container[str], known: Mapping[str, LookedAt]
) -> Iterator[OpenGap]:
    """What is still short with the batches, each with why."""
    for gap in left:
        lines = {_key(line) for line in _lines(gap)}
        before = next((was for was in gaps if any(_key(line) in lines for line in _lines(was))), None)
        if before is None:
            yield OpenGap(gap, "Stems that answered it go to others once these batches are there.")
        else:
            yield OpenGap(gap, _reason(known[before.key], closable=before.key in closable))


def _reason(found: LookedAt, *, closable: bool) -> str:
    """Why no batch closes a gap, and what else does."""
    if closable:
        return "No room: a sowing closes it alone, but not beside the others in the beds and on the benches there are."
    other = f" Closed without a sowing by: {', '.join(found.instead)}." if found.instead else ""
    return (found.why_open or "Its sowings no longer close it beside the others.") + other


def _proof(plan: Plan, gap: Gap) -> Proof:
    """What a plan says of a gap's lines."""
    outlooks = [plan.outlook_of(line) for line in _lines(gap)]
    return Proof(tuple(found.confidence for found in outlooks), sum(found.expected_missing for found in outlooks))


def _lines(gap: Gap) -> list[DatedLine]:
    return [short.line for short in gap.shortfalls]


def _key(line: DatedLine) -> _Line:
    return (line.line, line.due)
