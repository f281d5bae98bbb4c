"""The field: the walk with one number a product, the cut list with two taps a row, and the cool store."""

from __future__ import annotations

from datetime import date

from fastapi import APIRouter, Request, Response

from haulm.errors import NotAccepted
from haulm.farm.place_words import Place
from haulm.farm.sprays import closed_beds
from haulm.farm.warnings import general_words, handling_notes, kinds_among, only_dried, warnings_at
from haulm.farm.weeks import next_of
from haulm.farm.words import Grade
from haulm.jobs.cool_store import WAYS_OUT, cool_store, count_stored, move_stored, ways_out
from haulm.jobs.cut_list import cut_list
from haulm.jobs.record_cut import CutAsked, cuts_of, record_cut, recount_cut
from haulm.jobs.stems_in_store import cut_variety
from haulm.jobs.walk_field import Count, record_walk, walk_field
from haulm.pages.doing import PageDesk, PageRoute, TheForm, carried_out, desk_of, whole_number
from haulm.pages.look import back_to, page
from haulm.planning.keeping import crops_of
from haulm.store.words import Account
from haulm.web.audience import Audience, only_for

router = APIRouter(include_in_schema=False, route_class=PageRoute, dependencies=[only_for(Audience.HAND)])

_COUNTED, _NOT_READY = "standing-", "not-ready-"


@router.get("/walk")
def walk(request: Request, desk: PageDesk) -> Response:
    """One field a product, the last number beside it."""
    stops, day = walk_field(desk), desk.today()
    return page(
        request,
        "walk.html",
        stops=stops,
        day=day,
        closed=closed_beds(desk.store.farm(), day),
        warned=warnings_at(Place.WALK, [stop.crop for stop in stops]),
    )


@router.post("/walk")
def walked(request: Request, form: TheForm) -> Response:
    """Write down every number that was typed; an empty field says nothing."""
    desk = desk_of(request)
    for name, value in form.items():
        if name.startswith(_NOT_READY) and value and not form.get(_COUNTED + name.removeprefix(_NOT_READY)):
            found = f"nothing, beside {value[:9]} not ready yet"
            raise NotAccepted(where="standing ready", found=found, accepted="a number; nought where none is ready")
    counts = [
        Count(
            name.removeprefix(_COUNTED),
            whole_number(name, value),
            _optional(form, _NOT_READY + name.removeprefix(_COUNTED)),
        )
        for name, value in form.items()
        if name.startswith(_COUNTED) and value
    ]
    carried_out(request, form, lambda work: record_walk(desk, work, counts, frost=bool(form.get("frost"))) and None)
    return back_to("/walk", "recorded")


@router.get("/cut")
def to_cut(request: Request, desk: PageDesk, day: date | None = None) -> Response:
    """The cut list of a day, by default the next cut day."""
    chosen = day or next_of(desk.today(), desk.store.farm().site.cut_days)
    farm, today = desk.store.farm(), desk.today()
    found = cut_list(desk, chosen)
    kinds = [row.crop for row in found.rows]
    return page(
        request,
        "cut.html",
        found=found,
        warned=warnings_at(Place.CUT, kinds),
        handling=handling_notes(kinds),
        names=_names(desk),
        today=today,
        done=[(record, cut_variety(farm, record.batch, record.variety)) for record in cuts_of(farm, today)],
        crops=crops_of(farm),
    )


@router.post("/cut")
def cut(request: Request, form: TheForm) -> Response:
    """Write down one row as cut."""
    desk, day = desk_of(request), _day(form, desk_of(request).today())
    asked = CutAsked(
        whole_number("stems", form.get("stems", "")),
        variety=form.get("variety"),
        left=_optional(form, "left"),
        length_cm=_optional(form, "length_cm") or None,
        grade=Grade.B if form.get("grade") == "B" else Grade.A,
        beyond_count=bool(form.get("beyond_count")),
    )
    carried_out(request, form, lambda work: record_cut(desk, work, asked) and None)
    return back_to(f"/cut?day={day}", "recorded")


@router.post("/cut/{record}")
def recount(request: Request, record: str, form: TheForm) -> Response:
    """Put right a number that was typed wrong."""
    desk, day = desk_of(request), _day(form, desk_of(request).today())
    stems = whole_number("stems", form.get("stems", ""))
    carried_out(request, form, lambda work: recount_cut(desk, work, record, stems) and None)
    return back_to(f"/cut?day={day}", "recorded")


@router.get("/store")
def stored(request: Request, desk: PageDesk) -> Response:
    """What is in the cool store, the oldest first."""
    crops, stems = desk.plan().crops, cool_store(desk)
    products = [one.product for one in stems]
    kinds = kinds_among(products, crops)
    return page(
        request,
        "store.html",
        stems=stems,
        crops=crops,
        ways=ways_out,
        warned=warnings_at(Place.CONDITIONING, kinds, only_dried(products)),
        general=general_words(Place.CONDITIONING) if kinds else (),
        handling=handling_notes(kinds),
    )


@router.post("/store")
def moved(request: Request, form: TheForm) -> Response:
    """Let stems go to the stall, to drying or to waste."""
    desk, to = desk_of(request), form.get("to", "")
    if to not in WAYS_OUT:
        raise NotAccepted(where="to", found=f"'{to}'", accepted=f"one of {', '.join(WAYS_OUT)}")
    stems = whole_number("stems", form.get("stems", ""))
    pile, reason = form.get("pile", ""), form.get("reason", "")
    carried_out(request, form, lambda work: move_stored(desk, work, pile, Account(to), stems, reason=reason))
    return back_to("/store", "moved")


@router.post("/store/count")
def stock_taken(request: Request, form: TheForm) -> Response:
    """Take stock of a pile."""
    desk, pile, counted = desk_of(request), form.get("pile", ""), whole_number("counted", form.get("counted", ""))
    carried_out(request, form, lambda work: {"difference": count_stored(desk, work, pile, counted)})
    return back_to("/store", "recorded")


def _day(form: TheForm, today: date) -> date:
    """The day whose list the form was on."""
    try:
        return date.fromisoformat(form.get("day") or str(today))
    except ValueError:
        raise NotAccepted(where="day", found=f"'{form['day'][:20]}'", accepted="a day such as 2027-08-14") from None


def _optional(form: TheForm, name: str) -> int | None:
    return whole_number(name, form[name]) if form.get(name) else None


def _names(desk: PageDesk) -> dict[str, str]:
    return {customer.key: customer.name for customer in desk.store.farm().customers}
