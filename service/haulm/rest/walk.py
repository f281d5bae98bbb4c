"""The walk in the field: what there is to look at, and what was seen."""

from __future__ import annotations

import datetime as dt

from fastapi import APIRouter
from fastapi.responses import JSONResponse
from pydantic import ConfigDict, Field

from haulm.farm.limits import MOST_STEMS
from haulm.farm.moments import moment_text
from haulm.farm.place_words import Place
from haulm.farm.sprays import closed_beds
from haulm.farm.warnings import warnings_at
from haulm.farm.words import LossReason
from haulm.jobs.field.record_walk import Blank, Said, Sighting, Walked, left_blank, record_walk, told_before
from haulm.jobs.field.walk_field import Growing, Kind, Stop, walk_field
from haulm.rest.warnings import WarnedShape, warned_shapes
from haulm.rest.wire import MOST_AT_ONCE, Ask, Shape, TheCall, TheDesk
from haulm.store.unit_of_work import UnitOfWork
from haulm.web.audience import Audience, only_for
from haulm.web.kept import kept

router = APIRouter(tags=["field"])

TYPED = "When it was typed; of one day the later wins, and both are kept. Now unless said; UTC where no zone is."
REALLY = "What is doubtful was asked about, and is so."
"""What two fields say, here and of a cut."""


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
    standing: int = Field(ge=0, le=MOST_STEMS)
    not_ready: int | None = Field(default=None, ge=0, le=MOST_STEMS)
    typed_at: dt.datetime | None = Field(default=None, description=TYPED)


class SeenInBedAsk(Ask):
    """One thing that was seen of a sowing, of a kind, or of every sowing in a bed."""

    said: Said
    batch: str | None = None
    variety: str | None = None
    bed: str | None = None
    count: int | None = Field(default=None, ge=0, le=MOST_STEMS, description="Stems, or plants where they are lost.")
    share_pct: int | None = Field(default=None, ge=1, le=100, description="Share of the plants that are lost.")
    not_ready: int | None = Field(default=None, ge=0, le=MOST_STEMS)
    reason: LossReason | None = None
    typed_at: dt.datetime | None = Field(default=None, description=TYPED)


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

    counts: tuple[CountAsk, ...] = Field(default=(), max_length=MOST_AT_ONCE)
    seen: tuple[SeenInBedAsk, ...] = Field(default=(), max_length=MOST_AT_ONCE)
    frost: bool = False
    blank: Blank | None = Field(
        default=None, description="`nothing_yet` writes that of what was left blank, `not_looked` nothing."
    )
    walk: str | None = Field(
        default=None, description="The walk's own key, unique for ever: sent again, or in parts, it is written once."
    )
    date: dt.date | None = Field(default=None, description="The day of the walk; today unless said.")
    typed_at: dt.datetime | None = Field(default=None, description=TYPED)
    really: bool = Field(default=False, description=REALLY)


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


@router.get("/v1/walk", dependencies=[only_for(Audience.HAND), kept()])
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
            typed_at=typed_text(one.typed_at),
        )
        for one in body.counts
    ]
    seen = [Sighting(**{**dict(one), "typed_at": typed_text(one.typed_at)}) for one in body.seen]
    asked = Walked(
        (*counted, *seen), body.frost, body.blank, body.walk, body.date, typed_text(body.typed_at), really=body.really
    )

    def written(work: UnitOfWork) -> WalkedShape:
        told = (*asked.seen, *told_before(work.farm, asked.key))
        rows = record_walk(call.desk, work, asked)
        open_ones = left_blank(call.desk, work.farm, told) if asked.blank is None else ()
        return WalkedShape(records=[row.key for row in rows], blank=[_blank(one) for one in open_ones])

    return call.answer(written, status=201, is_judged=True)


def typed_text(moment: dt.datetime | None) -> str | None:
    """When something was typed, as a record holds it; None where it is not said."""
    return None if moment is None else moment_text(moment)


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


def _day(found: dt.date | None) -> str | None:
    return None if found is None else found.isoformat()
