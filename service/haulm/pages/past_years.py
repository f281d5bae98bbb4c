"""Past years: what earlier seasons gave, entered kind by kind, changed, taken back and put back."""

from __future__ import annotations

from collections.abc import Mapping

from fastapi import APIRouter, Request, Response

from haulm.errors import HaulmError
from haulm.evidence.past_years import kind_names
from haulm.farm.faults import Fault
from haulm.farm_folder.cells import values_of
from haulm.farm_folder.faults import FolderRefused
from haulm.jobs.desk.desk import Desk
from haulm.jobs.farm.change_rows import RowAsked, add_row, change_row, row_of
from haulm.jobs.farm.doubtful_records import DoubtfulRecord
from haulm.jobs.farm.list_past_years import list_past_years
from haulm.jobs.farm.method_words import METHOD_WORDS
from haulm.jobs.farm.take_back_row import put_back_row, take_back_row
from haulm.pages.doing import Form, PageDesk, PageRoute, TheForm, carried_out
from haulm.pages.look import back_to, page
from haulm.store.errors import VersionStale
from haulm.web.audience import Audience, only_for
from haulm.web.problems import status_of

router = APIRouter(include_in_schema=False, route_class=PageRoute, dependencies=[only_for(Audience.OWNER)])

_YEARS = "past_years"
_TYPED = ("year", "sow_date", "method", "first_cut", "last_cut", "stems", "plants", "note")
_KIND, _VARIETY = "kind:", "variety:"


@router.get("/past-years")
def past_years(request: Request, desk: PageDesk) -> Response:
    """Every year as it stands, and the form for one more."""
    return _list(request, desk, {"year": str(desk.today().year - 1)})


@router.post("/past-years")
def enter(request: Request, desk: PageDesk, form: TheForm) -> Response:
    """Enter one year of a kind; what is refused stays in the form, each sentence beside its field."""
    asked = RowAsked(_YEARS, _values(form))
    try:
        carried_out(request, form, lambda work: add_row(desk, work, asked) and None)
    except HaulmError as refusal:
        return _list(request, desk, form, refusal)
    return back_to("/past-years", "year_entered")


@router.get("/past-years/{key}")
def one_year(request: Request, desk: PageDesk, key: str) -> Response:
    """One year, to be changed or taken back."""
    return _one(request, desk, key, _form_of(desk, key))


@router.post("/past-years/{key}")
def change(request: Request, desk: PageDesk, key: str, form: TheForm) -> Response:
    """Change a year; what is refused stays in the form, and so does what was typed over somebody else's change."""
    asked = RowAsked(_YEARS, _values(form))
    try:
        carried_out(request, form, lambda work: change_row(desk, work, key, asked, expected=_version(form)) and None)
    except HaulmError as refusal:
        return _one(request, desk, key, form, refusal)
    return back_to("/past-years", "changed")


@router.post("/past-years/{key}/take-back")
def take_back(request: Request, key: str, form: TheForm) -> Response:
    """Take a year back, as if it had never been entered."""
    carried_out(request, form, lambda work: take_back_row(work, _YEARS, key) and None)
    return back_to("/past-years", "year_taken_back")


@router.post("/past-years/{key}/put-back")
def put_back(request: Request, desk: PageDesk, key: str, form: TheForm) -> Response:
    """Enter a year again that was taken back."""
    carried_out(request, form, lambda work: put_back_row(desk, work, _YEARS, key) and None)
    return back_to("/past-years", "year_entered")


def _list(request: Request, desk: Desk, typed: Form, refusal: HaulmError | None = None) -> Response:
    found = list_past_years(desk)
    return page(
        request,
        "past_years.html",
        status=200 if refusal is None else status_of(type(refusal), request.app.state.statuses),
        found=found,
        **_about_form(desk, typed, refusal),
    )


def _one(request: Request, desk: Desk, key: str, typed: Form, refusal: HaulmError | None = None) -> Response:
    return page(
        request,
        "past_year.html",
        status=200 if refusal is None else status_of(type(refusal), request.app.state.statuses),
        row=row_of(desk.store.farm(), _YEARS, key),
        **_about_form(desk, typed, refusal),
    )


def _about_form(desk: Desk, typed: Form, refusal: HaulmError | None) -> Mapping[str, object]:
    """What the form shows: the kinds to choose from, what was typed, and what is wrong beside its field."""
    farm = desk.store.farm()
    kinds = sorted(((name, f"{_KIND}{key}") for key, name in kind_names(farm).items()), key=lambda one: one[0])
    own = sorted((row.name, f"{_VARIETY}{row.key}") for row in farm.varieties)
    faults = refusal.faults if isinstance(refusal, FolderRefused) else ()
    return {
        "own": own,
        "kinds": kinds,
        "methods": tuple(METHOD_WORDS.items()),
        "typed": typed,
        "faults": _beside(faults),
        "wrong": None if faults else refusal,
        "is_doubt": isinstance(refusal, DoubtfulRecord),
        "is_stale": isinstance(refusal, VersionStale),
    }


def _beside(faults: tuple[Fault, ...]) -> dict[str, str]:
    """A sentence for each field that has a fault; the kind and the variety are one field here."""
    found: dict[str, str] = {}
    for fault in faults:
        name = "grown" if fault.column in ("variety", "kind") else fault.column or "grown"
        said = "Nothing is written here" if fault.found == "nothing" else f"Found {fault.found}"
        found.setdefault(name, f"{said}; accepted is {fault.accepted}.")
    return found


def _values(form: Form) -> dict[str, object]:
    """The row's values as typed; an empty field says nothing."""
    grown = form.get("grown", "")
    return {
        "variety": grown.removeprefix(_VARIETY) if not grown.startswith(_KIND) else "",
        "kind": grown.removeprefix(_KIND) if grown.startswith(_KIND) else "",
        **{name: _plain(name, form.get(name, "")) for name in _TYPED},
        "tunnel": bool(form.get("tunnel")),
        "really": bool(form.get("really")),
    }


def _plain(name: str, text: str) -> str:
    """A count as people write it: `1,200` and `1 200` are 1200."""
    return text.replace(",", "").replace(" ", "") if name in ("stems", "plants") else text


def _form_of(desk: Desk, key: str) -> Form:
    """A row as its form shows it."""
    values = values_of(_YEARS, row_of(desk.store.farm(), _YEARS, key))
    grown = f"{_KIND}{values['kind']}" if values["kind"] else f"{_VARIETY}{values['variety']}"
    shown = {name: "" if values[name] is None else str(values[name]) for name in _TYPED}
    shown["tunnel"] = "yes" if values["tunnel"] else ""
    return {"grown": grown, **shown, "version": str(desk.store.row_version(_YEARS, key) or 0)}


def _version(form: Form) -> int | None:
    text = form.get("version", "")
    return int(text) if text.isascii() and text.isdigit() and len(text) < 16 else None
