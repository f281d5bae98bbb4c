"""The year in one picture: roles or kinds by weeks, and the same in words."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Annotated, Literal

from fastapi import APIRouter, Query, Request, Response
from pydantic import BeforeValidator

from haulm.farm.words import Role
from haulm.jobs.gaps.see_year import RoleRows, Year, YearRow, see_year
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
) -> Response:
    """The picture: every role and kind, or the kinds of one role."""
    found = see_year(desk, year, unfolded=winter == "shown")
    opened = next((one for one in found.roles if one.role is role), None)
    return page(
        request,
        "year.html",
        year=found,
        opened=opened,
        shown=_address(found, role),
        months={scale.width: months(found.weeks, scale) for scale in (PHONE, DESK)},
        phone=[(row, ground(row.weeks, PHONE)) for row in _of_a_phone(found, opened)],
        desk=[
            (one, [(row, ground(row.weeks, DESK)) for row in one.kinds])
            for one in found.roles
            if opened is None or one is opened
        ],
    )


def _of_a_phone(found: Year, opened: RoleRows | None) -> Sequence[YearRow]:
    return [one.row for one in found.roles] if opened is None else opened.kinds


def _address(found: Year, role: Role | None) -> str:
    return f"/year?year={found.number}" + (f"&role={role}" if role is not None else "")
