"""GET /v1/jobs."""

from __future__ import annotations

from fastapi import APIRouter

from haulm.jobs.gaps.list_jobs import GapJob, list_jobs
from haulm.jobs.gaps.standing_gaps import days_written
from haulm.jobs.growing.due_work import Task
from haulm.rest.wire import Shape, TheDesk
from haulm.web.audience import Audience, only_for
from haulm.web.kept import kept

router = APIRouter(tags=["jobs"])


class PartClosedShape(Shape):
    """A gap of which a job closes a part: the share of what it lacks on average."""

    gap: str
    share: float


class GapJobShape(Shape):
    """One thing to do that closes gaps, or is the best for them.

    `gap` is the gap whose recommended way it is, `closes` are all that it is for, `helps` those of which it closes a
    part. `sentence` names no customer, `whose` does. `missed` says a day that has passed and what is left; empty where
    none has. `week_minor` is what a week's waiting costs, `loses_minor` what is lost if nothing is done.
    """

    gap: str
    closes: list[str]
    helps: list[PartClosedShape]
    date: str
    pending: bool
    sentence: str
    whose: str
    missed: str
    week_minor: int
    loses_minor: int
    wedding: bool


class WorkShape(Shape):
    """Work of one sort that is due on the farm: its first day, and all of it in a sentence."""

    work: str
    date: str
    sentence: str


class JobsShape(Shape):
    """What closes gaps, the dearest to wait with first; what is due on the farm in the coming week, by day."""

    currency: str
    jobs: list[GapJobShape]
    work: list[WorkShape]


@router.get("/v1/jobs", dependencies=[only_for(Audience.OWNER), kept(days_written)])
def jobs(desk: TheDesk) -> JobsShape:
    """The jobs of the farm: what to do, by when, for whom, over all gaps that it closes."""
    found = list_jobs(desk)
    return JobsShape(
        currency=desk.store.farm().site.currency,
        jobs=[_gap_job(job) for job in found.gap_jobs],
        work=[_work(task) for task in found.work],
    )


def _gap_job(job: GapJob) -> GapJobShape:
    return GapJobShape(
        gap=job.gap.gap.key,
        closes=list(job.covers),
        helps=[PartClosedShape(gap=gap, share=round(share, 4)) for gap, share in job.helps],
        date=job.day.isoformat(),
        pending=job.gap.is_pending,
        sentence=job.sentence,
        whose=job.whose,
        missed=job.missed,
        week_minor=job.week_minor,
        loses_minor=job.loses_minor,
        wedding=job.is_wedding,
    )


def _work(task: Task) -> WorkShape:
    return WorkShape(work=str(task.work), date=task.day.isoformat(), sentence=task.sentence)
