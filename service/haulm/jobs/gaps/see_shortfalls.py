"""What is short, as people say it: a gap with the name of what is asked, and what to mind of it."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from datetime import date

from haulm.advice.asked_words import asked_in_words
from haulm.advice.options.option import Option
from haulm.advice.shortfalls import Gap
from haulm.farm.quantities import percent
from haulm.farm.weeks import day_in_words
from haulm.jobs.desk.asked_caution import caution_of
from haulm.jobs.desk.asked_level import checked_level
from haulm.jobs.desk.desk import Desk
from haulm.jobs.desk.money_words import money_words
from haulm.jobs.desk.seen import NotAsSeen, Seen, Shown, changed_figures
from haulm.jobs.farm.tick_at_home import Need, needs_of
from haulm.jobs.gaps.close_gap import FoundWays
from haulm.jobs.gaps.kept_options import ways_kept
from haulm.jobs.gaps.list_jobs import GapJob, gap_jobs
from haulm.jobs.gaps.standing_gaps import DatedGap, act_by_words, as_of_words, dated_gaps, gap_named
from haulm.jobs.gaps.worth_words import worth_in_words
from haulm.language.words import _, marked, one_or_more
from haulm.planning.gap_ways import still_so
from haulm.planning.plan import Plan

_WAY = marked("This way to close the gap")


@dataclass(frozen=True, slots=True)
class NamedGap:
    """A gap in words.

    Attributes:
        gap: the gap.
        act_by: the day to act, in words.
        day: that day; None until it was first worked out.
        is_pending: whether that is still to be worked out for the farm as it is now.
        asked: what is short, in words.
        caution: what to mind of it, or nothing.
    """

    gap: Gap
    act_by: str
    day: date | None
    is_pending: bool
    asked: str
    caution: str


def see_shortfalls(desk: Desk, level: float | None = None) -> tuple[NamedGap, ...]:
    """What is short at a confidence (each line's own unless said), by the day to act.

    Raises:
        NotAccepted: the confidence is no share.
    """
    plan = desk.plan()
    return named_gaps(plan, dated_gaps(desk, plan, checked_level(level)))


def jobs_that_close(desk: Desk) -> tuple[GapJob, ...]:
    """The jobs that close what is short, the dearest to wait with first."""
    plan = desk.plan()
    return gap_jobs(desk, plan, dated_gaps(desk, plan))


def named_gaps(plan: Plan, found: Iterable[DatedGap]) -> tuple[NamedGap, ...]:
    """Gaps with their names, in the order given."""
    return tuple(named_gap(plan, one) for one in found)


def named_gap(plan: Plan, found: DatedGap) -> NamedGap:
    """A gap with its name."""
    asked = found.gap.asked
    act_by = act_by_words(found, plan.today, plan.farm.site.timezone)
    day = None if found.days is None else found.days.act_by
    words, caution = asked_in_words(asked, plan.crops), caution_of(plan, asked)
    return NamedGap(found.gap, act_by, day, found.is_pending, words, caution)


def gap_days_in_words(plan: Plan, found: DatedGap) -> tuple[str, ...]:
    """The days of a gap and what became of it, in sentences."""
    return tuple(_said_of(plan, found))


def _said_of(plan: Plan, found: DatedGap) -> Iterator[str]:
    yield _("Day to decide: {day}.").format(day=act_by_words(found, plan.today, plan.farm.site.timezone))
    if found.days is not None and found.days.act_by < plan.today:
        yield _("That day has passed: what is left stands below, each way with its own last day.")
    if found.days is not None:
        chance, way = found.days.last_chance, found.days.last_way
        if chance is not None:
            yield _("The last day on which the farm can close it itself is {chance}.").format(
                chance=day_in_words(chance)
            )
        if way is not None:
            yield _("For a swap, a stand-in or bought stems it is {way}.").format(way=day_in_words(way))
        yield _("Tell whoever is short by {tell_by}.").format(tell_by=day_in_words(found.days.tell_by))
    if found.split_from is not None:
        yield _("It is a part of what was one gap before.")
    if found.merged:
        count = len(found.merged)
        yield one_or_more(
            "{count} other gap has become part of it.", "{count} other gaps have become part of it.", count
        ).format(count=count)


@dataclass(frozen=True, slots=True)
class ShownWay:
    """A way to close a gap.

    Attributes:
        place: its place among those of its kind.
        way: the way.
        worth: what it is worth, in words.
        shown: what taking it rests on.
        needs: what its sowings are begun from.
    """

    place: str
    way: Option
    worth: str
    shown: Shown
    needs: tuple[Need, ...]


def ways_shown(plan: Plan, ways: Iterable[Option]) -> tuple[ShownWay, ...]:
    """The ways to close a gap as they are shown, in the order given."""
    numbers: Counter[str] = Counter()
    found = []
    for way in ways:
        numbers[way.kind] += 1
        worth = worth_in_words(way, plan.farm.site.currency)
        needs = needs_of(plan.farm, plan.today, way.batches)
        shown = Shown(_(_WAY), dict(_figures(plan, way)))
        found.append(ShownWay(f"{way.kind}-{numbers[way.kind]}", way, worth, shown, needs))
    return tuple(found)


def way_as_seen(desk: Desk, plan: Plan, gap: str, seen: tuple[str, Seen]) -> Option:
    """The way that was seen, wherever it stands among the ways that sow something now.

    Args:
        desk: the desk.
        plan: the farm's plan.
        gap: key of the gap.
        seen: its place among the ways as it was seen, and what was seen of it.

    Raises:
        NotAsSeen: it is overtaken, with what stands in its place now.
    """
    place, figures = seen
    now = list(_ways_now(desk, plan, gap, seen))
    same = next((one.way for one in now if figures.tag == one.shown.tag), None)
    if same is not None:
        return same
    shown = next((one.shown for one in now if one.place == place), Shown(_(_WAY), {}))
    raise NotAsSeen(shown=shown, changes=changed_figures(figures, shown.figures))


def _ways_now(desk: Desk, plan: Plan, gap: str, seen: tuple[str, Seen]) -> Iterator[ShownWay]:
    """The ways that sow something; where they are still to be worked out anew, the one that was seen as it is now."""
    found = gap_named(desk, plan, gap)
    ways = None if found is None else ways_kept(desk, found)
    if found is None or ways is None:
        return
    place, figures = seen
    for one in ways_shown(plan, ways.options):
        if one.way.batches and not found.is_pending:
            yield one
        elif one.way.batches and (one.place == place or one.shown.tag == figures.tag):
            yield from _anew(plan, found.plain, one)


def _anew(plan: Plan, gap: Gap, one: ShownWay) -> Iterator[ShownWay]:
    """A way that was worked out for an earlier version as it is now, where it is still possible."""
    way = still_so(plan, gap, one.way)
    if way is not None:
        yield replace(one, way=way, shown=Shown(_(_WAY), dict(_figures(plan, way))))


def ways_in_words(plan: Plan, found: FoundWays) -> str | None:
    """That the ways are still being worked out, or since when they stand; None where they are those of now."""
    if not found.is_pending:
        return None
    if found.ways is None or found.gap.as_of is None:
        return _("The ways to close it are still being worked out. Look again in half a minute.")
    since = as_of_words(found.gap.as_of, plan.today, plan.farm.site.timezone)
    return _("Something has changed since: the ways below are {since}, and are being worked out anew.").format(
        since=since
    )


def _figures(plan: Plan, way: Option) -> Iterator[tuple[str, str]]:
    beds = {bed.key: bed.name for bed in plan.farm.beds}
    for number, batch in enumerate(way.batches, start=1):
        name = plan.crops[batch.variety].name
        day = _("at once") if batch.sow_date is None else day_in_words(batch.sow_date)
        where = f", {beds.get(batch.bed, batch.bed)}" if batch.bed else ""
        planted = batch.plant_out_date
        out = ", " + _("planted out {day}").format(day=day_in_words(planted)) if planted else ""
        yield (
            _("Sowing {number}").format(number=number),
            _("{name}, {method}, {day}, {places} places{where}{out}").format(
                name=name, method=batch.method, day=day, places=batch.places, where=where, out=out
            ),
        )
    if way.order_by is not None:
        yield _("Order by"), day_in_words(way.order_by)
    if way.sow_by is not None:
        yield _("Sow by"), day_in_words(way.sow_by)
    yield _("Decide by"), day_in_words(way.decide_by)
    if way.cost_minor is not None:
        yield "Cost", money_words(way.cost_minor, plan.farm.site.currency)
    if way.after is not None:
        yield _("How sure with it"), percent(way.after.confidence)
    yield _("Closes it"), _("yes") if way.closes else _("no")
