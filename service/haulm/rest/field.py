"""The walk in the field, the cut list, stems that were cut, and the cool store."""

from __future__ import annotations

import datetime as dt

from fastapi import APIRouter
from fastapi.responses import JSONResponse
from pydantic import ConfigDict, Field

from haulm.farm.moments import moment_text
from haulm.farm.place_words import Place
from haulm.farm.sprays import closed_beds
from haulm.farm.warnings import handling_notes, warnings_at
from haulm.farm.words import Grade, LossReason
from haulm.jobs.cool_store import cool_store, move_stored
from haulm.jobs.cut_list import CutRow, cut_list
from haulm.jobs.doubtful_records import asks_forecast
from haulm.jobs.record_cut import CutAsked, record_cut
from haulm.jobs.record_walk import Blank, Said, Sighting, Walked, left_blank, record_walk, told_before
from haulm.jobs.walk_field import Growing, Kind, Stop, walk_field
from haulm.rest.reads import Day
from haulm.rest.warnings import WarnedShape, warned_shapes
from haulm.rest.wire import Ask, Shape, TheCall, TheDesk
from haulm.store.unit_of_work import UnitOfWork
from haulm.store.words import Account
from haulm.web.audience import Audience, only_for

router = APIRouter(tags=["field"])

_MOST_COUNTS = 500
_MOST_STEMS = 1_000_000
_TYPED = "When it was typed; of one day the later wins, and both are kept. Now unless said; UTC where no zone is."
_REALLY = "What is doubtful was asked about, and is so."


class GrowingShape(Shape):
    """One sowing in a bed: what was counted of it last, and what should stand today."""

    batch: str
    variety: str
    name: str
    sown_on: str | None
    last: int | None
    last_on: str | None
    expected_p10: int
    expected_p50: int
    expected_p90: int
    soon: bool = Field(description="Whether it gives stems now or within three weeks, in a good season.")
    begun: bool = Field(description="Whether it has given stems.")


class StopShape(Shape):
    """A bed on the walk; null and empty for what has none."""

    bed: str | None
    name: str
    growing: list[GrowingShape]
    sprayed: bool


class KindShape(Shape):
    """One kind on the walk, all its beds together: what was counted last, and what should stand today."""

    variety: str
    name: str
    caution: str | None
    batches: list[str]
    beds: list[str]
    last: int | None
    last_on: str | None
    expected_p10: int
    expected_p50: int
    expected_p90: int
    sprayed: bool
    soon: bool


class WalkShape(Shape):
    """The beds to look at, in the order of walking, and the same by kind."""

    date: str
    stops: list[StopShape]
    kinds: list[KindShape]
    take_care: list[WarnedShape]
    closed_beds: list[str]


class CountAsk(Ask):
    """What was counted of one kind, or of one of its sowings."""

    variety: str | None = None
    batch: str | None = None
    standing: int = Field(ge=0, le=_MOST_STEMS)
    not_ready: int | None = Field(default=None, ge=0, le=_MOST_STEMS)
    typed_at: dt.datetime | None = Field(default=None, description=_TYPED)


class SeenAsk(Ask):
    """One thing that was seen of a sowing, of a kind, or of every sowing in a bed."""

    said: Said
    batch: str | None = None
    variety: str | None = None
    bed: str | None = None
    count: int | None = Field(default=None, ge=0, le=_MOST_STEMS, description="Stems, or plants where they are lost.")
    share_pct: int | None = Field(default=None, ge=1, le=100, description="Share of the plants that are lost.")
    not_ready: int | None = Field(default=None, ge=0, le=_MOST_STEMS)
    reason: LossReason | None = None
    typed_at: dt.datetime | None = Field(default=None, description=_TYPED)


