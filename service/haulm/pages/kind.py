"""One kind over the year: what is there against what is promised; a sowing tried on the picture writes nothing."""

from __future__ import annotations

from fastapi import APIRouter, Request, Response

from haulm.jobs.farm.sow_in_rhythm import ANY_BED
from haulm.jobs.gaps.see_kind import SeenKind, see_kind, with_sowing
from haulm.jobs.gaps.see_year import YearRow
from haulm.language.words import _
from haulm.pages.doing import PageDesk, PageRoute
from haulm.pages.drawing import panels
from haulm.pages.look import page
from haulm.pages.rhythm import METHODS, RhythmView, seen
from haulm.pages.season_drawing import LARGE, ground, months
from haulm.web.audience import Audience, only_for

router = APIRouter(include_in_schema=False, route_class=PageRoute, dependencies=[only_for(Audience.OWNER)])

_TYPED = ("first", "places", "method")
_PLACES = "72"


@router.get("/year/{kind}")
def kind(request: Request, desk: PageDesk, kind: str) -> Response:
    """The kind; with a sowing supposed where the address names one."""
    found = see_kind(desk, kind)
    typed = {name: request.query_params.get(name, "") for name in _TYPED}
    view = _tried(desk, found, typed)
    row = found.row if view.shown is None else with_sowing(found, view.shown.after)
    return page(
        request,
        "kind.html",
        kind=found,
        view=view,
        row=row,
        before=None if view.shown is None else found.row,
        drawn=ground(row.weeks, LARGE),
        months=months(row.weeks, LARGE),
        steps=_steps(row),
        typical=panels(found.typical),
        methods=[(method.value, _(words)) for method, words in METHODS.items()],
    )


def _tried(desk: PageDesk, found: SeenKind, typed: dict[str, str]) -> RhythmView:
    """The sowing that is tried; the form as it begins where none is."""
    if not any(typed.values()):
        usual = {"first": desk.today().isoformat(), "places": _PLACES, "method": found.method.value}
        return RhythmView(usual, None, {})
    once = {"variety": found.crop.key, "every": "1", "last": typed["first"], "bed": ANY_BED}
    return seen(desk, {**typed, **once})


def _steps(row: YearRow) -> tuple[tuple[float, int], ...]:
    """Where the figures beside a large drawing stand, and what they are: the top and its half."""
    drawn = ground(row.weeks, LARGE)
    return ((12, drawn.top), (round(drawn.floor / 2 + 5, 1), drawn.top // 2), (drawn.floor, 0))
