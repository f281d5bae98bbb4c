"""POST and GET /v1/combined-plan: asked for, worked out in the background, fetched."""

from __future__ import annotations

from fastapi import APIRouter

from haulm.advice.season_plan import ClosedThen, OpenThen
from haulm.farm.moments import moment_text
from haulm.farm_folder.cells import values_of
from haulm.jobs.desk.desk import Desk
from haulm.jobs.desk.level_words import levels_in_words
from haulm.jobs.gaps.plan_season import NOT_COUNTED, SeasonAnswer, ask_season_plan, season_plan_kept
from haulm.rest.reads import Confidence
from haulm.rest.row_schemas import BatchToSow
from haulm.rest.wire import Shape, TheDesk
from haulm.web.audience import Audience, only_for

router = APIRouter(tags=["shortfalls"])


class ClosedGapShape(Shape):
    """A gap that the plan closes, by one match of the farm with all its batches."""

    gap: str
    product: str
    weeks: list[str]
    confidence_before: float
    confidence_after: float
    missing_before: float
    missing_after: float


class OpenGapShape(Shape):
    """What is still short with the plan's batches, under the key it then has in the list of shortfalls, and why."""

    gap: str
    product: str
    weeks: list[str]
    lines: list[str]
    confidence: float
    missing: float
    reason: str


class CombinedPlanShape(Shape):
    """The fewest batches that close every gap that batches can close. Each can be posted to /v1/batches as it is.

    `confidence` is the one asked of every line, null where each is held to its own; `levels` says it in words. The plan
    is that of `as_of`, null until it was first worked out; `overtaken` where the farm or the day is another since.
    `pending` while it is worked out for the farm as it is now: `looked_at` of `gaps` gaps, null before it is begun.
    """

    confidence: float | None
    levels: str
    pending: bool
    looked_at: int | None
    gaps: int | None
    as_of: str | None
    overtaken: bool
    currency: str
    batches: list[BatchToSow]
    cost_minor: int | None
    closed: list[ClosedGapShape]
    open: list[OpenGapShape]
    not_counted: str


@router.post("/v1/combined-plan", status_code=202, dependencies=[only_for(Audience.OWNER)])
def ask_combined(desk: TheDesk, confidence: Confidence = None) -> CombinedPlanShape:
    """Have the combined plan worked out for the farm as it is now; asked again while it is, it is the same job."""
    return _shape(desk, ask_season_plan(desk, confidence))


@router.get("/v1/combined-plan", dependencies=[only_for(Audience.OWNER)])
def combined(desk: TheDesk, confidence: Confidence = None) -> CombinedPlanShape:
    """The smallest set of extra batches that closes all gaps that can be closed, as it was last worked out."""
    return _shape(desk, season_plan_kept(desk, confidence))


def _shape(desk: Desk, found: SeasonAnswer) -> CombinedPlanShape:
    site, plan = desk.store.farm().site, found.plan
    looked_at, gaps = found.progress or (None, None)
    return CombinedPlanShape(
        confidence=found.level,
        levels=levels_in_words(site, found.level),
        pending=found.is_pending,
        looked_at=looked_at,
        gaps=gaps,
        as_of=None if found.as_of is None else moment_text(found.as_of),
        overtaken=found.is_overtaken,
        currency=site.currency,
        batches=[] if plan is None else [values_of("batches", one.batch) for one in plan.sowings],
        cost_minor=None if plan is None else plan.cost_minor,
        closed=[] if plan is None else [_closed(one) for one in plan.closed],
        open=[] if plan is None else [_open(one) for one in plan.open],
        not_counted=NOT_COUNTED,
    )


def _closed(closed: ClosedThen) -> ClosedGapShape:
    gap = closed.gap
    return ClosedGapShape(
        gap=gap.name,
        product=gap.asked,
        weeks=[str(week) for week in gap.weeks],
        confidence_before=round(gap.confidence, 6),
        confidence_after=round(closed.confidence, 6),
        missing_before=round(gap.missing, 2),
        missing_after=round(closed.missing, 2),
    )


def _open(still: OpenThen) -> OpenGapShape:
    gap = still.gap
    return OpenGapShape(
        gap=gap.name,
        product=gap.asked,
        weeks=[str(week) for week in gap.weeks],
        lines=list(gap.lines),
        confidence=round(gap.confidence, 6),
        missing=round(gap.missing, 2),
        reason=still.reason,
    )
