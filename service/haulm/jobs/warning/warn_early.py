"""The early warning: what is new about what is short, the jobs that close it, and what is due on the farm."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, timedelta

from haulm.advice.asked_words import asked_in_words
from haulm.advice.options.option import Option
from haulm.advice.shortfalls import Gap
from haulm.farm.weeks import Week, day_in_words
from haulm.farm.words import LineClass, OrderStatus
from haulm.jobs.bucket_day.follow_week import to_ask, to_ring
from haulm.jobs.couples.answer_quote import answers_in_words
from haulm.jobs.desk.desk import Desk
from haulm.jobs.desk.level_words import levels_in_words
from haulm.jobs.farm.food_marks import food_marks_in_words
from haulm.jobs.farm.plants_asked import plants_asked
from haulm.jobs.gaps.kept_options import recommended_kept
from haulm.jobs.gaps.list_jobs import GapJob, gap_jobs, work_due
from haulm.jobs.gaps.standing_gaps import DatedGap, dated_gaps
from haulm.jobs.growing.due_work import Task, gathered, order_in_words
from haulm.jobs.promises.follow_floors import broken_in_words
from haulm.jobs.promises.new_figures import see_new_figures
from haulm.jobs.promises.show_quote import RECHECK_KIND
from haulm.jobs.promises.whole_deliveries import unsure_as_a_whole
from haulm.jobs.warning.letter_lines import FIRST, Body, Item, fitted
from haulm.jobs.warning.letter_news import Compared, News, gap_items, note_items, pending_items, tokens_of, work_items
from haulm.jobs.warning.told_gaps import ToldGap, ToldLetter, closed_words
from haulm.jobs.warning.why_changed import why_changed
from haulm.language.words import _, one_or_more
from haulm.planning.plan import Plan
from haulm.store.words import LetterState

MOST_GAPS = 7
"""Gaps that programs are given with their best option; the others are only counted."""
LEAST_SHARE = 0.05
"""What misses less than this of what is asked, or less than a bunch, is on the page and not in the letter."""
GRAVE_CONFIDENCE = 0.5
GRAVE_DAYS = timedelta(days=3)
_USUAL_BUNCH = 10
_MOST_CLOSED = 2


@dataclass(frozen=True, slots=True)
class Alert:
    """A gap with the best option it has (None until that is worked out), and the last day for the next step of that.

    `asked` is what is short in words; `is_grave` where it cannot wait for the next letter.
    """

    gap: Gap
    asked: str
    decide_by: date | None
    best: Option | None
    change: Compared = Compared.NEW
    is_grave: bool = False


@dataclass(frozen=True, slots=True)
class Digest:
    """The letter as values.

    Attributes:
        version: the farm's version that it tells of.
        levels: how sure everything should be, in words.
        alerts: the gaps with their best option; `more_gaps` others are only counted.
        tasks: all that is due on the farm in the coming week.
        closed: what was short in the letter before and is no more, in words.
        notes: sentences about replies, mails and quotes that somebody has to look at.
        body: what the letter says of all that: what is new.
        is_news: whether it says anything that no letter has told.
        since: the day of the letter before; None where there was none.
        told: each gap as it is told by then; `counted` those that are only counted.
        tokens: what else is told by then.
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
    body: Body = field(default_factory=lambda: Body(()))
    is_news: bool = True
    since: date | None = None
    version: int = 0
    told: Mapping[str, ToldGap] = field(default_factory=dict)
    counted: Mapping[str, ToldGap] = field(default_factory=dict)
    tokens: frozenset[str] = frozenset()

    @property
    def opening(self) -> tuple[str, ...]:
        """What it says first: that nothing is new, short or due, where that is so."""
        said = []
        if not self.is_news and self.since is not None:
            said.append(_("Nothing is new since the letter of {since}.").format(since=day_in_words(self.since)))
        if not self.alerts:
            said.append(_("Nothing is short {levels}.").format(levels=self.levels))
        if not self.tasks:
            said.append(_("Nothing is due on the farm in the coming week."))
        return tuple(said)

    @property
    def judged(self) -> str:
        """By what is called short."""
        return _("Short is what is less sure than it should be: {levels}.").format(
            levels=self.levels.removeprefix("at ")
        )


def warn_early(desk: Desk, told: ToldLetter | None = None, *, is_weekly: bool = False) -> Digest:
    """What the grower should hear today, against what was told before.

    Args:
        desk: the desk.
        told: the letter before; None: everything is new.
        is_weekly: whether what is due within a week is said though it was told.
    """
    return digest_of(desk, desk.plan(), told or ToldLetter(), is_weekly=is_weekly)


