"""A sheet of somebody's own: pasted or sent, its columns matched with her, looked at, and brought in whole or not.

The sheet travels in the form as text; no file is kept.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from fastapi import APIRouter, Request, Response
from starlette.datastructures import UploadFile

from haulm.errors import HaulmError, NotAccepted
from haulm.farm_folder.sheet_columns import BY_NAME, TARGETS, Target, proposed_columns
from haulm.farm_folder.sheet_values import DateOrder
from haulm.farm_folder.sheets import MOST_BYTES, MOST_COLUMNS, sheet_from_bytes, sheet_from_text
from haulm.jobs.desk.desk import Desk
from haulm.jobs.farm.bring_in_folder import FolderNotPromised
from haulm.jobs.farm.bring_in_sheet import (
    CellFault,
    ReadSheet,
    SheetAsked,
    adds_up,
    bring_in_sheet,
    needs_a_look,
    read_sheet,
)
from haulm.jobs.farm.guess_columns import guessed_columns
from haulm.language.words import _, many
from haulm.pages.doing import Form, PageDesk, PageRoute, carried_out
from haulm.pages.look import back_to, page
from haulm.web.audience import Audience, only_for
from haulm.web.problems import status_of

router = APIRouter(include_in_schema=False, route_class=PageRoute, dependencies=[only_for(Audience.OWNER)])

SHOWN_ROWS = 25
"""Rows of a sheet that a page shows: those at fault first, so that a long sheet stays readable."""
_ASKING = "standing-orders"
"""What asks for stems, and waits its turn to be judged."""
_AFTER = {
    "kinds": "/begin/kinds",
    "beds": "/begin/beds",
    "customers": "/begin/florists",
    "sowings": "/plan",
    "standing-orders": "/short",
}


@dataclass(frozen=True, slots=True)
class ShownCell:
    """A cell: what was typed, its fault, what it is taken to mean, and whether that is only nearly what it says."""

    text: str
    fault: CellFault | None
    means: str
    is_near: bool


@dataclass(frozen=True, slots=True)
class SheetView:
    """A sheet as its page shows it.

    Attributes:
        asked: the sheet, its columns and what is said of its days.
        heads: the names of its columns, or their places where it names none.
        read: what came of reading it.
        rows: the rows shown, each with its number and its cells.
        more: rows that are not shown.
        loose: faults of whole rows, or of fields that no column fills.
        needs_a_look: whether somebody has to say that what was guessed is meant so.
    """

    asked: SheetAsked
    heads: tuple[str, ...]
    read: ReadSheet
    rows: tuple[tuple[int, tuple[ShownCell, ...]], ...]
    more: int
    loose: tuple[CellFault, ...]
    needs_a_look: bool

    @property
    def button(self) -> str:
        """What the tap does, with how many."""
        return many("Bring in this {count} row", "Bring in these {count} rows", self.read.count)


@router.get("/paste")
def paste(request: Request, what: str = "") -> Response:
    """Where a sheet is pasted or chosen."""
    return _empty(request, what if what in BY_NAME else TARGETS[0].name)


@router.post("/paste")
async def look(request: Request, desk: PageDesk) -> Response:
    """The sheet with its columns proposed, or as they were chosen, and every fault in its place; nothing is written."""
    form, content = await _sent(request)
    try:
        asked = _asked(desk, form, content)
    except NotAccepted as refusal:
        return _empty(request, form.get("what", ""), form.get("sheet", ""), refusal)
    return _shown(request, _view(desk, asked))


@router.post("/paste/bring-in")
async def bring_in(request: Request, desk: PageDesk) -> Response:
    """Bring the sheet in, all of it or nothing."""
    form, _file = await _sent(request)
    asked = _asked(desk, form, b"")
    today = desk.today()
    view = _view(desk, asked)
    try:
        carried_out(
            request,
            form,
            lambda work: {"rows": bring_in_sheet(desk, work, asked, today)},
            is_judged=asked.target.name == _ASKING,
        )
    except (NotAccepted, FolderNotPromised) as refusal:
        return _shown(request, view, status_of(type(refusal), request.app.state.statuses), refusal)
    return back_to(_AFTER[asked.target.name], "brought_in")


async def _sent(request: Request) -> tuple[Form, bytes]:
    """The fields of the form as they were sent, since a sheet may begin with an empty cell, and the file's bytes."""
    async with request.form(max_files=1, max_fields=MOST_COLUMNS + 20) as sent:
        file = sent.get("file")
        content = await file.read(MOST_BYTES + 1) if isinstance(file, UploadFile) else b""
        return {name: value for name, value in sent.items() if isinstance(value, str)}, content