class WalkAsk(Ask):
    """All that was seen on a walk, whether there was a frost, and what is meant by what was left blank."""

    model_config = ConfigDict(
        json_schema_extra={
            "examples": [
                {
                    "walk": "phone-2-walk-118",
                    "counts": [{"batch": "lagurus-2", "standing": 80, "not_ready": 20}],
                    "seen": [{"said": "part_lost", "batch": "ammi-1", "share_pct": 30, "reason": "weather"}],
                    "blank": "nothing_yet",
                }
            ]
        }
    )

    counts: tuple[CountAsk, ...] = Field(default=(), max_length=_MOST_COUNTS)
    seen: tuple[SeenAsk, ...] = Field(default=(), max_length=_MOST_COUNTS)
    frost: bool = False
    blank: Blank | None = Field(
        default=None, description="`nothing_yet` writes that of what was left blank, `not_looked` nothing."
    )
    walk: str | None = Field(
        default=None, description="The walk's own key, unique for ever: sent again, or in parts, it is written once."
    )
    date: dt.date | None = Field(default=None, description="The day of the walk; today unless said.")
    typed_at: dt.datetime | None = Field(default=None, description=_TYPED)
    really: bool = Field(default=False, description=_REALLY)


class WrittenShape(Shape):
    """The records that were written."""

    records: list[str]


class BlankShape(Shape):
    """A sowing of which nothing was said, though its first stems may come now or within three weeks."""

    batch: str
    variety: str
    name: str
    bed: str | None


class WalkedShape(WrittenShape):
    """The records that were written, and what was left blank; empty once that was answered."""

    blank: list[BlankShape]


class ForWhomShape(Shape):
    """Stems of a row that are for one line."""

    line: str
    order: str
    customer: str
    due: str
    stems: int
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

    stems: int = Field(ge=1, le=_MOST_STEMS)
    batch: str | None = None
    variety: str | None = None
    left: int | None = Field(default=None, ge=0, le=_MOST_STEMS)
    length_cm: int | None = Field(default=None, ge=0, le=1000)
    grade: Grade = Grade.A
    beyond_count: bool = Field(
        default=False, description="More than were counted standing that day, and that is right."
    )
    date: dt.date | None = Field(default=None, description="The day of the cut; today unless said.")
    key: str | None = Field(
        default=None, description="The record's key, unique for ever: sent again it is written once."
    )
    typed_at: dt.datetime | None = Field(default=None, description=_TYPED)
    really: bool = Field(default=False, description=_REALLY)


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
    stems: int = Field(ge=1, le=_MOST_STEMS)


class MovedShape(Shape):
    """What left the cool store, and where it went."""

    pile: str
    to: str
    stems: int


@router.get("/v1/walk", dependencies=[only_for(Audience.HAND)])
def walk(desk: TheDesk) -> WalkShape:
    """The walk in the field: every bed with something in the ground in the order of walking, and the same by kind."""
    found, day = walk_field(desk), desk.today()
    return WalkShape(
        date=day.isoformat(),
        stops=[_stop(stop) for stop in found.stops],
        kinds=[_kind(kind) for kind in found.kinds],
        take_care=warned_shapes(warnings_at(Place.WALK, [kind.crop for kind in found.kinds])),
        closed_beds=[one.bed.name for one in closed_beds(desk.store.farm(), day)],
    )


@router.post("/v1/walk", status_code=201, response_model=WalkedShape, dependencies=[only_for(Audience.HAND)])
def walked(call: TheCall, body: WalkAsk) -> JSONResponse:
    """Write down what was seen, all of it or nothing.

    A number of a kind is of all its beds; those with a number of their own keep it, and the others share the rest. What
    was left blank is named, until it is said what that means.
    """
    counted = [
        Sighting(
            Said.STANDING,
            one.batch,
            one.variety,
            count=one.standing,
            not_ready=one.not_ready,
            typed_at=_typed(one.typed_at),
        )
        for one in body.counts
    ]
    seen = [Sighting(**{**dict(one), "typed_at": _typed(one.typed_at)}) for one in body.seen]
    asked = Walked(
        (*counted, *seen), body.frost, body.blank, body.walk, body.date, _typed(body.typed_at), really=body.really
    )

    def written(work: UnitOfWork) -> WalkedShape:
        told = (*asked.seen, *told_before(work.farm, asked.key))
        rows = record_walk(call.desk, work, asked)
        open_ones = left_blank(call.desk, work.farm, told) if asked.blank is None else ()
        return WalkedShape(records=[row.key for row in rows], blank=[_blank(one) for one in open_ones])

    return call.answer(written, status=201, is_judged=True)