def digest_of(desk: Desk, plan: Plan, told: ToldLetter, *, is_weekly: bool) -> Digest:
    """The same of a plan."""
    standing = dated_gaps(desk, plan)
    telling = telling_gaps(plan, standing)
    due, notes = work_due(desk, plan), (*_new_figures(desk), *notes_of(desk))
    about = _about(desk, plan, told, telling)
    jobs = gap_jobs(desk, plan, standing)
    closed = closed_words(told, standing, Week.of(plan.today))
    fallen = tuple(_fallen_quotes(desk))
    items = [
        *_ended(closed),
        *note_items(fallen, told.tokens, ()),  # before other news, but not before the names of the farm's work
        *gap_items(about, jobs, is_weekly=is_weekly),
        *pending_items(about, jobs),
        *work_items(due, told.tokens, is_weekly=is_weekly),
        *note_items([note for note in notes if note not in fallen], told.tokens, tuple(urgent_notes(desk))),
    ]
    body = fitted(items, plan.today)
    now = about.told_by(body)
    alerts = _by_job(telling, jobs)
    return Digest(
        farm=plan.farm.site.name,
        day=plan.today,
        levels=levels_in_words(plan.farm.site),
        alerts=tuple(_alert(desk, about, found) for found in alerts[:MOST_GAPS]),
        more_gaps=max(0, len(telling) - MOST_GAPS),
        tasks=gathered(due),
        forecast_missing=None if plan.growth.missing is None else plan.growth.missing.sentence,
        closed=closed,
        notes=notes,
        body=body,
        is_news=any(item.is_news for item in items),
        since=told.day,
        version=plan.farm.version,
        told=now,
        counted={found.gap.key: about.told_now(found) for found in telling if found.gap.key not in now},
        tokens=tokens_of(body, told.tokens & {*(one.token for one in due), *notes}),
    )


def _ended(closed: Sequence[str]) -> list[Item]:
    """What is short no longer, as one item; none where nothing closed."""
    if not closed:
        return []
    said = _("No longer short: {closed}.").format(closed="; ".join(closed))
    return [Item(FIRST, said, brief=_briefly_closed(closed))]


def _briefly_closed(closed: Sequence[str]) -> str:
    """The same of many: some of them, and how many more."""
    more = len(closed) - _MOST_CLOSED
    return (
        _("No longer short: {closed}; and {more} more.").format(closed="; ".join(closed[:_MOST_CLOSED]), more=more)
        if more > 0
        else ""
    )


def _about(desk: Desk, plan: Plan, told: ToldLetter, telling: Sequence[DatedGap]) -> News:
    grave = frozenset(found.gap.key for found in telling if is_grave(plan, found))
    return News(plan, told, {found.gap.key: found for found in telling}, grave, why_changed(desk, told))


def _by_job(telling: Iterable[DatedGap], jobs: Sequence[GapJob]) -> list[DatedGap]:
    """Gaps in the order of the jobs that are for them; those without one last, by their day."""
    places = {name: place for place, job in enumerate(jobs) for name in job.covers}
    last = len(jobs)
    return sorted(telling, key=lambda one: (places.get(one.gap.key, last), one.decide_by or date.max, one.gap.key))


def _alert(desk: Desk, about: News, found: DatedGap) -> Alert:
    asked = asked_in_words(found.gap.asked, about.plan.crops)
    best = recommended_kept(desk, found)
    return Alert(found.gap, asked, found.decide_by, best, about.change(found), found.gap.key in about.grave)


def _new_figures(desk: Desk) -> Iterator[str]:
    sentence = see_new_figures(desk).sentence
    if sentence is not None:
        yield _("{sentence} The list stands under More, New figures.").format(sentence=sentence)


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
    """What waits for somebody: quotes less sure than promised, whom to ring, plants to name, mails that came back."""
    yield from urgent_notes(desk)
    yield from _fallen_quotes(desk)
    yield from unsure_as_a_whole(desk.plan())
    yield from broken_in_words(desk)
    yield from food_marks_in_words(desk)
    yield from plants_asked(desk.store.farm().varieties)
    if bounced := mails_come_back(desk):
        yield one_or_more(
            "{count} mail came back: see the list of mails.",
            "{count} mails came back: see the list of mails.",
            bounced,
        ).format(count=bounced)


def urgent_notes(desk: Desk) -> Iterator[str]:
    """Those that cannot wait: whom to ring, what has not been said of a delivery, what couples said."""
    yield from to_ring(desk)
    yield from to_ask(desk)
    yield from answers_in_words(desk)


def _fallen_quotes(desk: Desk) -> Iterator[str]:
    """The orders that a recheck found less sure than promised, by their kind and day."""
    fell: dict[str, str] = {}
    for entry in desk.store.entries_of(RECHECK_KIND):
        if entry.facts["fell"]:
            fell[entry.subject] = str(entry.facts["sentence"])
        else:
            fell.pop(entry.subject, None)
    due = {f"orders/{order.key}": order for order in desk.store.farm().orders if order.due_date >= desk.today()}
    for subject, sentence in fell.items():
        if subject in due:
            order = order_in_words(due[subject])
            yield _("{order} was looked at {sentence}").format(
                order=f"{order[0].upper()}{order[1:]}", sentence=sentence
            )


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
