"""GET /v1/match."""

from __future__ import annotations

from typing import Annotated, Literal

from fastapi import APIRouter, Query
from pydantic import Field

from haulm.errors import NotAccepted
from haulm.jobs.promises.show_match import MatchedLine, show_match
from haulm.rest.asked_lines import AskedLineShape, asked_fields
from haulm.rest.reads import Day
from haulm.rest.sources import SourceShape, source_shapes
from haulm.rest.wire import Shape, TheDesk
from haulm.web.audience import Audience, only_for
from haulm.web.kept import kept

router = APIRouter(tags=["match"])


class MatchedLineShape(AskedLineShape):
    """One line of demand and what it is given."""

    stems: int
    filled: int
    sources: list[SourceShape] = Field(serialization_alias="from")
    confidence: float
    spare: int
    spare_filled: int
    spare_sources: list[SourceShape] = Field(serialization_alias="spare_from")


class MatchShape(Shape):
    """Who gets which stems in the expected season."""

    lines: list[MatchedLineShape]


@router.get("/v1/match", dependencies=[only_for(Audience.HAND), kept()])
def match(
    desk: TheDesk,
    first: Annotated[Day | None, Query(alias="from", description="First due date wanted.")] = None,
    last: Annotated[Day | None, Query(alias="to", description="Last due date wanted.")] = None,
    season: Annotated[Literal["expected"], Query(description="The season shown.")] = "expected",
) -> MatchShape:
    """Who gets which stems: every line due between two days, in the strict order.

    `filled` and `from` are those of the expected season: per product the weighted median over seasons of cumulative
    ready stems by day, rounded down, plus the stems somebody is sure of. `confidence` is over all seasons. The spare of
    a contracted line stands beside it and is in neither `stems` nor `filled`.
    """
    if first is not None and last is not None and last < first:
        raise NotAccepted(where="to", found=str(last), accepted=f"{first} or later")
    return MatchShape(lines=[_line(found) for found in show_match(desk, first, last)])


def _line(found: MatchedLine) -> MatchedLineShape:
    line = found.line
    return MatchedLineShape(
        **asked_fields(line),
        stems=line.stems,
        filled=found.filled,
        sources=source_shapes(found.sources),
        confidence=round(found.confidence, 6),
        spare=0 if found.spare is None else found.spare.stems,
        spare_filled=sum(source.stems for source in found.spare_sources),
        spare_sources=source_shapes(found.spare_sources),
    )
