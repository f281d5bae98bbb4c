"""Usual sales: what is hoped for, apart from what is promised; entered, changed, taken back and put back."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from functools import partial

from fastapi import APIRouter, Request, Response

from haulm.errors import HaulmError
from haulm.farm.products import Choice
from haulm.farm.usual_sales import UsualSale
from haulm.farm.weeks import Week
from haulm.farm.words import Role, Weekday
from haulm.farm_folder.faults import FolderRefused
from haulm.jobs.desk.desk import Desk
from haulm.jobs.desk.money_words import amount_text, minor_from
from haulm.jobs.desk.seen import Seen
from haulm.jobs.farm.change_rows import RowAsked, add_row, change_row, row_of
from haulm.jobs.farm.take_back_row import put_back_row, take_back_row
from haulm.jobs.gaps.add_usual_sale import add_as_last_year
from haulm.jobs.gaps.see_usual_sales import SOURCE_WORDS, see_hoped_sowings, see_usual_sales
from haulm.jobs.gaps.sow_hoped import sow_hoped
from haulm.pages.doing import (
    FIRST_SIGHT,
    Form,
    NotDone,
    PageDesk,
    PageRoute,
    TheForm,
    carried_out,
    done_as_seen,
)
from haulm.pages.drawing import columns
from haulm.pages.look import back_to, page, short_day
from haulm.store.errors import VersionStale
from haulm.store.unit_of_work import UnitOfWork
from haulm.web.audience import Audience, only_for
from haulm.web.problems import status_of

router = APIRouter(include_in_schema=False, route_class=PageRoute, dependencies=[only_for(Audience.OWNER)])

_SALES, _LIST = "usual_sales", "/usual-sales"
_FIELDS = {"product": "grown", "choice": "role", "stem_price_minor": "price"}
"""The field of the form for a column that has another name there."""


@router.get("/usual-sales")
def usual_sales(request: Request, desk: PageDesk) -> Response:
    """Every usual sale with what it would get, what beds bring, and the form for one more."""
    return _list(request, desk, {})


@router.post("/usual-sales")
def enter(request: Request, desk: PageDesk, form: TheForm) -> Response:
    """Enter a usual sale; what is refused stays in the form, each sentence beside its field."""
    asked = RowAsked(_SALES, _values(desk, form))
    try:
        carried_out(request, form, lambda work: add_row(desk, work, asked) and None)
    except HaulmError as refusal:
        return _list(request, desk, form, refusal)
    return back_to(_LIST, "sale_entered")


@router.post("/usual-sales/as-last-year")
def enter_as_last_year(request: Request, desk: PageDesk, form: TheForm) -> Response:
    """Enter what a line of last year suggests."""
    carried_out(request, form, lambda work: add_as_last_year(desk, work, form.get("line", "")) and None)
    return back_to(_LIST, "sale_entered")


@router.get("/hoped-sowings")
def hoped_sowings(request: Request, desk: PageDesk) -> Response:
    """Extra sowings that usual sales would pay for: hoped for, no gap's and no job."""
    return _sowings(request, desk, FIRST_SIGHT)


@router.post("/hoped-sowings/{variety}")
def sow_it(request: Request, desk: PageDesk, variety: str, form: TheForm) -> Response:
    """Put one of them into the plan, exactly as it was shown; a second tap adds nothing."""

    def sown(work: UnitOfWork, seen: Seen) -> None:
        sow_hoped(desk, work, variety, seen)

    return done_as_seen(
        request, form, sown, (partial(_sowings, request, desk), lambda: back_to("/hoped-sowings", "added"))
    )


@router.get("/usual-sales/{key}")
def one_sale(request: Request, desk: PageDesk, key: str) -> Response:
    """One usual sale, to be changed or taken back."""
    return _one(request, desk, key, _form_of(desk, key))


@router.post("/usual-sales/{key}")
def change(request: Request, desk: PageDesk, key: str, form: TheForm) -> Response:
    """Change a usual sale; what is refused stays in the form, also what was typed over somebody else's change."""
    asked = RowAsked(_SALES, _values(desk, form))
    try:
        carried_out(request, form, lambda work: change_row(desk, work, key, asked, expected=_version(form)) and None)
    except HaulmError as refusal:
        return _one(request, desk, key, form, refusal)
    return back_to(_LIST, "changed")


@router.post("/usual-sales/{key}/take-back")
def take_back(request: Request, key: str, form: TheForm) -> Response:
    """Take a usual sale back, as if it had never been entered."""
    carried_out(request, form, lambda work: take_back_row(work, _SALES, key) and None)
    return back_to(_LIST, "sale_taken_back")


