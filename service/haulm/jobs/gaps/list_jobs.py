"""The jobs of the farm: what to do, by when, for whom, over all gaps it closes; ranked by what a week's waiting costs.

This is the one list that Today, the list of what is short, the letter, the calendar and REST show. It is read from what
the background has worked out: asking writes nothing and works out no way.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date

from haulm.advice.asked_words import asked_in_words
from haulm.farm.quantities import percents
from haulm.farm.weeks import weeks_in_words
from haulm.jobs.desk.asked_caution import caution_of
from haulm.jobs.desk.desk import Desk
from haulm.jobs.florists.reply_to_list import open_replies
from haulm.jobs.gaps.follow_jobs import is_of
from haulm.jobs.gaps.standing_gaps import DatedGap, act_by_words, basis_of, dated_gaps
from haulm.jobs.gaps.way_words import Missed, ShortWay, briefly_for, missed_in_words, what_it_does, whose_in_words
from haulm.jobs.growing.due_work import Due, Task, Work, due_soon, gathered
from haulm.jobs.growing.short_jobs import ShortJob, Sort
from haulm.language.words import _, one_or_more
from haulm.planning.plan import Plan
from haulm.store.job_book import Facts


@dataclass(frozen=True, slots=True)
class GapJob:
    """One thing to do that closes gaps, or parts of them.

    Attributes:
        gap: the gap whose recommended way it is.
        covers: the gaps that it closes, or is the best for; its own first.
        helps: other gaps and the share of what they lack that it gives, 0-1.
        day: the last day for it.
        act_by: that day in words, and as of when where it is still to be worked out.
        sentence: what to do and what it closes, without anybody's name.
        whose: whom it is for, by name.
        caution: what to mind of what is asked for; empty: nothing.
        missed: what was to be done by a day that has passed, and what is left; empty where nothing was missed.
        way: what the way is, so that it is known again another day.
        short: the job in few words.
        week_minor: what a week's waiting costs; `loses_minor` what is lost if nothing is done [minor units].
        is_wedding: whether a contracted wedding is short.
    """

    gap: DatedGap
    covers: tuple[str, ...]
    helps: tuple[tuple[str, float], ...]
    day: date
    act_by: str
    sentence: str
    whose: str
    caution: str
    missed: str
    way: str
    short: ShortJob
    week_minor: int
    loses_minor: int
    is_wedding: bool

    @property
    def rank(self) -> tuple[int, int, int, int, date, str]:
        """What a week's waiting costs, of contracted weddings first; then what there is to lose; then the day."""
        weddings = -self.week_minor if self.is_wedding else 0
        own = -self.loses_minor if self.is_wedding else 0
        return weddings, -self.week_minor, own, -self.loses_minor, self.day, self.gap.gap.key


@dataclass(frozen=True, slots=True)
class FarmJobs:
    """Everything to do: what closes gaps, the dearest to wait with first, and what is due on the farm, by day."""

    gap_jobs: tuple[GapJob, ...]
    work: tuple[Task, ...]

    def of_gap(self, name: str) -> GapJob | None:
        """The job that is for a gap, or closes it with others."""
        return next((job for job in self.gap_jobs if name in job.covers), None)


def list_jobs(desk: Desk) -> FarmJobs:
    """The jobs of the farm as it is.

    Raises:
        FarmEmpty: nothing was imported yet.
    """
    plan = desk.plan()
    return FarmJobs(gap_jobs(desk, plan, dated_gaps(desk, plan)), gathered(work_due(desk, plan)))


def gap_jobs(desk: Desk, plan: Plan, standing: Sequence[DatedGap]) -> tuple[GapJob, ...]:
    """The jobs that close gaps, the dearest to wait with first; a gap that another's way closes is part of that job."""
    kept = desk.store.job_book.kept()
    if kept is None:
        return ()
    basis = basis_of(desk, plan)
    found = {one.gap.key: one for one in standing if one.days is not None and one.gap.key in kept.by_gap}
    alone = {name: _alone(one, kept.by_gap[name], frozenset(found)) for name, one in found.items()}
    jobs: list[GapJob] = []
    covered: set[str] = set()
    for name in sorted(alone, key=lambda name: alone[name].rank):
        if name not in covered:
            covers = tuple(gap for gap in alone[name].covers if gap not in covered)
            covered.update(covers)
            week, loses = (sum(getattr(alone[gap], what) for gap in covers) for what in ("week_minor", "loses_minor"))
            job = replace(alone[name], covers=covers, week_minor=week, loses_minor=loses)
            jobs.append(_said(plan, job, found, kept.by_gap[name], is_of(kept.by_gap[name], basis)))
    return tuple(sorted(jobs, key=lambda job: job.rank))


