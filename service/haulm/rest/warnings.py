"""GET /v1/warnings/{place}, and the shape of a warning wherever one is sent."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Annotated

from fastapi import APIRouter, Query

from haulm.farm.place_words import Place
from haulm.farm.warnings import Warned
from haulm.jobs.farm.see_warnings import see_warnings
from haulm.rest.wire import Shape, TheDesk
from haulm.web.audience import Audience, only_for

router = APIRouter(tags=["warnings"])


class WarnedShape(Shape):
    """What is to be said of some kinds at a place: how bad the worst is, and sentences, the worst first."""

    kinds: list[str]
    severity: str
    sentences: list[str]


class WarningsShape(Shape):
    """What is to be said at a place: always, of hazards, and apart from them of handling and of weeds."""

    place: str
    general: list[str]
    take_care: list[WarnedShape]
    handling: list[str]
    weeds: list[str]


def warned_shapes(warned: Iterable[Warned]) -> list[WarnedShape]:
    """Warnings as they are sent."""
    return [
        WarnedShape(kinds=list(one.kinds), severity=one.severity.name.lower(), sentences=list(one.sentences))
        for one in warned
    ]


@router.get("/v1/warnings/{place}", dependencies=[only_for(Audience.HAND)])
def warnings(
    desk: TheDesk,
    place: Place,
    variety: Annotated[
        list[str] | None, Query(description="A variety; may be given again. All that the farm grows unless said.")
    ] = None,
) -> WarningsShape:
    """What the hazards of the farm's kinds ask for where somebody acts: each kind once, the worst first."""
    found = see_warnings(desk, place, variety or ())
    return WarningsShape(
        place=str(found.place),
        general=list(found.general),
        take_care=warned_shapes(found.warned),
        handling=list(found.handling),
        weeds=list(found.weeds),
    )
