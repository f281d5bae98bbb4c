"""GET /v1/combined-plan."""

from __future__ import annotations

from typing import Any

from fastapi import APIRouter

from haulm.advice.combined import ClosedGap, OpenGap
from haulm.farm_folder.cells import values_of
from haulm.jobs.level_words import levels_in_words
from haulm.jobs.plan_season import NOT_COUNTED, plan_season
from haulm.jobs.standing_gaps import days_written
from haulm.rest.reads import Confidence
from haulm.rest.wire import Shape, TheDesk
from haulm.web.audience import Audience, only_for
from haulm.web.kept import kept

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

    `confidence` is the one asked of every line, null where each is held to its own; `levels` says it in words.
    """

    confidence: float | None
    levels: str
    currency: str
    batches: list[dict[str, Any]]
    cost_minor: int | None
    closed: list[ClosedGapShape]
    open: list[OpenGapShape]
    not_counted: str


@router.get("/v1/combined-plan", dependencies=[only_for(Audience.OWNER), kept(days_written)])
def combined(desk: TheDesk, confidence: Confidence = None) -> CombinedPlanShape:
    """The smallest set of extra batches that closes all gaps that can be closed, in the beds and benches there are."""
    found, site = plan_season(desk, confidence), desk.store.farm().site
    return CombinedPlanShape(
        confidence=found.level,
        levels=levels_in_words(site, found.level),
        currency=site.currency,
        batches=[values_of("batches", batch) for batch in found.batches],
        cost_minor=found.cost_minor,
        closed=[_closed(gap) for gap in found.closed],
        open=[_open(gap) for gap in found.open],
        not_counted=NOT_COUNTED,
    )


def _closed(closed: ClosedGap) -> ClosedGapShape:
    gap = closed.gap
    return ClosedGapShape(
        gap=gap.key,
        product=gap.asked,
        weeks=[str(week) for week in gap.weeks],
        confidence_before=round(gap.confidence, 6),
        confidence_after=round(closed.after.confidence, 6),
        missing_before=round(gap.expected_missing, 2),
        missing_after=round(closed.after.missing, 2),
    )


def _open(still: OpenGap) -> OpenGapShape:
    gap = still.gap
    return OpenGapShape(
        gap=gap.key,
        product=gap.asked,
        weeks=[str(week) for week in gap.weeks],
        lines=sorted({short.line.line for short in gap.shortfalls}),
        confidence=round(gap.confidence, 6),
        missing=round(gap.expected_missing, 2),
        reason=still.reason,
    )
