"""The combined plan of a farm: what closes each gap, the fewest batches of it, and the re-match that proves them."""

from __future__ import annotations

from collections.abc import Callable, Container, Iterable, Iterator, Mapping, Sequence

from haulm.advice.combined import Bundle, chosen_batches
from haulm.advice.options.growing import growth
from haulm.advice.options.need import Need, need_of
from haulm.advice.options.option import Proof
from haulm.advice.options.ranking import WITHOUT_SOWING, closes_for_good
from haulm.advice.season_plan import ClosedThen, GapThen, LookedAt, OpenThen, PlannedSowing, SeasonPlan
from haulm.advice.shortfalls import Gap
from haulm.advice.ways import Ways
from haulm.demand.dated_line import DatedLine
from haulm.farm.batches import Batch
from haulm.farm.edits import with_rows
from haulm.language.words import _
from haulm.matching.allocation.match import rematch
from haulm.planning.growth import sowing_of
from haulm.planning.integer_program import solved
from haulm.planning.plan import Plan
from haulm.planning.remedies import remedies
from haulm.planning.sowing_search import BatchProofs, costing_of, may_take, proof_of
from haulm.planning.sowings import enlarged, grown_until
from haulm.planning.why_open import why_open

_ROUNDS = 5
_Line = tuple[str, object]
Named = Callable[[Sequence[Gap]], Sequence[Gap]]
"""Gaps under the names they keep, in their order."""


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


def combined_plan(
    plan: Plan, level: float | None, looked: Iterable[LookedAt], named: Named = lambda gaps: gaps
) -> SeasonPlan:
    """The smallest set of extra batches that closes all gaps that can be closed, within bed metres and bench trays.

    Args:
        plan: the plan.
        level: the confidence asked of every line, 0-1; None for each line's own.
        looked: what was found of each of its gaps at that level.
        named: gives gaps the names they keep.

    Returns:
        The batches, proved by one re-match of the farm with all of them; what is still short then, each with why.
        The grower's hours are not known to the farm and not counted.
    """
    gaps = plan.gaps(level)
    known = {one.gap: one for one in looked}
    bundles = list(_bundles(plan, gaps, known))
    batches, closing = chosen_batches(bundles, plan.room, plan.crops, solved)
    claimed = [gap for gap in gaps if gap.key in closing]
    batches = _enough(plan, batches, claimed)
    batches = _needed(plan, batches, claimed)
    after = with_batches(plan, batches)
    still = {_key(line) for gap in after.gaps(level) for line in _lines(gap)}
    closed = [gap for gap in gaps if not any(_key(line) in still for line in _lines(gap))]
    names = named(closed)
    left = after.gaps(level)
    reasons = _reasons(gaps, left, {bundle.gap for bundle in bundles}, known)
    return SeasonPlan(
        sowings=tuple(PlannedSowing(batch, tuple(_may_serve(plan, names, batch))) for batch in batches),
        closed=tuple(_closed(after, gap, name) for gap, name in zip(closed, names, strict=True)),
        open=tuple(OpenThen(GapThen.of(gap), why) for gap, why in zip(named(left), reasons, strict=True)),
        cost_minor=round(costing_of(plan).spent(batches)) if batches else None,
    )


def _closed(after: Plan, gap: Gap, named: Gap) -> ClosedThen:
    """A gap that is closed, as it was and with all batches."""
    proof = _proof(after, gap)
    return ClosedThen(GapThen.of(named), proof.confidence, proof.missing)


def _may_serve(plan: Plan, gaps: Iterable[Gap], batch: Batch) -> Iterator[str]:
    """The names of the gaps that may be given stems of a batch."""
    return (gap.key for gap in gaps if any(may_take(plan, line, batch.product) for line in _lines(gap)))


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
        need = need_of(gap)
        before, prove = proof_of(plan, need), BatchProofs(plan, need).prove
        others = [batches for key in own if key != gap.key for batches in own[key] if len(batches) == 1]
        for batches in dict.fromkeys(others):
            if any(may_take(plan, line, batches[0].product) for line in need.lines):
                enough = grown_until(plan, batches, before, need.sure_levels, prove)
                if enough is not None:
                    yield Bundle(gap.key, enough)


def _enough(plan: Plan, batches: tuple[Batch, ...], claimed: Sequence[Gap]) -> tuple[Batch, ...]:
    """The batches, those of gaps that are still short beside the others made larger, as long as there is room."""
    for _round in range(_ROUNDS):
        after = with_batches(plan, batches)
        short = [gap for gap in claimed if not _proof(after, gap).reaches(gap.levels)]
        if not short:
            return batches
        need = _all_of(short)
        times = growth(proof_of(plan, need), proof_of(after, need), need.levels)
        larger = None if times is None else _larger(plan, batches, need.lines, times)
        if larger is None:
            return batches
        batches = larger
    return batches


def _larger(plan: Plan, batches: Sequence[Batch], lines: Sequence[DatedLine], times: float) -> tuple[Batch, ...] | None:
    """The batches, those larger that may serve some lines."""
    return enlarged(plan, batches, times, lambda batch: any(may_take(plan, line, batch.product) for line in lines))


def _all_of(gaps: Iterable[Gap]) -> Need:
    """The lines of several gaps, each at its own level."""
    needs = [need_of(gap) for gap in gaps]
    return Need(
        tuple(line for need in needs for line in need.lines), tuple(level for need in needs for level in need.levels)
    )


def _needed(plan: Plan, batches: tuple[Batch, ...], claimed: Sequence[Gap]) -> tuple[Batch, ...]:
    """The batches without those that no gap needs once the others are made, the largest looked at first."""
    kept_closed = [gap for gap in claimed if _proof(with_batches(plan, batches), gap).reaches(gap.levels)]
    if not kept_closed:
        return batches
    need = _all_of(kept_closed)
    prove = BatchProofs(plan, need).prove
    kept = list(batches)
    for batch in sorted(batches, key=lambda batch: (-batch.places, batch.key)):
        others = [other for other in kept if other is not batch]
        if others and prove(tuple(others)).reaches(need.levels):
            kept = others
    return tuple(kept)


def _reasons(
    gaps: Sequence[Gap], left: Iterable[Gap], closable: Container[str], known: Mapping[str, LookedAt]
) -> Iterator[str]:
    """Why each gap is still short with the batches."""
    for gap in left:
        lines = {_key(line) for line in _lines(gap)}
        before = next((was for was in gaps if any(_key(line) in lines for line in _lines(was))), None)
        if before is None:
            yield _("Stems that answered it go to others once these batches are there.")
        else:
            yield _reason(known[before.key], closable=before.key in closable)


def _reason(found: LookedAt, *, closable: bool) -> str:
    """Why no batch closes a gap, and what else does."""
    if closable:
        return _(
            "No room: a sowing closes it alone, but not beside the others in the beds and on the benches there are."
        )
    why = found.why_open or _("Its sowings no longer close it beside the others.")
    if not found.instead:
        return why
    ways = ", ".join(_(way) for way in found.instead)
    return f"{why} {_('Closed without a sowing by: {ways}.').format(ways=ways)}"


def _proof(plan: Plan, gap: Gap) -> Proof:
    """What a plan says of a gap's lines."""
    return proof_of(plan, need_of(gap))


def _lines(gap: Gap) -> list[DatedLine]:
    return [short.line for short in gap.shortfalls]


def _key(line: DatedLine) -> _Line:
    return (line.line, line.due)
