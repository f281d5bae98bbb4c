"""The sowings: all of them along the year, and one with what was seen and what is forecast of it."""

from __future__ import annotations

from datetime import date
from enum import StrEnum

from fastapi import APIRouter, Request, Response

from haulm.farm.sprays import closed_beds
from haulm.farm.warnings import general_words, handling_notes, place_of, warnings_at, weed_notes
from haulm.farm.words import RecordKind
from haulm.forecast.typical import side_by_side
from haulm.jobs.farm.change_rows import RowAsked, add_row
from haulm.jobs.growing.doubt_words import batch_in_words, doubt_in_words
from haulm.jobs.growing.see_batch import see_batch, see_batches
from haulm.language.days import short_month
from haulm.pages.doing import PageDesk, PageRoute, TheForm, carried_out, desk_of
from haulm.pages.drawing import panels, spans, strip
from haulm.pages.look import back_to, page
from haulm.pages.parts import PartAsked, part_of
from haulm.store.unit_of_work import UnitOfWork
from haulm.web.audience import Audience, only_for
from haulm.web.kept import kept

router = APIRouter(include_in_schema=False, route_class=PageRoute, dependencies=[only_for(Audience.OWNER)])

_NOT_OF_A_BATCH = (RecordKind.FROST, RecordKind.CORRECTED)
_FIELDS = ("date", "kind", "count", "left", "note")


class Order(StrEnum):
    """How the list of batches is ordered."""

    DAY = "day"
    BED = "bed"


@router.get("/plan", dependencies=[kept()])
def batches(request: Request, desk: PageDesk, by: Order = Order.DAY, part: PartAsked = 1) -> Response:
    """Every batch, as bars along the year and as a table, by the day of sowing or bed by bed."""
    found = see_batches(desk)
    if by is Order.BED:
        found = tuple(sorted(found, key=lambda one: (one[0].bed is None, one[0].bed or "")))
    year = desk.today().year
    first, last = date(year, 1, 1), date(year, 12, 31)
    months = tuple(
        (round(100 * (date(year, month, 1) - first).days / 365, 2), short_month(date(year, month, 1)))
        for month in range(1, 13)
    )
    now = 100 * (desk.today() - first).days / 365
    bars = spans(found, first, last)
    return page(
        request,
        "plan.html",
        batches=found,
        shown=part_of(found, part),
        spans=bars,
        months=months,
        now=now,
        year=year,
        by=by,
    )


@router.get("/plan/{key}")
def batch(request: Request, desk: PageDesk, key: str) -> Response:
    """One batch."""
    seen = see_batch(desk, key)
    found = seen.forecast
    drawn = strip([(str(week.week.number), *week.stems) for week in found.weeks]) if found and found.weeks else None
    kinds = [kind for kind in RecordKind if kind not in _NOT_OF_A_BATCH]
    closed = [one for one in closed_beds(desk.store.farm(), desk.today()) if one.bed.key == seen.batch.bed]
    place = place_of(seen.batch)
    return page(
        request,
        "batch.html",
        seen=seen,
        drawn=drawn,
        typical=panels(found.typical) if found else None,
        typical_rows=side_by_side(found.typical) if found else (),
        doubt=doubt_in_words(found.doubt) if found else "",
        worth=batch_in_words(desk.plan(), key, seen.crop) if found and not found.gives_none else (),
        kinds=kinds,
        today=desk.today(),
        closed=closed,
        warned=warnings_at(place, [seen.crop]),
        general=general_words(place),
        handling=handling_notes([seen.crop]),
        weeds=weed_notes([seen.crop]),
    )


@router.post("/plan/{key}/records")
def record(request: Request, key: str, form: TheForm) -> Response:
    """Write down what was seen of a batch."""
    values: dict[str, object] = {name: form[name] for name in _FIELDS if form.get(name)}
    if form.get("final"):
        values["final"] = "yes"
    desk = desk_of(request)

    def written(work: UnitOfWork) -> None:
        add_row(desk, work, RowAsked("records", {**values, "batch": key}))

    carried_out(request, form, written)
    return back_to(f"/plan/{key}", "recorded")
