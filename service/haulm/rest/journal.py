"""GET /v1/journal and the two steps from it: an entry taken back, and put back."""

from __future__ import annotations

from typing import Annotated

from fastapi import APIRouter, Path, Query
from fastapi.responses import JSONResponse
from pydantic import Field

from haulm.errors import NotAccepted
from haulm.farm.limits import LONGEST_TEXT
from haulm.jobs.journal.read_journal import PART, JournalAsked, JournalLine, read_entry, read_journal
from haulm.jobs.journal.take_back_entry import TakenBack, put_back_entry, take_back_entry
from haulm.rest.wire import Shape, TheCall, TheDesk
from haulm.web.audience import Audience, only_for

router = APIRouter(tags=["journal"], dependencies=[only_for(Audience.OWNER)])

_MOST_SEQ = 2**53
Seq = Annotated[int, Path(ge=1, le=_MOST_SEQ)]


class JournalEntryShape(Shape):
    """What was written in one go, in words; `why_not` is empty where it may be taken back (or put back)."""

    entry: int
    kind: str
    at: str
    who: str
    what: str
    about: str
    rows: list[str]
    taken_back: bool
    may: bool
    why_not: str
    first: list[int]
    costs: list[str]


class JournalShape(Shape):
    """A part of the journal, newest first; `next` is the entry before which the next part begins, null at the end."""

    entries: list[JournalEntryShape]
    next: int | None


class TakenBackShape(Shape):
    """What was taken back or put back: its entries, the entry that did it, and how many letters correct it."""

    entries: list[int]
    by: int
    letters: int = Field(description="Letters that were queued because others had left already.")


@router.get("/v1/journal")
def journal(
    desk: TheDesk,
    before: Annotated[int | None, Query(ge=1, le=_MOST_SEQ, description="Entries before this one.")] = None,
    about: Annotated[
        str | None, Query(max_length=LONGEST_TEXT, description="A row, such as batches/b12: its history alone.")
    ] = None,
    whole: Annotated[bool, Query(description="Also what the service noted for itself.")] = False,
    limit: Annotated[int, Query(ge=1, le=1000, description="So many at most.")] = PART,
) -> JournalShape:
    """Everything that was written, newest first, in words; and what of it can be taken back."""
    found = read_journal(desk, JournalAsked(before, _thing(about), whole, limit))
    return JournalShape(entries=[entry_shape(line) for line in found.lines], next=found.before)


@router.get("/v1/journal/{seq}")
def entry(desk: TheDesk, seq: Seq) -> JournalEntryShape:
    """One entry, with all that was written in the same go, and what taking it back costs."""
    return entry_shape(read_entry(desk, seq))


@router.post("/v1/journal/{seq}/take-back", response_model=TakenBackShape)
def take_back(call: TheCall, seq: Seq) -> JSONResponse:
    """Take back what an entry wrote, with all that was written in the same go; or say what to take back first."""
    return call.answer(lambda work: _shape(take_back_entry(call.desk, work, seq)), is_judged=True)


@router.post("/v1/journal/{seq}/put-back", response_model=TakenBackShape)
def put_back(call: TheCall, seq: Seq) -> JSONResponse:
    """Put back what was taken back, named by the entry itself."""
    return call.answer(lambda work: _shape(put_back_entry(call.desk, work, seq)), is_judged=True)


def entry_shape(line: JournalLine) -> JournalEntryShape:
    """A step as it is sent."""
    return JournalEntryShape(
        entry=line.seq,
        kind=line.kind,
        at=line.at,
        who=line.told.who,
        what=line.told.what,
        about=line.told.about,
        rows=list(line.told.rows),
        taken_back=line.is_taken_back,
        may=line.may,
        why_not=line.why_not,
        first=list(line.first),
        costs=list(line.costs),
    )


def _thing(about: str | None) -> tuple[str, str] | None:
    """The row that is asked about.

    Raises:
        NotAccepted: it is no collection with a key.
    """
    if about is None:
        return None
    collection, slash, key = about.partition("/")
    if not (collection and slash and key):
        raise NotAccepted(where="about", found=f"'{about}'", accepted="a collection and a key, such as batches/b12")
    return collection, key


def _shape(found: TakenBack) -> TakenBackShape:
    return TakenBackShape(entries=list(found.entries), by=found.by, letters=found.letters)
