"""The cut list, stems that were cut, and the cool store."""

from __future__ import annotations

import datetime as dt

from fastapi import APIRouter
from fastapi.responses import JSONResponse
from pydantic import ConfigDict, Field

from haulm.farm.limits import MOST_STEMS
from haulm.farm.place_words import Place
from haulm.farm.warnings import handling_notes, warnings_at
from haulm.farm.words import Grade
from haulm.jobs.bucket_day.cut_list import CutRow, cut_list
from haulm.jobs.farm.doubtful_records import asks_forecast
from haulm.jobs.field.cool_store import cool_store, count_stored, move_stored
from haulm.jobs.field.record_cut import CutAsked, record_cut
from haulm.rest.reads import Day
from haulm.rest.walk import REALLY, TYPED, WrittenShape, typed_text
from haulm.rest.warnings import WarnedShape, warned_shapes
from haulm.rest.wire import Ask, Shape, TheCall, TheDesk
from haulm.store.unit_of_work import UnitOfWork
from haulm.store.words import Account
from haulm.web.audience import Audience, only_for
from haulm.web.kept import kept

router = APIRouter(tags=["field"])


class ForWhomShape(Shape):
    """Stems of a row that are for one line, and up to how many."""

    line: str
    order: str
    customer: str
    due: str
    stems: int
    up_to: int
    spare: bool


class BedShape(Shape):
    """A bed, and the batches in it."""

    bed: str
    batches: list[str]


class CutRowShape(Shape):
    """What to cut of one product, length and stage."""

    product: str
    name: str
    caution: str | None
    min_length_cm: int
    stage: str | None
    stems: int
    up_to: int
    beds: list[BedShape]
    for_whom: list[ForWhomShape] = Field(serialization_alias="for")


class CutListShape(Shape):
    """What to cut on a day, in the order of walking; closed beds are inside a spray's waiting time."""

    date: str
    rows: list[CutRowShape]
    closed_beds: list[str]
    take_care: list[WarnedShape]
    handling: list[str]


class CutAsk(Ask):
    """Stems that were cut, of a batch or of a variety."""

    model_config = ConfigDict(json_schema_extra={"examples": [{"variety": "lagurus", "stems": 40}]})

    stems: int = Field(ge=1, le=MOST_STEMS)
    batch: str | None = None
    variety: str | None = None
    left: int | None = Field(default=None, ge=0, le=MOST_STEMS)
    length_cm: int | None = Field(default=None, ge=0, le=1000)
    grade: Grade = Grade.A
    beyond_count: bool = Field(
        default=False, description="More than were counted standing that day, and that is right."
    )
    date: dt.date | None = Field(default=None, description="The day of the cut; today unless said.")
    key: str | None = Field(
        default=None, description="The record's key, unique for ever: sent again it is written once."
    )
    typed_at: dt.datetime | None = Field(default=None, description=TYPED)
    really: bool = Field(default=False, description=REALLY)


class StoredShape(Shape):
    """Stems of one cut, or of known stock, in the cool store."""

    pile: str
    product: str
    stems: int
    cut_on: str | None
    usable_from: str | None
    usable_until: str | None
    over: bool


class StoreShape(Shape):
    """The cool store, the oldest first."""

    stems: list[StoredShape]


class MoveAsk(Ask):
    """Stems of the cool store that go to the stall, to drying or to waste."""

    model_config = ConfigDict(json_schema_extra={"examples": [{"pile": "r12", "to": "stall", "stems": 10}]})

    pile: str
    to: Account = Field(description="stall, dried or waste")
    stems: int = Field(ge=1, le=MOST_STEMS)
    reason: str = Field(default="", max_length=500, description="Why they are thrown away.")


class StockAsk(Ask):
    """How many stems of a pile somebody counted in the cool store."""

    model_config = ConfigDict(json_schema_extra={"examples": [{"pile": "r12", "counted": 38}]})

    pile: str
    counted: int = Field(ge=0, le=MOST_STEMS)


class CountedShape(Shape):
    """What was counted, and by how much it differs from what the books had."""

    pile: str
    counted: int
    difference: int


