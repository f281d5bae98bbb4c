"""The early warning: what is short, the one best thing to do about each, and what is due on the farm this week."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import date, timedelta
from enum import StrEnum

from haulm.advice.asked_words import asked_in_words
from haulm.advice.options.option import Option
from haulm.advice.room import plant_out_day
from haulm.advice.shortfalls import Gap
from haulm.farm.batches import Batch
from haulm.farm.weeks import Week
from haulm.farm.words import BatchStatus, LineClass, Method, OrderStatus
from haulm.jobs.desk import Desk
from haulm.jobs.follow_floors import broken_in_words
from haulm.jobs.follow_week import to_ask, to_ring
from haulm.jobs.food_marks import food_marks_in_words
from haulm.jobs.kept_options import recommended_kept
from haulm.jobs.level_words import levels_in_words
from haulm.jobs.list_calendar import tray_days
from haulm.jobs.new_figures import see_new_figures
from haulm.jobs.plants_asked import plants_asked
from haulm.jobs.reply_to_list import open_replies
from haulm.jobs.show_quote import RECHECK_KIND
from haulm.jobs.standing_gaps import DatedGap, dated_gaps
from haulm.jobs.told_gaps import Told, closed_words, told_before
from haulm.jobs.whole_deliveries import unsure_as_a_whole
from haulm.planning.plan import Plan
from haulm.planning.resowing import ThinTray, thin_trays
from haulm.store.words import LetterState

MOST_GAPS = 7
"""Gaps worked through to their best option; the others are only counted, so that the letter stays short."""
LEAST_SHARE = 0.05
"""What misses less than this of what is asked, or less than a bunch, is on the page and not in the letter."""
GRAVE_CONFIDENCE = 0.5
GRAVE_DAYS = timedelta(days=3)
_AHEAD = timedelta(days=7)
_FROM_TRAYS = (Method.HEATED, Method.COVER)
_USUAL_BUNCH = 10
_MOST_ALONE, _MOST_NAMED = 3, 8
_CHANGED_BY = 0.05


class Change(StrEnum):
    """What a gap is against the letter before."""

    NEW = "new"
    WORSE = "worse"
    BETTER = "better"
    SAME = "as before"


@dataclass(frozen=True, slots=True)
class Alert:
    """A gap with the best option it has (None until that is worked out), and the last day on which that can be taken.

    `asked` is what is short in words; `is_grave` where it cannot wait for the next letter; `is_told` where the letter
    before said all this, and a line that reminds of it is enough.
    """

    gap: Gap
    asked: str
    decide_by: date | None
    best: Option | None
    change: Change = Change.NEW
    is_grave: bool = False
    is_told: bool = False


@dataclass(frozen=True, slots=True)
class Task:
    """Something due on the farm: the day, and what to do in one sentence."""

    day: date
    sentence: str


@dataclass(frozen=True, slots=True)
class Digest:
    """The letter as values.

    Attributes:
        levels: how sure everything should be, in words.
        closed: what was short in the letter before and is no more, in words.
        notes: sentences about replies, mails and quotes that somebody has to look at.
    """

    farm: str
    day: date
    levels: str
    alerts: tuple[Alert, ...]
    more_gaps: int
    tasks: tuple[Task, ...]
    forecast_missing: str | None
    closed: tuple[str, ...] = ()
    notes: tuple[str, ...] = ()


def warn_early(desk: Desk, told: Told | None = None) -> Digest:
    """What the grower should hear today, against what was told before."""
    plan = desk.plan()
    standing = dated_gaps(desk, plan)
    dated = telling_gaps(plan, standing)
    found_out = (_alert(desk, plan, found, told or {}) for found in dated[:MOST_GAPS])
    alerts = tuple(sorted(found_out, key=lambda alert: (alert.decide_by or date.max, alert.gap.key)))
    missing = plan.growth.missing
    return Digest(
        farm=plan.farm.site.name,
        day=plan.today,
        levels=levels_in_words(plan.farm.site),
        alerts=alerts,
        more_gaps=max(0, len(dated) - MOST_GAPS),
        tasks=tuple(sorted(tasks_of(plan), key=lambda task: (task.day, task.sentence))),
        forecast_missing=None if missing is None else missing.sentence,
        closed=closed_words(told or {}, standing, Week.of(plan.today)),
        notes=(*_new_figures(desk), *notes_of(desk)),
    )


def _new_figures(desk: Desk) -> Iterator[str]:
    sentence = see_new_figures(desk).sentence
    if sentence is not None:
        yield f"{sentence} The list stands under More, New figures."


def telling_gaps(plan: Plan, standing: Iterable[DatedGap]) -> list[DatedGap]:
    """The gaps that are worth a letter, grave ones first, then by the day to act.

    Not the stall's, and not small ones that can wait.
    """
    found = [dated for dated in standing if not _only_stall(dated.gap)]
    grave = [dated for dated in found if is_grave(plan, dated)]
    return [*grave, *(dated for dated in found if dated not in grave and not _is_small(plan, dated.gap))]


def is_grave(plan: Plan, found: DatedGap) -> bool:
    """Whether a gap cannot wait: a contracted order is less than half sure, or the day to decide is at hand."""
    contracted = {order.key for order in plan.farm.orders if order.status is OrderStatus.CONTRACTED}
    lines = found.gap.shortfalls
    unsure = any(short.line.order in contracted and short.confidence < GRAVE_CONFIDENCE for short in lines)
    return unsure or (found.decide_by is not None and found.decide_by <= plan.today + GRAVE_DAYS)


def notes_of(desk: Desk) -> Iterator[str]:
    """What waits for somebody: answers of florists, quotes less sure than promised, plants to name, mails come back."""
    waiting = len(open_replies(desk))
    if waiting:
        yield (
            "An answer of a florist waits for your word." if waiting == 1 else f"{waiting} answers wait for your word."
        )
    yield from to_ring(desk)
    yield from to_ask(desk)
    fell: dict[str, str] = {}
    for entry in desk.store.entries_of(RECHECK_KIND):
        if entry.facts["fell"]:
            fell[entry.subject] = f"As a whole, order {entry.subject.partition('/')[2]}, {entry.facts['sentence']}"
        else:
            fell.pop(entry.subject, None)
    due = {f"orders/{order.key}" for order in desk.store.farm().orders if order.due_date >= desk.today()}
    yield from (sentence for subject, sentence in fell.items() if subject in due)
    yield from unsure_as_a_whole(desk.plan())
    yield from broken_in_words(desk)
    yield from food_marks_in_words(desk)
    yield from plants_asked(desk.store.farm().varieties)
    if bounced := mails_come_back(desk):
        yield f"{bounced} mail{'s' if bounced > 1 else ''} came back: see the list of mails."


def mails_come_back(desk: Desk) -> int:
    """How many of the latest mails came back."""
    return desk.store.outbox.states().count(LetterState.BOUNCED)


def _is_small(plan: Plan, gap: Gap) -> bool:
    """Whether all that is missing is less than a bunch, or a small share of what is asked."""
    products = {short.line.product for short in gap.shortfalls}
    sizes = [plan.crops[product.variety].bunch_stems for product in products if product is not None]
    asked = sum(short.line.stems for short in gap.shortfalls)
    return gap.expected_missing < max((min(sizes, default=_USUAL_BUNCH), LEAST_SHARE * asked))


def _only_stall(gap: Gap) -> bool:
    """Whether only the stall is short, which is no broken promise."""
    return all(short.line.line_class is LineClass.STALL for short in gap.shortfalls)


def _alert(desk: Desk, plan: Plan, found: DatedGap, told: Told) -> Alert:
    best = recommended_kept(desk, found)
    asked = asked_in_words(found.gap.asked, plan.crops)
    key, change, grave = told_before(found, told), _change(found, told), is_grave(plan, found)
    is_told = key is not None and change is Change.SAME and (told[key].was_grave or not grave)
    return Alert(found.gap, asked, found.decide_by, best, change, grave, is_told)


def _change(found: DatedGap, told: Told) -> Change:
    key, gap = told_before(found, told), found.gap
    if key is None:
        return Change.NEW
    if abs(gap.confidence - told[key].confidence) < _CHANGED_BY:
        return Change.SAME
    return Change.BETTER if gap.confidence > told[key].confidence else Change.WORSE


def tasks_of(plan: Plan) -> Iterator[Task]:
    """What is due on the farm in the coming week, and holds that let go; in no order."""
    yield from _field_tasks(plan, plan.growth.seen.batches)
    yield from _overdue_tasks(plan)
    trays = thin_trays(plan, plan.farm.site.level_of(LineClass.STANDING))
    unseen = [tray.batch.key for tray in trays if tray.advice is None]
    if unseen:
        said = f"{len(unseen)} batches should" if len(unseen) > 1 else "A batch should"
        yield Task(plan.today, f"{said} be mostly up by now; count, or record what you see: {_some(unseen)}.")
    for tray in trays:
        if tray.advice is not None:
            yield Task(plan.today, tray_sentence(tray))
    for order in plan.farm.orders:
        lapses = order.status is OrderStatus.ON_HOLD and order.hold_until is not None
        if lapses and order.hold_until is not None and plan.today <= order.hold_until <= plan.today + _AHEAD:
            yield Task(order.hold_until, f"The hold on order {order.key} lets go at the end of the day.")


def tray_sentence(tray: ThinTray) -> str:
    """What to do about a tray that is late, or has come up thin; nothing is written off."""
    batch, advice = tray.batch, tray.advice
    if advice is None:
        return f"Look at batch {batch.key}: most trays are up by {tray.check_on}. Count it, or record what you see."
    start = f"Batch {batch.key}: {tray.up} places are up, {advice.places_short} more would have to be sown."
    if advice.is_too_late:
        return f"{start} No new sowing saves what is promised of it: tell the customers in time, or find other stems."
    if advice.by is None:
        return f"{start} It is too late in the year to sow again."
    lost = sum(day is None for day in advice.by_line.values())
    saved = "to keep what is promised of it" if advice.by_line else "to flower before frost"
    return f"{start} Sow again by {advice.by} {saved}." + (f" {lost} of its lines are past saving." if lost else "")


def _field_tasks(plan: Plan, batches: Iterable[Batch]) -> Iterator[Task]:
    last = plan.today + _AHEAD
    for batch in batches:
        if batch.sow_date is None:
            continue
        name = plan.crops[batch.variety].name
        places = f"{batch.places} places of " if batch.places else ""
        if batch.status is BatchStatus.PLANNED and plan.today <= batch.sow_date <= last:
            yield Task(batch.sow_date, f"Sow {places}{name} ({batch.method}), batch {batch.key}.")
        elif batch.status is BatchStatus.SOWN and batch.method in _FROM_TRAYS:
            day = plant_out_day(batch, plan.crops[batch.variety], batch.sow_date)
            if plan.today <= day <= last:
                yield Task(day, f"Plant out {places}{name}, batch {batch.key}, hardened off.")
            yield from _tray_tasks(plan, batch, last)


def _overdue_tasks(plan: Plan) -> Iterator[Task]:
    """Sowings whose day has passed: each alone while they are few, else in one sentence."""
    late = [
        (batch.sow_date, batch)
        for batch in plan.growth.seen.batches
        if batch.status is BatchStatus.PLANNED and batch.sow_date is not None and batch.sow_date < plan.today
    ]
    if len(late) > _MOST_ALONE:
        keys = [batch.key for _, batch in sorted(late, key=lambda one: (one[0], one[1].key))]
        said = f"{len(late)} sowings are overdue, the first since {min(day for day, _ in late)}"
        yield Task(plan.today, f"{said}: record them as sown, or they count for nothing. {_some(keys)}.")
        return
    for day, batch in late:
        places = f"{batch.places} places of " if batch.places else ""
        said = f"Sow {places}{plan.crops[batch.variety].name} ({batch.method}), batch {batch.key}."
        yield Task(day, f"{said} It is overdue: record it as sown, or it counts for nothing.")


def _some(keys: list[str]) -> str:
    more = f" and {len(keys) - _MOST_NAMED} more" if len(keys) > _MOST_NAMED else ""
    return ", ".join(keys[:_MOST_NAMED]) + more


def _tray_tasks(plan: Plan, batch: Batch, last: date) -> Iterator[Task]:
    """Potting on and hardening off, on the days of the calendar."""
    crop = plan.crops[batch.variety]
    for found in tray_days(batch, crop, f"{crop.name}, batch {batch.key}"):
        if found.uid.startswith(("pot-", "harden-")) and plan.today <= found.day <= last:
            yield Task(found.day, f"{found.summary}.")
