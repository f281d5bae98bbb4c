"""What of everything is news: gaps that are new, changed or due, work that no letter has told, sentences likewise."""

from __future__ import annotations

from collections.abc import Container, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from enum import StrEnum
from functools import partial

from haulm.advice.asked_words import asked_in_words
from haulm.farm.quantities import percent, percents
from haulm.farm.weeks import near_day_in_words, weeks_in_words
from haulm.jobs.gaps.list_jobs import GapJob
from haulm.jobs.gaps.standing_gaps import NOT_YET, DatedGap
from haulm.jobs.growing.due_work import AHEAD, Due, Work, gathered
from haulm.jobs.warning.letter_lines import SHORT, WAITING, WORK, Body, Item
from haulm.jobs.warning.told_gaps import ToldGap, ToldLetter, told_before
from haulm.planning.plan import Plan

_CHANGED_BY = 0.1
"""How much surer or less sure a gap has to be for another word of it [share]."""
_FAR = timedelta(weeks=4)
"""What is to be done later than this is told once; another day or way for it is told when it has come nearer."""
LARGE = 50.0
"""A gap that lacks more stems than this on average is told before other news."""


class Compared(StrEnum):
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

    def change(self, found: DatedGap) -> Compared:
        """What a gap is against what was told of it."""
        before = self.before(found)
        if before is None:
            return Compared.NEW
        if abs(found.gap.confidence - before.confidence) < _CHANGED_BY:
            return Compared.SAME
        return Compared.BETTER if found.gap.confidence > before.confidence else Compared.WORSE

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
        said, is_near = _news(about, job, names), job.day <= about.plan.today + AHEAD
        item = partial(Item, SHORT, gaps=names, missed=job.missed)
        if said is not None and said.is_job:
            short = replace(job.short, what=_marked(job.short.what, said.mark))
            yield item(text=said.text, must=is_near, job=short, is_first=_is_large(about, names))
        elif said is not None:
            yield item(text=said.text)
        elif is_weekly and is_near:
            yield item(text=_whole(job), must=True, job=job.short, is_news=False)


def _marked(what: str, mark: str) -> str:
    """What is sown or asked, with what is another than it was told: `Ammi (one tray, no longer Mon 14 Jun)`."""
    return f"{what[:-1]}, {mark})" if mark else what


def _is_large(about: News, names: Iterable[str]) -> bool:
    """Whether one of some gaps is large, and no letter has told it."""
    found = (about.telling[name] for name in names)
    return any(one.gap.expected_missing > LARGE and about.before(one) is None for one in found)


def pending_items(about: News, jobs: Iterable[GapJob]) -> Iterator[Item]:
    """The gaps that no letter has told and whose job is still being worked out."""
    covered = {name for job in jobs for name in job.covers}
    for name, found in about.telling.items():
        if name not in covered and about.before(found) is None:
            told = about.told_now(found)
            short = f"about {found.gap.expected_missing:.0f} stems short, {percent(found.gap.confidence)} sure"
            text = f"{told.words}, {weeks_in_words(found.gap.weeks)}: {short}; what to do is {NOT_YET}. (new)"
            yield Item(SHORT, text, gaps=(name,), is_first=found.gap.expected_missing > LARGE)


def work_items(due: Sequence[Due], told: frozenset[str], *, is_weekly: bool) -> Iterator[Item]:
    """The work that no letter has told; every week also what is to be sown within one."""
    said = [one for one in due if one.token not in told or (is_weekly and one.work is Work.SOW)]
    for one in sorted(said, key=lambda due: (due.day, due.sentence, due.about)):
        if one.short is not None:
            yield Item(WORK, one.sentence, True, tokens=(one.token,), is_news=one.token not in told, job=one.short)
    for task in gathered(one for one in said if one.short is None):
        yield Item(WORK, task.sentence, tokens=task.tokens, is_news=not told.issuperset(task.tokens))


def note_items(notes: Iterable[str], told: frozenset[str], urgent: Container[str]) -> Iterator[Item]:
    """The sentences that no letter has told."""
    return (Item(WAITING, one, tokens=(one,), is_first=one in urgent) for one in notes if one not in told)


def tokens_of(body: Body, told: Iterable[str]) -> frozenset[str]:
    """What is told by the end of a letter, beside its gaps."""
    return frozenset(told).union(*(item.tokens for item in body.items))


def _whole(job: GapJob) -> str:
    return f"By {job.act_by}: {job.sentence}"


@dataclass(frozen=True, slots=True)
class _Said:
    """What is new of a job: in full, whether the job itself is, and what is another than it was told in few words."""

    text: str
    is_job: bool = True
    mark: str = ""


def _news(about: News, job: GapJob, names: Sequence[str]) -> _Said | None:
    """What is new of a job, or None."""
    before = {name: about.before(about.telling[name]) for name in names}
    own = before.get(job.gap.gap.key)
    if any(told is None or told.day is None for told in before.values()):
        return _Said(job.missed or f"{_whole(job)} (new)")
    if own is None:
        return None
    if _can_wait(about, job, own):
        return None
    if own.way and own.way != job.gap.way:
        text = f"{_whole(job)} (another way than before, after {about.why})"
        return _Said(job.missed or text, mark="another way than before")
    if _has_passed(about, own):
        # Said once, however often what is left moves on; on the farm's day of the week it is said as a job.
        return None if own.missed or not job.missed else _Said(job.missed, mark=f"{_near(own.day)} has passed")
    if job.day <= about.plan.today + AHEAD and not own.was_near:
        return _Said(f"{_whole(job)} (due)")
    if job.gap.gap.key in about.grave and not (own.was_grave or own.was_near):
        return _Said(f"{_whole(job)} (grave)")
    return _changed(about, job, own)


def _can_wait(about: News, job: GapJob, own: ToldGap) -> bool:
    """Whether what has become another is no news yet: its days, told and new, are far, and the gap is not large."""
    far = about.plan.today + _FAR
    is_large = job.gap.gap.expected_missing > LARGE
    return not is_large and job.day > far and own.day is not None and own.day > far


def _has_passed(about: News, own: ToldGap) -> bool:
    """Whether the day that was told has passed, and nothing was done."""
    return own.day is not None and own.day < about.plan.today


def _near(day: date | None) -> str:
    assert day is not None, "only what was told with its day has one"
    return near_day_in_words(day)


def _changed(about: News, job: GapJob, own: ToldGap) -> _Said | None:
    """What is another day, or surer or less sure, and why; None where all is as it was told."""
    gap, said = job.gap.gap, []
    is_moved = own.day is not None and own.day != job.day
    if is_moved:
        said.append(f"by {job.act_by} and no longer {_near(own.day)}")
    change = about.change(job.gap)
    if change is not Compared.SAME:
        before, now = percents(own.confidence, gap.confidence)
        said.append(f"{change}, {now} sure after {before}")
    if not said:
        return None
    text = f"{own.words[0].upper()}{own.words[1:]}, {weeks_in_words(gap.weeks)}: {'; '.join(said)} (after {about.why})"
    return _Said(text, is_moved, f"no longer {_near(own.day)}" if is_moved else "")
