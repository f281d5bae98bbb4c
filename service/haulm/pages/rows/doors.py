"""The routes of rows: a list, a form to add and to change, a page that asks once before something ends."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from fastapi import APIRouter, Request, Response

from haulm.crop_library.library import crop_for, library
from haulm.errors import HaulmError, NotFound
from haulm.farm.place_words import Place
from haulm.farm.varieties import Crop, Variety
from haulm.farm.warnings import handling_notes, warnings_where, weed_notes
from haulm.jobs.desk.desk import Desk
from haulm.jobs.desk.seen import NotAsSeen
from haulm.jobs.farm.doubtful_records import DoubtfulRecord
from haulm.jobs.farm.keyless_rows import row_named
from haulm.jobs.farm.take_out_row import Named, goes_with, still_named
from haulm.jobs.quotes.promise_refused import PromiseRefused
from haulm.language.words import _
from haulm.pages.doing import FIRST_SIGHT, Form, NotDone, PageDesk, PageRoute, TheForm
from haulm.pages.look import back_to, page
from haulm.pages.parts import PartAsked, part_of
from haulm.pages.rows.asking import amended, ended, entered, row_shown, taken_out
from haulm.pages.rows.forms import Known, asked_by, cells_of, groups_of, merged, new_cells, row_shown_as, typed_of
from haulm.pages.rows.listing import (
    PART,
    address_of_parts,
    belonging,
    line_of,
    path_of,
    rows_asked,
    rows_shown,
    words_to_filter,
)
from haulm.pages.rows.names import Names
from haulm.pages.rows.page_words import Table
from haulm.pages.rows.tables import BY_COLLECTION, BY_PLACE, ELSEWHERE, ELSEWHERE_WORDS
from haulm.pages.rows.widgets import At
from haulm.pages.rows.wrongs import wrong_of
from haulm.web.audience import Audience, only_for
from haulm.web.problems import status_of

router = APIRouter(include_in_schema=False, route_class=PageRoute, dependencies=[only_for(Audience.OWNER)])

_WHERE = (Place.CUT, Place.CONDITIONING, Place.BOUQUET, Place.HOME)
_MOST_NAMED = 5
"""Rows of a collection that are named where they keep a row from being taken out."""


@router.get("/farm/{place}")
def rows(request: Request, desk: PageDesk, place: str, part: PartAsked = 1) -> Response:
    """One table as a list, in parts."""
    table = _table(place)
    names = _names(desk)
    asked = dict(request.query_params)
    found = part_of(rows_asked(table, names, asked), part, PART)
    return page(
        request,
        "rows_list.html",
        table=table,
        part=found,
        found=[line_of(table, names, row) for row in found.rows],
        parts_at=address_of_parts(table.path, asked),
        are_any=bool(rows_shown(names.farm, table)),
        q=asked.get("q", ""),
        only=asked.get("only", ""),
        words=words_to_filter(table),
    )


@router.get("/farm/{place}/new")
def new_row(request: Request, desk: PageDesk, place: str) -> Response:
    """The form of a new row; what the address says stands in it already."""
    table, names = _table(place), _names(desk)
    given = dict(request.query_params)
    at = At(names, given.get(table.parent, "") if table.parent else "")
    typed = typed_of(asked_by(table), new_cells(table), at)
    typed |= {name: text for name, text in given.items() if name in typed or name == table.parent}
    kind = library().get(given.get("library", "")) if table.collection == "varieties" else None
    if kind is not None:
        typed |= {"name": kind.name, "library": kind.key}
    return _form(request, desk, table, typed)


@router.post("/farm/{place}/new")
def add(request: Request, desk: PageDesk, place: str, form: TheForm) -> Response:
    """Put in a new row; what is refused stays in the form, each sentence beside its field."""
    table = _table(place)
    try:
        name = entered(request, desk, table, form)
    except PromiseRefused:
        raise
    except HaulmError as refusal:
        return _form(request, desk, table, form, refusal=refusal)
    return _back(desk, table, name, form, "row_added")


@router.get("/farm/{place}/row/{name:path}")
def one_row(request: Request, desk: PageDesk, place: str, name: str) -> Response:
    """One row, to be changed; what the address says stands in its fields, and is written by its button alone."""
    return _one(request, desk, _table(place), name, Again(given=dict(request.query_params)))


@router.post("/farm/{place}/row/{name:path}")
def change(request: Request, desk: PageDesk, place: str, name: str, form: TheForm) -> Response:
    """Change a row where it still stands as the form showed it."""
    table = _table(place)
    if not form.get("tag"):
        return _one(request, desk, table, name, Again(form, why=NotDone(428, look_first=True)))
    try:
        now = amended(request, desk, table, name, form)
    except PromiseRefused:
        raise
    except NotAsSeen as refusal:
        status = status_of(NotAsSeen, request.app.state.statuses)
        return _one(request, desk, table, name, Again(form, why=NotDone(status, changed=refusal.changes)))
    except HaulmError as refusal:
        return _one(request, desk, table, name, Again(form, refusal=refusal))
    return _back(desk, table, now, form, "changed")


@router.get("/farm/{place}/out/{name:path}")
def ask_out(request: Request, desk: PageDesk, place: str, name: str) -> Response:
    """Asks once whether a row is to be taken out, and says what goes with it or still names it."""
    table, names = _table(place), _names(desk)
    row = row_shown(names.farm, table, name)
    own = row_named(names.farm, table.collection, name)
    is_record = table.collection == "records"
    return page(
        request,
        "rows_out.html",
        table=table,
        title=names.title(table.collection, row),
        path=path_of(table, row),
        action=path_of(table, row, "out"),
        names=() if is_record else _in_words(names, still_named(names.farm, own)),
        goes=() if is_record else _in_words(names, goes_with(names.farm, own)),
        ends=None,
    )


@router.post("/farm/{place}/out/{name:path}")
def take_out(request: Request, desk: PageDesk, place: str, name: str, form: TheForm) -> Response:
    """Take a row out."""
    table = _table(place)
    parent = _parent_path(desk, table, name)
    taken_out(request, desk, table, name, form)
    # Whoever is forgotten is forgotten for good: the journal has no name to put back.
    return back_to(parent or table.path, "person_out" if table.collection == "customers" else "row_out")


@router.get("/farm/{place}/end/{name:path}")
def ask_end(request: Request, desk: PageDesk, place: str, name: str) -> Response:
    """Asks once whether a row is to be ended."""
    table, names = _table(place), _names(desk)
    if table.end is None:
        raise NotFound(kind="page", key=place)
    row = row_named(names.farm, table.collection, name)
    return page(
        request,
        "rows_out.html",
        table=table,
        title=names.title(table.collection, row),
        path=path_of(table, row),
        action=path_of(table, row, "end"),
        names=(),
        goes=(),
        ends=_(table.end[2]),
    )


@router.post("/farm/{place}/end/{name:path}")
def end(request: Request, desk: PageDesk, place: str, name: str, form: TheForm) -> Response:
    """End a row."""
    table = _table(place)
    if table.end is None:
        raise NotFound(kind="page", key=place)
    ended(request, desk, table, name, form)
    return back_to(path_of(table, row_named(desk.store.farm(), table.collection, name)), "changed")


def _table(place: str) -> Table:
    if place not in BY_PLACE:
        raise NotFound(kind="page", key=place)
    return BY_PLACE[place]


def _names(desk: Desk) -> Names:
    return Names(desk.store.farm(), desk.today())


def _form(request: Request, desk: Desk, table: Table, typed: Form, *, refusal: HaulmError | None = None) -> Response:
    """The form of a new row."""
    names = _names(desk)
    at = At(names, typed.get(table.parent, "") if table.parent else "")
    wrong, sentence = wrong_of(table, refusal, at)
    kind = library().get(typed.get("library", "")) if table.collection == "varieties" else None
    known = Variety(kind.key, kind.name) if kind is not None else None
    return page(
        request,
        "rows_new.html",
        status=200 if refusal is None else status_of(type(refusal), request.app.state.statuses),
        table=table,
        groups=groups_of(table, typed, at, Known(known, wrong, _opened(table) if known else "")),
        care=_care(crop_for(known) if known else None),
        typed=typed,
        belongs=_parent(names, table, at.parent),
        at=at,
        **_refused(refusal, wrong, sentence),
    )


@dataclass(frozen=True, slots=True)
class Again:
    """What a row's page is drawn from: the form that was sent, the cells that the address names, and what is amiss.

    `why` is what is another than the form showed, `refusal` why nothing was written.
    """

    form: Form | None = None
    given: Form = field(default_factory=dict)
    why: NotDone = FIRST_SIGHT
    refusal: HaulmError | None = None


def _one(request: Request, desk: Desk, table: Table, name: str, again: Again) -> Response:
    """The page of one row."""
    form, why, refusal = again.form, again.why, again.refusal
    names = _names(desk)
    row = row_shown(names.farm, table, name)
    at = At(names, getattr(row, table.parent) if table.parent else "")
    cells = cells_of(table, row)
    asked = asked_by(table)
    given = {column: text for column, text in again.given.items() if column in cells}
    typed = (
        typed_of(asked, cells | given, at) if form is None else merged(asked, form, cells, at) if why.changed else form
    )
    wrong, sentence = wrong_of(table, refusal, at)
    parts = [(BY_COLLECTION[one], belonging(table, names, name, BY_COLLECTION[one])) for one in table.parts]
    return page(
        request,
        "rows_one.html",
        status=why.status if refusal is None else status_of(type(refusal), request.app.state.statuses),
        table=table,
        title=names.title(table.collection, row),
        row=row,
        path=path_of(table, row),
        ways_out={step: path_of(table, row, step) for step in ("out", "end")},
        care=_care(names.crops[row.key] if isinstance(row, Variety) else None),
        shown=row_shown_as(table, row, at),
        groups=groups_of(table, typed, at, Known(row, wrong)),
        typed=typed,
        is_given=bool(given),
        parts=parts,
        why=why,
        belongs=_parent(names, table, at.parent),
        at=at,
        is_over=table.end is not None and getattr(row, table.end[0]) == table.end[1],
        **_refused(refusal, wrong, sentence),
    )


def _care(crop: Crop | None) -> dict[str, Any]:
    """What to take care of with a kind, wherever it is worked with; nothing where no kind is meant."""
    crops = () if crop is None else (crop,)
    return {
        "warned": warnings_where((one, _WHERE) for one in crops),
        "handling": handling_notes(crops),
        "weeds": weed_notes(crops),
    }


def _opened(table: Table) -> str:
    """The first heading under which fields are folded away."""
    return next((field.group for field in table.fields if field.group), "")


def _refused(refusal: HaulmError | None, wrong: Mapping[str, str], sentence: str) -> dict[str, Any]:
    return {"wrong": wrong, "sentence": sentence, "is_doubt": isinstance(refusal, DoubtfulRecord)}


def _back(desk: Desk, table: Table, name: str, form: Form, said: str) -> Response:
    """Where a form leads that was carried out: what its row belongs to, the row with its parts, or the list."""
    names = _names(desk)
    belongs = _parent(names, table, form.get(table.parent, "")) if table.parent else None
    if belongs is not None:
        return back_to(belongs[1], said)
    if table.parts:
        return back_to(path_of(table, row_named(names.farm, table.collection, name)), said)
    return back_to(table.path, said)


def _parent(names: Names, table: Table, key: str) -> tuple[str, str] | None:
    """The name and the address of the row that rows of a table belong to."""
    holder = next((one for one in BY_PLACE.values() if table.collection in one.parts), None) if table.parent else None
    found = [row for row in getattr(names.farm, holder.collection) if row.key == key] if holder else []
    return (names.title(holder.collection, found[0]), path_of(holder, found[0])) if holder and found else None


def _parent_path(desk: Desk, table: Table, name: str) -> str | None:
    names = _names(desk)
    rows = [row for row in getattr(names.farm, table.collection) if table.parent and row.key == name]
    belongs = _parent(names, table, getattr(rows[0], table.parent)) if rows else None
    return belongs[1] if belongs else None


def _in_words(names: Names, found: Sequence[Named]) -> list[tuple[str, str]]:
    """Rows that name another, by what they are called and whose they are, with their addresses."""
    told: list[tuple[str, str]] = []
    for named in found:
        table = BY_COLLECTION.get(named.collection)
        if table is None:
            told.append((_(ELSEWHERE_WORDS[named.collection]), ELSEWHERE[named.collection]))
            continue
        told += [(_whose(names, table, row), path_of(table, row)) for row in named.rows[:_MOST_NAMED]]
        if len(named.rows) > _MOST_NAMED:
            more = _("{what}: {count} in all").format(what=_(table.many), count=len(named.rows))
            told.append((more, table.path))
    return told


def _whose(names: Names, table: Table, row: Any) -> str:
    title = names.title(table.collection, row)
    belongs = _parent(names, table, getattr(row, table.parent)) if table.parent else None
    return title if belongs is None else _("{what}, of {order}").format(what=title, order=belongs[0])
