"""GET /v1/availability."""

from __future__ import annotations

from typing import Annotated

from fastapi import APIRouter, Query

from haulm.farm.weeks import Week
from haulm.farm.words import Weekday
from haulm.jobs.growing.show_evidence import ShownEvidence, show_evidence
from haulm.jobs.promises.list_availability import MOST_WEEKS, AvailabilityAsked, AvailabilityRow, list_availability
from haulm.rest.reads import Confidence, product_of, week_of
from haulm.rest.wire import Shape, TheDesk
from haulm.web.audience import Audience, only_for
from haulm.web.kept import kept

router = APIRouter(tags=["availability"])


class AvailabilityRowShape(Shape):
    """One product in one week; dried stock has no week."""

    product: str
    week: str | None
    ready_p10: int
    ready_p50: int
    ready_p90: int
    committed: int
    free_to_promise: int
    hope_to_offer: int
    shared: bool


class MovedShape(Shape):
    """A batch whose records moved the forecast of others; days later are positive."""

    batch: str
    records: list[str]
    late_days: float
    others_days: float
    effective_seasons: int


class EvidenceShape(Shape):
    """What the records did to the forecast: how many seasons it is still worth, and which records moved it."""

    effective_seasons: int
    is_drawn_again: bool
    moved_by: list[MovedShape]
    shared_out: dict[str, list[str]]


class AvailabilityShape(Shape):
    """What is ready, promised and free, by product and week; `hope_confidence` is the level of `hope_to_offer`."""

    confidence: float
    hope_confidence: float
    weeks: list[str]
    rows: list[AvailabilityRowShape]
    evidence: EvidenceShape


@router.get("/v1/availability", dependencies=[only_for(Audience.HAND), kept()])
def availability(
    desk: TheDesk,
    first: Annotated[str | None, Query(alias="from", description="An ISO week; this week unless said.")] = None,
    weeks: Annotated[int, Query(ge=1, le=MOST_WEEKS)] = 8,
    confidence: Confidence = None,
    product: Annotated[str | None, Query(description="One product, such as lagurus or lagurus:dried.")] = None,
    weekday: Annotated[Weekday | None, Query(description="The due weekday; the best delivery day unless said.")] = None,
) -> AvailabilityShape:
    """What may be promised, by product and week.

    `ready_*` are stems by the week of their first usable due date. `free_to_promise` is for a new line due on the best
    of the farm's delivery days in that week (or `weekday`), every line keeping what it has; `hope_to_offer` is the same
    at the lower `hope_confidence`, not promised, and never added to it. Cells do not add up: after each acceptance they
    are worked out anew, and `shared` marks stems that several weeks offer. `evidence` names the records that moved the
    forecast.
    """
    site = desk.store.farm().site
    asked = AvailabilityAsked(
        first=week_of(first, Week.of(desk.today())),
        weeks=weeks,
        confidence=confidence if confidence is not None else site.free_level,
        weekday=weekday,
        product=product_of(product),
    )
    rows = list_availability(desk, asked)
    return AvailabilityShape(
        confidence=asked.confidence,
        hope_confidence=asked.levels[1],
        weeks=[str(asked.first.plus(n)) for n in range(weeks)],
        rows=[_row(row) for row in rows],
        evidence=_evidence(show_evidence(desk.plan())),
    )


def _evidence(shown: ShownEvidence) -> EvidenceShape:
    return EvidenceShape(
        effective_seasons=round(shown.effective_seasons),
        is_drawn_again=shown.is_drawn_again,
        moved_by=[
            MovedShape(
                batch=moved.batch,
                records=list(moved.records),
                late_days=round(moved.late_days, 1),
                others_days=round(moved.others_days, 1),
                effective_seasons=round(moved.effective_seasons),
            )
            for moved in shown.moved_by
        ],
        shared_out={record: list(batches) for record, batches in shown.shared_out.items()},
    )


def _row(row: AvailabilityRow) -> AvailabilityRowShape:
    p10, p50, p90 = row.ready
    return AvailabilityRowShape(
        product=str(row.product),
        week=None if row.week is None else str(row.week),
        ready_p10=p10,
        ready_p50=p50,
        ready_p90=p90,
        committed=row.committed,
        free_to_promise=row.free_to_promise,
        hope_to_offer=row.hope_to_offer,
        shared=row.shared,
    )
