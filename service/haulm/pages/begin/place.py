"""The first step: the place by its name, and the months and frost days proposed for it, to look at and correct."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from typing import Annotated

from fastapi import APIRouter, Query, Request, Response
from fastapi.responses import RedirectResponse

from haulm.errors import HaulmError, NotAccepted
from haulm.farm.faults import Fault
from haulm.farm.site import MonthDay, Site
from haulm.farm.words import Weekday
from haulm.farm_folder.faults import FolderRefused
from haulm.farm_folder.sheet_values import quantity_of
from haulm.forecast.inputs import DateLevels
from haulm.gazetteer.places import Place, places_named
from haulm.jobs.desk.desk import Desk
from haulm.jobs.farm.found_farm import Founding, found_farm
from haulm.jobs.farm.propose_place import ProposedPlace, propose_place
from haulm.language.days import short_month
from haulm.pages.begin.steps import STEPS, step_page
from haulm.pages.doing import Form, PageDesk, PageRoute, TheForm, carried_out
from haulm.pages.look import HEADERS
from haulm.web.audience import Audience, only_for

router = APIRouter(include_in_schema=False, route_class=PageRoute, dependencies=[only_for(Audience.OWNER)])

PLACE = 0
_MONTHS = range(1, 13)
_CUT = "cut-"
_HER_OWN = ("name", "currency")
"""What does not move with the height."""
_USUAL_CUT_DAYS = (Weekday.MON, Weekday.THU)
_SPRING, _AUTUMN = "last", "first"


@router.get("/begin")
def where(request: Request, desk: PageDesk, place: str = "") -> Response:
    """Where the farm is: a name typed, and the places of that name to choose from."""
    found: tuple[Place, ...] = ()
    refusal = None
    if place:
        try:
            found = places_named(place)
        except NotAccepted as wrong:
            refusal = wrong
    return step_page(request, PLACE, "begin_place.html", refusal=refusal, typed=place, found=found, site=_site(desk))


@router.get("/begin/place/{number}")
def proposed(request: Request, desk: PageDesk, number: int, height: Annotated[str, Query()] = "") -> Response:
    """What is proposed for a place, at a height if she says one; what else she typed meanwhile stays."""
    typed = {name: text for name, text in request.query_params.items() if name in _HER_OWN or name.startswith(_CUT)}
    try:
        found = propose_place(number, desk.today(), height_m=_height(height))
    except NotAccepted as refusal:
        found = propose_place(number, desk.today())
        return _months(request, desk, found, {**typed, "height": height}, refusal)
    return _months(request, desk, found, typed)


@router.post("/begin/place/{number}")
def found_at(request: Request, desk: PageDesk, number: int, form: TheForm) -> Response:
    """Found the farm there, or move it there."""
    site, today = _site(desk), desk.today()
    found = propose_place(number, today)
    try:
        found = propose_place(number, today, height_m=_height(form.get("height", "")))
        said = _said(form, found, today)
        carried_out(request, form, lambda work: found_farm(work, found, said, before=site, today=today) and None)
    except (NotAccepted, FolderRefused) as refusal:
        return _months(request, desk, found, form, refusal)
    return RedirectResponse(STEPS[PLACE + 1].path, status_code=303, headers=HEADERS)


def _months(
    request: Request, desk: Desk, found: ProposedPlace, typed: Form, refusal: HaulmError | None = None
) -> Response:
    site = _site(desk)
    usual = _shown(found, site, desk.today())
    # A tick that was taken away is not sent.
    shown = {
        **({name: text for name, text in usual.items() if not name.startswith(_CUT)} if "name" in typed else usual),
        **typed,
    }
    return step_page(
        request,
        PLACE,
        "begin_months.html",
        refusal=refusal,
        found=found,
        typed=shown,
        site=site,
        months=[short_month(date(2027, month, 1)) for month in _MONTHS],
        days=_frost_days(found, desk.today()),
        weekdays=[(f"{_CUT}{day}", day.full_name) for day in Weekday],
    )


def _shown(found: ProposedPlace, site: Site | None, today: date) -> dict[str, str]:
    """What stands in the form before she types: the proposal, and of a farm that is there its name and money."""
    climate = found.climate
    values = {f"min_{month}": f"{climate.min_c[month - 1]:g}" for month in _MONTHS}
    values |= {f"max_{month}": f"{climate.max_c[month - 1]:g}" for month in _MONTHS}
    values |= {name: day.isoformat() for name, (_, day, _late) in _frost_days(found, today).items()}
    cut_days = _USUAL_CUT_DAYS if site is None else site.cut_days
    values |= {f"{_CUT}{day}": "yes" for day in cut_days}
    name = "" if site is None else site.name
    currency = found.place.currency if site is None else site.currency
    return {**values, "height": str(found.height_m), "name": name, "currency": currency}


def _frost_days(found: ProposedPlace, today: date) -> dict[str, tuple[date, date, date]]:
    """The three days of either frost in this year; none where most winters have no frost."""
    both = {_SPRING: found.last_frost, _AUTUMN: found.first_frost}
    return {
        f"{name}_frost": _in_year(levels, today.year)
        for name, levels in both.items()
        if levels is not None and all(both.values())
    }


def _in_year(levels: DateLevels, year: int) -> tuple[date, date, date]:
    early, middle, late = (MonthDay(*level).in_year(year) for level in (levels.p10, levels.p50, levels.p90))
    return early, middle, late


def _said(form: Form, found: ProposedPlace, today: date) -> Founding:
    """What the form says of the farm.

    Raises:
        FolderRefused: every field that cannot be read, each by its name.
    """
    faults: list[Fault] = []
    low, high = (tuple(_degrees(form, f"{end}_{month}", faults) for month in _MONTHS) for end in ("min", "max"))
    shown = {name: days[1] for name, days in _frost_days(found, today).items()}
    days = {name: _moved_day(form, name, shown, faults) for name in ("last_frost", "first_frost")}
    if faults:
        raise FolderRefused(faults=tuple(faults))
    currency = form.get("currency", "").upper()
    cut_days = tuple(day for day in Weekday if form.get(f"{_CUT}{day}"))
    return Founding(form.get("name", ""), currency, low, high, cut_days, days["last_frost"], days["first_frost"])


def _degrees(form: Form, name: str, faults: list[Fault]) -> float:
    text = form.get(name, "")
    found = quantity_of(text.replace("\N{MINUS SIGN}", "-"))
    if found is None:
        faults.append(Fault("site", None, name, f"'{text}'", "degrees Celsius such as -1.5"))
        return 0.0
    return found.number


def _moved_day(form: Form, name: str, shown: Mapping[str, date], faults: list[Fault]) -> MonthDay | None:
    """The day she says where it is another than was shown."""
    text = form.get(name, "")
    if name not in shown or not text:
        return None
    try:
        day = date.fromisoformat(text)
    except ValueError:
        faults.append(Fault("site", None, name, f"'{text}'", "a day of the calendar"))
        return None
    return None if day == shown[name] else MonthDay(day.month, day.day)


def _height(text: str) -> int | None:
    if not text:
        return None
    found = quantity_of(text)
    if found is None or found.unit not in ("", "m", "metres", "meters") or abs(found.number) > 9999:
        raise NotAccepted(where="the height", found=f"'{text[:40]}'", accepted="metres such as 120")
    return round(found.number)


def _site(desk: Desk) -> Site | None:
    return None if desk.store.is_empty() else desk.store.farm().site
