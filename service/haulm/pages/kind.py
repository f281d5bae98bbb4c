"""One kind over the year: what is there against what is promised; what is supposed on the picture writes nothing."""

from __future__ import annotations

from typing import Any
from urllib.parse import urlencode

from fastapi import APIRouter, Request, Response

from haulm.farm.weeks import Week
from haulm.jobs.farm.sow_in_rhythm import ANY_BED
from haulm.jobs.gaps.see_kind import SeenKind, see_kind, with_sowing
from haulm.jobs.gaps.see_week import KindWeek, see_week
from haulm.jobs.gaps.see_year import YearRow
from haulm.language.words import _
from haulm.pages.doing import PageDesk, PageRoute
from haulm.pages.drawing import panels
from haulm.pages.look import page
from haulm.pages.rhythm import METHODS, RhythmView, seen
from haulm.pages.season_drawing import LARGE, ground, months, taps
from haulm.pages.shift import SHIFTED_BY, ShiftView, shift_view
from haulm.planning.plan import Plan
from haulm.web.audience import Audience, only_for

router = APIRouter(include_in_schema=False, route_class=PageRoute, dependencies=[only_for(Audience.OWNER)])

_TYPED = ("first", "places", "method")
_PLACES = "72"


@router.get("/year/{kind}")
def kind(request: Request, desk: PageDesk, kind: str, week: str = "") -> Response:
    """The kind; with a sowing supposed or shifted where the address names one, and a week in words where it does."""
    asked = dict(request.query_params)
    found = see_kind(desk, kind)
    view = _tried(desk, found, {name: asked.get(name, "") for name in _TYPED})
    shift = shift_view(desk, found, asked)
    after = _after(view, shift)
    row = found.row if after is None else with_sowing(found, after)
    return page(
        request,
        "kind.html",
        kind=found,
        view=view,
        shift=shift,
        row=row,
        before=None if after is None else found.row,
        week=None if not week else _week(desk, found, row, week, after),
        at=_address(row, asked),
        methods=[(method.value, _(words)) for method, words in METHODS.items()],
        typical=panels(found.typical),
        **_drawn(row),
    )


def _after(view: RhythmView, shift: ShiftView | None) -> Plan | None:
    """The plan as it is supposed; None where nothing is."""
    if shift is not None and shift.shifted is not None:
        return shift.shifted.after
    return None if view.shown is None else view.shown.after


def _tried(desk: PageDesk, found: SeenKind, typed: dict[str, str]) -> RhythmView:
    """The sowing that is tried; the form as it begins where none is."""
    if not any(typed.values()):
        usual = {"first": desk.today().isoformat(), "places": _PLACES, "method": found.method.value}
        return RhythmView(usual, None, {})
    once = {"variety": found.crop.key, "every": "1", "last": typed["first"], "bed": ANY_BED}
    return seen(desk, {**typed, **once})


def _week(desk: PageDesk, found: SeenKind, row: YearRow, week: str, after: Plan | None) -> KindWeek:
    return see_week(found, row, desk.plan() if after is None else after, Week.parse(week))


def _address(row: YearRow, asked: dict[str, str]) -> str:
    """Where a week of this very picture is told, what is supposed on it included."""
    kept = {name: asked[name] for name in (*_TYPED, *SHIFTED_BY) if asked.get(name)}
    return f"{row.path}?{urlencode(kept)}&" if kept else f"{row.path}?"


def _drawn(row: YearRow) -> dict[str, Any]:
    """The large drawing, its months, where its weeks are tapped, and the figures beside it: the top and its half."""
    drawn = ground(row.weeks, LARGE)
    steps = ((12, drawn.top), (round(drawn.floor / 2 + 5, 1), drawn.top // 2), (drawn.floor, 0))
    return {"drawn": drawn, "months": months(row.weeks, LARGE), "steps": steps, "taps": taps(row.weeks, LARGE)}