@router.post("/usual-sales/{key}/put-back")
def put_back(request: Request, desk: PageDesk, key: str, form: TheForm) -> Response:
    """Enter a usual sale again that was taken back."""
    carried_out(request, form, lambda work: put_back_row(desk, work, _SALES, key) and None)
    return back_to(_LIST, "sale_entered")


def _sowings(request: Request, desk: Desk, why: NotDone) -> Response:
    """The page of extra sowings, and above it why nothing was done, where something was to be."""
    currency = desk.store.farm().site.currency
    return page(
        request, "hoped_sowings.html", status=why.status, found=see_hoped_sowings(desk), currency=currency, why=why
    )


def _list(request: Request, desk: Desk, typed: Form, refusal: HaulmError | None = None) -> Response:
    found = see_usual_sales(desk)
    return page(
        request,
        "usual_sales.html",
        status=200 if refusal is None else status_of(type(refusal), request.app.state.statuses),
        found=found,
        drawn=columns([(short_day(week.monday), round(minor)) for week, minor in found.weeks]),
        **_about_form(desk, typed, refusal),
    )


def _one(request: Request, desk: Desk, key: str, typed: Form, refusal: HaulmError | None = None) -> Response:
    return page(
        request,
        "usual_sale.html",
        status=200 if refusal is None else status_of(type(refusal), request.app.state.statuses),
        row=row_of(desk.store.farm(), _SALES, key),
        **_about_form(desk, typed, refusal),
    )


def _about_form(desk: Desk, typed: Form, refusal: HaulmError | None) -> Mapping[str, object]:
    """What the form shows: what there is to choose from, what was typed, and what is wrong beside its field."""
    farm = desk.store.farm()
    faults = refusal.faults if isinstance(refusal, FolderRefused) else ()
    beside: dict[str, str] = {}
    for fault in faults:
        name = _FIELDS.get(fault.column or "", fault.column or "grown")
        said = "Nothing is written here" if fault.found == "nothing" else f"Found {fault.found}"
        beside.setdefault(name, f"{said}; accepted is {fault.accepted}.")
    return {
        "own": sorted((row.name, row.key) for row in farm.varieties),
        "roles": tuple(Role),
        "sources": tuple(SOURCE_WORDS.items()),
        "weekdays": [(day, day.full_name) for day in Weekday],
        "buyers": sorted((row.name, row.key) for row in farm.customers),
        "money": farm.site.currency,
        "typed": typed,
        "faults": beside,
        "wrong": None if faults else refusal,
        "is_stale": isinstance(refusal, VersionStale),
    }


def _values(desk: Desk, form: Form) -> dict[str, object]:
    """The row's values as typed; an empty field says nothing."""
    price = form.get("price", "")
    return {
        "source": form.get("source", ""),
        "product": form.get("grown", ""),
        "choice": "" if form.get("grown") else _choice(form),
        "stems": form.get("stems", "").replace(",", "").replace(" ", ""),
        "first_week": _week(form.get("first_week", "")),
        "last_week": _week(form.get("last_week", "")),
        "weekday": form.get("weekday", ""),
        "stem_price_minor": minor_from(price, desk.store.farm().site.currency) if price else "",
        "customer": form.get("customer", ""),
        "note": form.get("note", ""),
    }


def _choice(form: Form) -> str:
    """The choice of a role and colours typed with commas or blanks between them."""
    role, colours = form.get("role", ""), form.get("colours", "").replace(",", " ").split()
    parts = (f"role={role}" if role else "", f"colour={'|'.join(colours)}" if colours else "")
    return " ".join(filter(None, parts))


def _week(text: str) -> str:
    """The week of a day; what is no day stays as it was typed."""
    try:
        return str(Week.of(date.fromisoformat(text)))
    except ValueError:
        return text


def _form_of(desk: Desk, key: str) -> Form:
    """A row as its form shows it."""
    farm = desk.store.farm()
    row: UsualSale = row_of(farm, _SALES, key)
    choice = row.choice or Choice()
    price = row.stem_price_minor
    return {
        "source": row.source,
        "grown": "" if row.product is None else str(row.product),
        "role": choice.roles[0] if choice.roles else "",
        "colours": ", ".join(choice.colours),
        "stems": str(row.stems),
        "first_week": row.first_week.monday.isoformat(),
        "last_week": row.last_week.monday.isoformat(),
        "weekday": row.weekday or "",
        "price": "" if price is None else amount_text(price, farm.site.currency),
        "customer": row.customer or "",
        "note": row.note,
        "version": str(desk.store.row_version(_SALES, key) or 0),
    }


def _version(form: Form) -> int | None:
    text = form.get("version", "")
    return int(text) if text.isascii() and text.isdigit() and len(text) < 16 else None
