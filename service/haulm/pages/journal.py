"""The journal as a page: what was written, in words, and the button that takes it back, on a page of its own."""

from __future__ import annotations

from collections.abc import Callable

from fastapi import APIRouter, Request, Response

from haulm.jobs.journal.read_journal import JournalAsked, read_entry, read_journal
from haulm.jobs.journal.take_back_entry import put_back_entry, take_back_entry
from haulm.pages.doing import Form, PageDesk, PageRoute, TheForm, carried_out
from haulm.pages.look import back_to, page
from haulm.store.unit_of_work import UnitOfWork
from haulm.web.audience import Audience, only_for

router = APIRouter(include_in_schema=False, route_class=PageRoute, dependencies=[only_for(Audience.OWNER)])

_MOST_DIGITS = 15


@router.get("/journal")
def journal(request: Request, desk: PageDesk, before: str = "", whole: str = "") -> Response:
    """A part of the journal, newest first."""
    asked = JournalAsked(before=_seq(before), whole=bool(whole))
    return page(request, "journal.html", found=read_journal(desk, asked), about=None, whole=bool(whole))


@router.get("/journal/of/{collection}/{key}")
def history(request: Request, desk: PageDesk, collection: str, key: str, before: str = "") -> Response:
    """What was written about one row."""
    asked = JournalAsked(before=_seq(before), about=(collection, key))
    return page(request, "journal.html", found=read_journal(desk, asked), about=(collection, key), whole=False)


@router.get("/journal/{seq}")
def one_entry(request: Request, desk: PageDesk, seq: int) -> Response:
    """One step, what taking it back costs, and the button."""
    return page(request, "journal_entry.html", line=read_entry(desk, seq))


@router.post("/journal/{seq}/take-back")
def take_back(request: Request, desk: PageDesk, seq: int, form: TheForm) -> Response:
    """Take it back."""

    def step(work: UnitOfWork) -> None:
        take_back_entry(desk, work, seq)

    return _done(request, form, step, "entry_back")


@router.post("/journal/{seq}/put-back")
def put_back(request: Request, desk: PageDesk, seq: int, form: TheForm) -> Response:
    """Put it back."""

    def step(work: UnitOfWork) -> None:
        put_back_entry(desk, work, seq)

    return _done(request, form, step, "put_back")


def _done(request: Request, form: Form, step: Callable[[UnitOfWork], None], said: str) -> Response:
    carried_out(request, form, step, is_judged=True)
    return back_to("/journal", said)


def _seq(text: str) -> int | None:
    return int(text) if text.isascii() and text.isdigit() and len(text) <= _MOST_DIGITS else None
