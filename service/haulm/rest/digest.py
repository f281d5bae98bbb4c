"""GET /v1/digest."""

from __future__ import annotations

from fastapi import APIRouter

from haulm.jobs.warning.digest_text import digest_text
from haulm.jobs.warning.send_digest import last_letter
from haulm.jobs.warning.warn_early import Alert, Digest, warn_early
from haulm.rest.shortfalls import OptionShape, option_shape
from haulm.rest.wire import Shape, TheDesk
from haulm.web.audience import Audience, only_for

router = APIRouter(tags=["digest"])


class AlertShape(Shape):
    """A gap, the day to decide, and the one best thing to do."""

    gap: str
    product: str
    change: str
    grave: bool
    weeks: list[str]
    missing: float
    confidence: float
    decide_by: str | None
    best: OptionShape | None


class TaskShape(Shape):
    """Something due on the farm."""

    date: str
    sentence: str


class DigestShape(Shape):
    """The early warning, as text and as values."""

    date: str
    levels: str
    text: str
    gaps: list[AlertShape]
    more_gaps: int
    tasks: list[TaskShape]
    closed: list[str]
    notes: list[str]


@router.get("/v1/digest", dependencies=[only_for(Audience.OWNER)])
def digest(desk: TheDesk) -> DigestShape:
    """What the grower should hear today: gaps by the day to act with the best option each, and the week's tasks."""
    return _shape(warn_early(desk, last_letter(desk)))


def _shape(found: Digest) -> DigestShape:
    return DigestShape(
        date=found.day.isoformat(),
        levels=found.levels,
        text=digest_text(found),
        gaps=[_alert(alert) for alert in found.alerts],
        more_gaps=found.more_gaps,
        tasks=[TaskShape(date=task.day.isoformat(), sentence=task.sentence) for task in found.tasks],
        closed=list(found.closed),
        notes=list(found.notes),
    )


def _alert(alert: Alert) -> AlertShape:
    return AlertShape(
        gap=alert.gap.key,
        product=alert.gap.asked,
        change=alert.change,
        grave=alert.is_grave,
        weeks=[str(week) for week in alert.gap.weeks],
        missing=round(alert.gap.expected_missing, 2),
        confidence=round(alert.gap.confidence, 6),
        decide_by=None if alert.decide_by is None else alert.decide_by.isoformat(),
        best=None if alert.best is None else option_shape(alert.best),
    )
