"""GET /v1/tonight: frost, heat or hail to come."""

from __future__ import annotations

from typing import Annotated

from fastapi import APIRouter, Query
from pydantic import Field

from haulm.farm.words import Threat
from haulm.jobs.field.cut_before_dark import BeforeDark, cut_before_dark
from haulm.rest.warnings import WarnedShape, warned_shapes
from haulm.rest.wire import Shape, TheDesk
from haulm.web.audience import Audience, only_for

router = APIRouter(tags=["field"])


class CutTonightShape(Shape):
    """A kind to cut, in words."""

    name: str
    beds: str
    stands: str
    keeps: str
    by_day: str
    for_whom: list[str]
    rest: str


class TonightShape(Shape):
    """What to do before it comes; sentences with the names of customers."""

    threat: str
    min_c: float | None = Field(description="How cold it gets [deg C]; null where that does not matter.")
    day: str
    head: str
    cut: list[CutTonightShape]
    cover: list[str]
    lost: str | None
    rescued: list[str] = Field(description="Promises that only the cutting keeps as sure as they are.")
    struck: list[str] = Field(description="Promises that are less sure even if all is cut, the most first.")
    closed: list[str]
    general: list[str]
    take_care: list[WarnedShape]


@router.get("/v1/tonight", dependencies=[only_for(Audience.HAND)])
def tonight(
    desk: TheDesk,
    threat: Threat = Threat.FROST,
    min_c: Annotated[float | None, Query(description="How cold it gets [deg C]; -1 unless said.")] = None,
) -> TonightShape:
    """What to cut before dark, which promises it fills, how long it keeps, and what to cover; nothing is written."""
    return _shape(cut_before_dark(desk, threat, min_c))


def _shape(found: BeforeDark) -> TonightShape:
    return TonightShape(
        threat=str(found.threat),
        min_c=found.min_c,
        day=found.day.isoformat(),
        head=found.head,
        cut=[
            CutTonightShape(
                name=row.name,
                beds=row.beds,
                stands=row.stands,
                keeps=row.keeps,
                by_day=row.by_day,
                for_whom=list(row.for_whom),
                rest=row.rest,
            )
            for row in found.cut
        ],
        cover=list(found.cover),
        lost=found.lost,
        rescued=[named for named, _ in found.rescued],
        struck=[*(named for named, _ in found.struck), *found.more_struck],
        closed=list(found.closed),
        general=list(found.general),
        take_care=warned_shapes(found.warned),
    )
