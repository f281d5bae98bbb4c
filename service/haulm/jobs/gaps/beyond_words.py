"""What the recommended way of a gap does to others, in sentences: what it closes, who is less sure, what clashes."""

from __future__ import annotations

from collections.abc import Iterator

from haulm.advice.asked_words import asked_in_words
from haulm.advice.options.placing import Full
from haulm.advice.shortfalls import Gap
from haulm.farm.quantities import percents
from haulm.farm.weeks import day_in_words, weeks_in_words
from haulm.jobs.desk.desk import Desk
from haulm.jobs.gaps.close_gap import FoundWays
from haulm.jobs.gaps.standing_gaps import dated_gaps
from haulm.language.words import _
from haulm.planning.across_gaps import Clash, clash
from haulm.planning.plan import Plan

_MOST_NAMED = 3


def beyond_words(desk: Desk, plan: Plan, found: FoundWays) -> tuple[str, ...]:
    """What the recommended way does beyond its own gap, in sentences; none where it sows nothing, or nothing is known.

    What else it closes and who is less sure was worked out with it; what it has no room beside is what is recommended
    for the other gaps now.
    """
    if found.ways is None or found.ways.effects is None:
        return ()
    others = {one.gap.key: one.gap for one in dated_gaps(desk, plan) if one.gap.key != found.gap.gap.key}
    said = [*_also_closed(plan, found, others), *_less_sure(plan, found), *_clashing(desk, plan, found, others)]
    return tuple(said)


def _also_closed(plan: Plan, found: FoundWays, others: dict[str, Gap]) -> Iterator[str]:
    assert found.ways is not None and found.ways.effects is not None, "its effects are known"
    names = [_called(plan, others[name]) for name in found.ways.effects.also_closes if name in others]
    if names:
        yield _("It also closes: {names}.").format(names="; ".join(names))


def _less_sure(plan: Plan, found: FoundWays) -> Iterator[str]:
    assert found.ways is not None and found.ways.effects is not None, "its effects are known"
    people = {customer.key: customer.name for customer in plan.farm.customers}
    lines = found.ways.effects.less_sure
    for one in lines[:_MOST_NAMED]:
        before, after = percents(one.before, one.after)
        who = people.get(one.customer, one.customer)
        yield _("Less sure with it: {who}, {due}, from {before} to {after}.").format(
            who=who, due=day_in_words(one.due), before=before, after=after
        )
    if len(lines) > _MOST_NAMED:
        yield _("{count} more lines are a little less sure with it.").format(count=len(lines) - _MOST_NAMED)


def _clashing(desk: Desk, plan: Plan, found: FoundWays, others: dict[str, Gap]) -> Iterator[str]:
    assert found.ways is not None, "its ways are known"
    kept = desk.store.gap_book.recommended()
    beds = {bed.key: bed.name for bed in plan.farm.beds}
    said: list[str] = []
    for name, gap in others.items():
        other = kept.get(name)
        full = None if other is None or not other.batches else clash(plan, found.ways.recommended, other)
        if full is not None:
            said.append(f"{_called(plan, gap)} ({_full(full, beds)})")
    if said:
        yield _("As they are, there is no room beside it for what is recommended for {lines}.").format(
            lines="; ".join(said)
        )


def _full(found: Clash, beds: dict[str, str]) -> str:
    if found.full is Full.BENCH:
        return _("the benches are full")
    return _("{bed} is full").format(bed=beds.get(found.bed or "", _("its bed")))


def _called(plan: Plan, gap: Gap) -> str:
    return f"{asked_in_words(gap.asked, plan.crops)}, {weeks_in_words(gap.weeks)}"