@router.get("/v1/cut-lists/{day}", dependencies=[only_for(Audience.HAND)])
def to_cut(desk: TheDesk, day: Day) -> CutListShape:
    """What to cut on a cut day, from the careful match: as late as each line allows, spare included."""
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
    asked = CutAsked(**values, day=body.date, typed_at=_typed(body.typed_at))
    needs_plan = asks_forecast(call.desk.store.farm(), {**values, "kind": "cut"})
    return call.answer(
        lambda work: WrittenShape(records=[record_cut(call.desk, work, asked).key]), status=201, is_judged=needs_plan
    )


@router.get("/v1/store", dependencies=[only_for(Audience.HAND)])
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


@router.post("/v1/store/moves", status_code=201, response_model=MovedShape, dependencies=[only_for(Audience.HAND)])
def moved(call: TheCall, body: MoveAsk) -> JSONResponse:
    """Let stems go to the stall, to drying (they are stock once dry) or to waste."""

    def acted(work: UnitOfWork) -> MovedShape:
        move_stored(call.desk, work, body.pile, body.to, body.stems)
        return MovedShape(pile=body.pile, to=str(body.to), stems=body.stems)

    return call.answer(acted, status=201)


def _stop(stop: Stop) -> StopShape:
    return StopShape(
        bed=stop.bed or None,
        name=stop.name,
        growing=[_growing(one) for one in stop.growing],
        sprayed=stop.is_sprayed,
    )


def _growing(one: Growing) -> GrowingShape:
    low, middle, high = one.expected
    return GrowingShape(
        batch=one.batch.key,
        variety=one.crop.key,
        name=one.crop.name,
        sown_on=_day(one.batch.sow_date),
        last=one.last,
        last_on=_day(one.last_on),
        expected_p10=low,
        expected_p50=middle,
        expected_p90=high,
        soon=one.is_soon,
        begun=one.has_begun,
    )


def _kind(kind: Kind) -> KindShape:
    low, middle, high = kind.expected
    return KindShape(
        variety=kind.crop.key,
        name=kind.crop.name,
        caution=kind.crop.caution,
        batches=[batch.key for batch in kind.batches],
        beds=list(kind.beds),
        last=kind.last,
        last_on=_day(kind.last_on),
        expected_p10=low,
        expected_p50=middle,
        expected_p90=high,
        sprayed=kind.is_sprayed,
        soon=kind.is_soon,
    )


def _blank(one: Growing) -> BlankShape:
    return BlankShape(batch=one.batch.key, variety=one.crop.key, name=one.crop.name, bed=one.batch.bed)


def _typed(moment: dt.datetime | None) -> str | None:
    return None if moment is None else moment_text(moment)


def _cut_row(row: CutRow) -> CutRowShape:
    return CutRowShape(
        product=str(row.product),
        name=row.crop.name,
        caution=row.crop.caution,
        min_length_cm=row.length_cm,
        stage=row.stage,
        stems=row.stems,
        beds=[BedShape(bed=bed, batches=list(batches)) for bed, batches in row.beds],
        for_whom=[
            ForWhomShape(
                line=one.line.line,
                order=one.line.order,
                customer=one.line.customer,
                due=one.line.due.isoformat(),
                stems=one.stems,
                spare=one.line.is_spare,
            )
            for one in row.for_whom
        ],
    )


def _day(found: dt.date | None) -> str | None:
    return None if found is None else found.isoformat()
