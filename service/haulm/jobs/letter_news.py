"""What of everything is news: gaps that are new, changed or due, work that no letter has told, sentences likewise."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum

from haulm.advice.asked_words import asked_in_words
from haulm.farm.quantities import percent, percents
from haulm.farm.weeks import day_in_words, weeks_in_words
from haulm.jobs.due_work import AHEAD, Due, Work, gathered
from haulm.jobs.letter_lines import SHORT, WAITING, WORK, Body, Item
from haulm.jobs.list_jobs import GapJob
from haulm.jobs.standing_gaps import NOT_YET, DatedGap
from haulm.jobs.told_gaps import ToldGap, ToldLetter, told_before
from haulm.planning.plan import Plan

_CHANGED_BY = 0.05
"""How much surer or less sure a gap has to be for another word of it [share]."""
_TOLD_ONCE = (Work.COUNT, Work.OVERDUE, Work.RESOW, Work.ANSWER)
"""Work without a day of its own: once told, it is told again only when it has become another."""


class Change(StrEnum):
    """What a gap is against the letter before."""

    NEW = "new"
    WORSE = "worse"
    BETTER = "better"
    SAME = "as before"


@dataclass(frozen=True)
class News:
    """What gaps are held against.

    Attributes:
        plan: the farm's plan.
        told: the letter before.
        telling: the gaps that are worth a letter, by key.
        grave: which of them cannot wait.
        why: what changed since, in words.
    """

    plan: Plan
    told: ToldLetter
    telling: Mapping[str, DatedGap]
    grave: frozenset[str]
    why: str

    def before(self, found: DatedGap) -> ToldGap | None:
        """A gap as it was told; None where it is new."""
        name = told_before(found, self.told.gaps)
        return None if name is None else self.told.gaps[name]

    def change(self, found: DatedGap) -> Change:
        """What a gap is against what was told of it."""
        before = self.before(found)
        if before is None:
            return Change.NEW
        if abs(found.gap.confidence - before.confidence) < _CHANGED_BY:
            return Change.SAME
        return Change.BETTER if found.gap.confidence > before.confidence else Change.WORSE

    def told_now(self, found: DatedGap, missed: str = "") -> ToldGap:
        """A gap as a letter of today tells it."""
        gap = found.gap
        near = found.decide_by is not None and found.decide_by <= self.plan.today + AHEAD
        words, grave = asked_in_words(gap.asked, self.plan.crops), gap.key in self.grave
        weeks = gap.weeks[0], gap.weeks[-1]
        return ToldGap(gap.confidence, words, *weeks, grave, found.decide_by, found.way or "", near, missed)

    def told_by(self, body: Body) -> dict[str, ToldGap]:
        """Every gap as it is told by the end of a letter; what it does not tell stays as it was told."""
        kept = {name: found for name, found in ((n, self.before(f)) for n, f in self.telling.items()) if found}
        missed = {name: item.missed for item in body.items for name in item.gaps}
        return kept | {name: self.told_now(self.telling[name], said) for name, said in missed.items()}


def gap_items(about: News, jobs: Iterable[GapJob], *, is_weekly: bool) -> Iterator[Item]:
    """The jobs whose gaps have news, the dearest to wait with first; every week also those due within one."""
    for job in jobs:
        names = tuple(name for name in job.covers if name in about.telling)
        if not names:
            continue
        text = _news(about, job, names)
        must = job.day <= about.plan.today + AHEAD
        if text is not None:
            yield Item(SHORT, text, must, names, missed=job.missed)
        elif is_weekly and must:
            yield Item(SHORT, _whole(job), must, names, missed=job.missed, is_news=False)


def pending_items(about: News, jobs: Iterable[GapJob]) -> Iterator[Item]:
    """The gaps that no letter has told and whose job is still being worked out."""
    covered = {name for job in jobs for name in job.covers}
    for name, found in about.telling.items():
        if name not in covered and about.before(found) is None:
            told = about.told_now(found)
            short = f"about {found.gap.expected_missing:.0f} stems short, {percent(found.gap.confidence)} sure"
            text = f"{told.words}, {weeks_in_words(found.gap.weeks)}: {short}; what to do is {NOT_YET}. (new)"
            yield Item(SHORT, text, gaps=(name,))


def work_items(due: Sequence[Due], told: frozenset[str], *, is_weekly: bool) -> Iterator[Item]:
    """The work that no letter has told; every week also what is to be sown within one."""
    said = [one for one in due if one.token not in told or (is_weekly and one.work is Work.SOW)]
    for task in gathered(said):
        is_news = not told.issuperset(task.tokens)
        text = f"{day_in_words(task.day)}: {task.sentence}"
        yield Item(WORK, text, task.work not in _TOLD_ONCE, tokens=task.tokens, is_news=is_news)


def note_items(notes: Iterable[str], told: frozenset[str]) -> Iterator[Item]:
    """The sentences that no letter has told."""
    return (Item(WAITING, note, tokens=(note,)) for note in notes if note not in told)


def tokens_of(body: Body, told: Iterable[str]) -> frozenset[str]:
    """What is told by the end of a letter, beside its gaps."""
    return frozenset(told).union(*(item.tokens for item in body.items))


def _whole(job: GapJob) -> str:
    return f"By {job.act_by}: {job.sentence}"


def _news(about: News, job: GapJob, names: Sequence[str]) -> str | None:
    """What is new of a job, or None."""
    before = {name: about.before(about.telling[name]) for name in names}
    if job.missed and any(told is None or _passed(told.missed) != _passed(job.missed) for told in before.values()):
        return job.missed
    if any(told is None or told.day is None for told in before.values()):
        return f"{_whole(job)} (new)"
    own = before.get(job.gap.gap.key)
    if own is None:
        return None
    if own.way and own.way != job.gap.way:
        return f"{_whole(job)} (another way than before, for {about.why})"
    if job.day <= about.plan.today + AHEAD and not own.was_near:
        return f"{_whole(job)} (due)"
    if job.gap.gap.key in about.grave and not (own.was_grave or own.was_near):
        return f"{_whole(job)} (grave)"
    return _changed(about, job, own)


def _passed(missed: str) -> str:
    """What was to be done by a day that has passed: it is said once, however often what is left moves on."""
    return missed.partition(" passed on ")[0]


def _changed(about: News, job: GapJob, own: ToldGap) -> str | None:
    """What is another day, or surer or less sure, and why; None where all is as it was told."""
    gap, said = job.gap.gap, []
    if own.day is not None and own.day != job.day:
        said.append(f"by {job.act_by} and no longer {day_in_words(own.day)}")
    change = about.change(job.gap)
    if change is not Change.SAME:
        before, now = percents(own.confidence, gap.confidence)
        said.append(f"{change}, {now} sure after {before}")
    if not said:
        return None
    return f"{own.words}, {weeks_in_words(gap.weeks)}: {'; '.join(said)} (for {about.why})"