class StoreMoveShape(Shape):
    """What left the cool store, and where it went."""

    pile: str
    to: str
    stems: int


@router.get("/v1/cut-lists/{day}", dependencies=[only_for(Audience.HAND), kept()])
def to_cut(desk: TheDesk, day: Day) -> CutListShape:
    """What to cut on a cut day, as late as each line allows, spare included.

    Stems are those of a careful season, up to those of a generous one: what is asked and stands is to be cut.
    """
    found = cut_list(desk, day)
    rows = [_cut_row(row) for row in found.rows]
    kinds = [row.crop for row in found.rows]
    return CutListShape(
        date=found.day.isoformat(),
        rows=rows,
        closed_beds=list(found.closed_beds),
        take_care=warned_shapes(warnings_at(Place.CUT, kinds)),
        handling=list(handling_notes(kinds)),
    )


@router.post("/v1/cuts", status_code=201, response_model=WrittenShape, dependencies=[only_for(Audience.HAND)])
def cut(call: TheCall, body: CutAsk) -> JSONResponse:
    """Write down stems that were cut; they are in the cool store from then on.

    More than a walk of that day counted standing is refused, unless `beyond_count` says that it is right; what cannot
    well be is asked about, and written where `really` says it again.
    """
    values = {name: value for name, value in body if name not in ("date", "typed_at")}
    asked = CutAsked(**values, day=body.date, typed_at=typed_text(body.typed_at))
    needs_plan = asks_forecast(call.desk.store.farm(), {**values, "kind": "cut"})
    return call.answer(
        lambda work: WrittenShape(records=[record_cut(call.desk, work, asked).key]), status=201, is_judged=needs_plan
    )


@router.get("/v1/store", dependencies=[only_for(Audience.HAND), kept()])
def stored(desk: TheDesk) -> StoreShape:
    """What is in the cool store, with the days between which it may leave."""
    return StoreShape(
        stems=[
            StoredShape(
                pile=one.pile,
                product=str(one.product),
                stems=one.stems,
                cut_on=_day(one.cut_on),
                usable_from=_day(one.usable_from),
                usable_until=_day(one.usable_until),
                over=one.is_over,
            )
            for one in cool_store(desk)
        ]
    )


@router.post("/v1/store/moves", status_code=201, response_model=StoreMoveShape, dependencies=[only_for(Audience.HAND)])
def moved(call: TheCall, body: MoveAsk) -> JSONResponse:
    """Let stems go to the stall, to drying (they are stock once dry) or to waste."""

    def acted(work: UnitOfWork) -> StoreMoveShape:
        move_stored(call.desk, work, body.pile, body.to, body.stems, reason=body.reason.strip())
        return StoreMoveShape(pile=body.pile, to=str(body.to), stems=body.stems)

    return call.answer(acted, status=201)


@router.post("/v1/store/counts", status_code=201, response_model=CountedShape, dependencies=[only_for(Audience.HAND)])
def counted(call: TheCall, body: StockAsk) -> JSONResponse:
    """Take stock of a pile: the difference is written down. Missing stems are waste; more come onto their cut."""

    def acted(work: UnitOfWork) -> CountedShape:
        difference = count_stored(call.desk, work, body.pile, body.counted)
        return CountedShape(pile=body.pile, counted=body.counted, difference=difference)

    return call.answer(acted, status=201)


def _cut_row(row: CutRow) -> CutRowShape:
    return CutRowShape(
        product=str(row.product),
        name=row.crop.name,
        caution=row.crop.caution,
        min_length_cm=row.length_cm,
        stage=row.stage,
        stems=row.stems,
        up_to=row.up_to,
        beds=[BedShape(bed=bed, batches=list(batches)) for bed, batches in row.beds],
        for_whom=[
            ForWhomShape(
                line=one.line.line,
                order=one.line.order,
                customer=one.line.customer,
                due=one.line.due.isoformat(),
                stems=one.stems,
                up_to=one.up_to,
                spare=one.line.is_spare,
            )
            for one in row.for_whom
        ],
    )


def _day(found: dt.date | None) -> str | None:
    return None if found is None else found.isoformat()
