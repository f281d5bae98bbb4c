"""The year in one picture: roles or kinds by weeks, and the same in words."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Annotated, Literal
from urllib.parse import urlencode

from fastapi import APIRouter, Query, Request, Response
from pydantic import BeforeValidator

from haulm.farm.words import Role
from haulm.jobs.gaps.see_year import GroupRows, Year, YearRow, see_year
from haulm.pages.doing import PageDesk, PageRoute
from haulm.pages.look import page
from haulm.pages.season_drawing import DESK, PHONE, ground, months
from haulm.web.audience import Audience, only_for
from haulm.web.kept import kept

router = APIRouter(include_in_schema=False, route_class=PageRoute, dependencies=[only_for(Audience.OWNER)])


@router.get("/year", dependencies=[kept()])
def year(
    request: Request,
    desk: PageDesk,
    year: Annotated[int | None, Query(ge=1900, le=9999)] = None,
    role: Annotated[Role | None, BeforeValidator(lambda said: said or None)] = None,
    winter: Literal["folded", "shown"] = "folded",
    by: Literal["role", "colour"] = "role",
) -> Response:
    """The picture: every role or colour with its kinds, or the kinds of one of them."""
    found = see_year(desk, year, unfolded=winter == "shown", by_colour=by == "colour")
    named = request.query_params.get("colour") if by == "colour" else role
    opened = next((one for one in found.groups if one.name == named), None)
    return page(
        request,
        "year.html",
        year=found,
        opened=opened,
        shown=_address(found, by, opened),
        by=by,
        months={scale.width: months(found.weeks, scale) for scale in (PHONE, DESK)},
        phone=[(row, ground(row.weeks, PHONE)) for row in _of_a_phone(found, opened)],
        desk=[
            (one, [(row, ground(row.weeks, DESK)) for row in one.kinds])
            for one in found.groups
            if opened is None or one is opened
        ],
    )


def _of_a_phone(found: Year, opened: GroupRows | None) -> Sequence[YearRow]:
    return [one.row for one in found.groups] if opened is None else opened.kinds


def _address(found: Year, by: str, opened: GroupRows | None) -> str:
    asked = {"year": str(found.number)} | ({"by": by} if by != "role" else {})
    return f"/year?{urlencode(asked if opened is None else {**asked, by: opened.name})}"
