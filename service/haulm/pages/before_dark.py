"""Frost tonight, heat or hail to come: what to cut and cover before dark, on a page and, for a tap, as a letter."""

from __future__ import annotations

from fastapi import APIRouter, Request, Response

from haulm.errors import NotAccepted
from haulm.farm.words import Threat
from haulm.jobs.desk.desk import Desk
from haulm.jobs.field.cut_before_dark import COLD_NAMES, BeforeDark, cut_before_dark
from haulm.jobs.field.tell_before_dark import tell_before_dark
from haulm.pages.doing import PageDesk, PageRoute, TheForm, carried_out, desk_of
from haulm.pages.look import back_to, page
from haulm.web.audience import Audience, only_for

router = APIRouter(include_in_schema=False, route_class=PageRoute, dependencies=[only_for(Audience.HAND)])


@router.get("/tonight")
def tonight(request: Request, desk: PageDesk, threat: str = "", cold: str = "") -> Response:
    """What may come, and where it was said what to do first."""
    found = _found(desk, threat, cold) if threat else None
    asked = {"threat": threat, "cold": cold}
    return page(request, "before_dark.html", found=found, colds=COLD_NAMES, asked=asked)


@router.post("/tonight")
def told(request: Request, form: TheForm) -> Response:
    """Send it as a letter to the farm."""
    threat, cold = form.get("threat", ""), form.get("cold", "")
    found = _found(desk_of(request), threat, cold)
    carried_out(request, form, lambda work: tell_before_dark(work, found))
    return back_to(f"/tonight?threat={found.threat}" + (f"&cold={found.min_c:g}" if found.min_c else ""), "on_its_way")


def _found(desk: Desk, threat: str, cold: str) -> BeforeDark:
    if threat not in tuple(Threat):
        raise NotAccepted(where="what comes", found=f"'{threat[:20]}'", accepted="frost, heat or hail")
    try:
        min_c = float(cold) if cold else None
    except ValueError:
        raise NotAccepted(where="how cold it gets", found=f"'{cold[:20]}'", accepted="a number such as -3") from None
    return cut_before_dark(desk, Threat(threat), min_c)