def work_due(desk: Desk, plan: Plan) -> list[Due]:
    """What is due on the farm in the coming week, with the answers of florists that wait."""
    waiting = len(open_replies(desk))
    due = list(due_soon(plan))
    if waiting:
        said = one_or_more(
            "An answer of a florist waits for your word", "{count} answers of florists wait for your word", waiting
        ).format(count=waiting)
        due.append(Due(Work.ANSWER, "", plan.today, said, "", state=str(waiting)))
    return due


def _alone(gap: DatedGap, facts: Facts, standing: frozenset[str]) -> GapJob:
    """A gap's job as if it were the only one, without its words."""
    own = gap.gap.key
    others = [(str(name), float(share)) for name, share in facts["closes"] if name != own and name in standing]
    assert gap.decide_by is not None, "only gaps with days have a job"
    return GapJob(
        gap=gap,
        covers=(own, *(name for name, share in others if share >= 1.0)),
        helps=tuple((name, share) for name, share in others if share < 1.0),
        day=gap.decide_by,
        act_by="",
        sentence="",
        whose="",
        caution="",
        missed="",
        way=str(facts["way"]),
        short=ShortJob(gap.decide_by, Sort.FIELD, ""),
        week_minor=int(facts["week_minor"]),
        loses_minor=int(facts["loses_minor"]),
        is_wedding=bool(facts["is_wedding"]),
    )


def _said(plan: Plan, job: GapJob, found: Mapping[str, DatedGap], facts: Facts, is_current: bool) -> GapJob:
    """The same with its words."""
    own = job.gap.gap.key
    share = next(float(part) for name, part in facts["closes"] if name == own)
    parts = [(own, share), *((name, 1.0) for name in job.covers[1:]), *job.helps]
    missed = facts["missed"]
    told = "" if missed is None else missed_in_words(_missed(missed), facts["what"], job.day, share)
    act_by = act_by_words(replace(job.gap, is_pending=not is_current), plan.today, plan.farm.site.timezone)
    return replace(
        job,
        act_by=act_by,
        sentence=_sentence(plan, facts, [(found[name], part) for name, part in parts]),
        whose=whose_in_words(plan, [(found[name].gap, part) for name, part in parts]),
        caution=caution_of(plan, job.gap.gap.asked),
        missed=told,
        short=_short(plan, replace(job, act_by=act_by), facts, [(found[name], part) for name, part in parts]),
    )


def _short(plan: Plan, job: GapJob, facts: Facts, parts: Sequence[tuple[DatedGap, float]]) -> ShortJob:
    """The job in few words; an older program kept only the brief ones of a day that has passed."""
    way = ShortWay.of(facts["short"]) if "short" in facts else ShortWay(Sort.FIELD, f"{facts['briefly']} {{}}", "")
    gaps = [(asked_in_words(one.gap.asked, plan.crops), one.gap.weeks, share) for one, share in parts]
    does = briefly_for(gaps, name=way.name or way.does)
    as_of = job.act_by.partition(", ")[2]
    return way.job(job.day, _("{does}, day {as_of}").format(does=does, as_of=as_of) if as_of else does)


def _missed(facts: Facts) -> Missed:
    return Missed(str(facts["what"]), str(facts["briefly"]), date.fromisoformat(facts["day"]))


def _sentence(plan: Plan, facts: Facts, parts: Sequence[tuple[DatedGap, float]]) -> str:
    """What to do and what it closes; where it closes nothing, what is short."""
    what, after = str(facts["what"]), facts["after"]
    own, share = parts[0][0].gap, parts[0][1]
    said = f"{what[0].upper()}{what[1:]}"
    if share <= 0.0 or after is None:
        asked = asked_in_words(own.asked, plan.crops)
        known = "" if asked in what else f"{asked}, "
        return _("{said}: {known}{weeks}, about {stems} stems short.").format(
            said=said, known=known, weeks=weeks_in_words(own.weeks), stems=f"{own.expected_missing:.0f}"
        )
    does = what_it_does([(asked_in_words(one.gap.asked, plan.crops), one.gap.weeks, part) for one, part in parts], what)
    before, then = percents(float(facts["before"]), float(after))
    return _("{said}: {does}; from {before} to {then} sure{beside}.").format(
        said=said, does=does, before=before, then=then, beside=_beside(facts)
    )


def _beside(facts: Facts) -> str:
    """Whom it makes less sure, and what it has no room beside."""
    lowers = int(facts["lowers"])
    said = []
    if lowers:
        less = one_or_more(
            "{count} other line is a little less sure", "{count} other lines are a little less sure", lowers
        )
        said.append(less.format(count=lowers))
    if facts["clashes"]:
        said.append(_("no room beside the sowing of another job"))
    return "".join(f"; {one}" for one in said)