def _asked(desk: Desk, form: Form, content: bytes) -> SheetAsked:
    """The sheet that a form holds or brings, with its columns as they are chosen, else as they are likely."""
    target = BY_NAME.get(form.get("what", ""))
    if target is None:
        raise NotAccepted(where=_("what the sheet holds"), found=_("nothing"), accepted=_("one of the list"))
    sheet = sheet_from_bytes(content) if content else sheet_from_text(form.get("sheet", ""))
    proposed = proposed_columns(target, sheet.rows[0])
    has_header = form.get("header") == "yes" if "header" in form else any(proposed)
    chosen = [form.get(f"column-{at}", "") for at in range(len(sheet.rows[0]))]
    order = form.get("order", "")
    said = DateOrder(order) if order in list(DateOrder) else None
    if "column-0" in form:
        looked = form.get("guessed") == "yes", form.get("confirmed") == "yes"
        return SheetAsked(target, sheet, _chosen(target, chosen), has_header, said, *looked)
    if has_header or any(proposed):
        return SheetAsked(target, sheet, proposed, has_header, said)
    rows = [row for row in sheet.rows if not adds_up(row)]
    guessed = guessed_columns(desk.store.farm(), target, rows, desk.today()) if rows else proposed
    return SheetAsked(target, sheet, guessed, has_header, said, any(guessed))


def _chosen(target: Target, names: Sequence[str]) -> tuple[str, ...]:
    """The fields chosen for columns; one chosen twice counts where it stands first."""
    found: list[str] = []
    for name in names:
        found.append(name if target.field(name) is not None and name not in found else "")
    return tuple(found)


def _view(desk: Desk, asked: SheetAsked) -> SheetView:
    read = read_sheet(desk.store.farm(), asked, desk.today())
    faults = {(fault.row, fault.column): fault for fault in read.faults}
    near = set(read.near)
    first = {fault.row for fault in read.faults} | {row for row, _column in near}
    body = sorted(asked.body, key=lambda one: one[0] not in first)

    def shown(at: tuple[int, int], text: str) -> ShownCell:
        return ShownCell(text, faults.get(at), read.understood.get(at, ""), at in near)

    rows = tuple(
        (number, tuple(shown((number, at), cell) for at, cell in enumerate(row))) for number, row in body[:SHOWN_ROWS]
    )
    heads = asked.sheet.rows[0] if asked.has_header else tuple("" for _cell in asked.sheet.rows[0])
    named = tuple(head or _("Column {number}").format(number=at) for at, head in enumerate(heads, start=1))
    loose = tuple(fault for fault in read.faults if fault.column is None)
    more = max(0, len(body) - SHOWN_ROWS)
    return SheetView(asked, named, read, rows, more, loose, needs_a_look(asked, read))


def _shown(request: Request, view: SheetView, status: int = 200, refusal: HaulmError | None = None) -> Response:
    fields = [(field.name, _(field.words)) for field in view.asked.target.fields]
    text = view.asked.sheet.as_text
    return page(request, "paste_look.html", status=status, view=view, fields=fields, text=text, refusal=refusal)


def _empty(request: Request, what: str, text: str = "", refusal: HaulmError | None = None) -> Response:
    status = 200 if refusal is None else status_of(type(refusal), request.app.state.statuses)
    targets = [(target.name, _(target.words), [_(field.words) for field in target.fields]) for target in TARGETS]
    return page(request, "paste.html", status=status, targets=targets, what=what, text=text, wrong=refusal)
