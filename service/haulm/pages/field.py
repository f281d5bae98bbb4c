"""The field: the walk bed by bed, the cut list with two taps a row, and the cool store."""

from __future__ import annotations

import re
from collections.abc import Sequence
from datetime import date

from fastapi import APIRouter, Request, Response

from haulm.errors import HaulmError, NotAccepted
from haulm.farm.place_words import Place
from haulm.farm.sprays import closed_beds
from haulm.farm.warnings import general_words, handling_notes, kinds_among, only_dried, warnings_at
from haulm.farm.weeks import next_of
from haulm.farm.words import Grade
from haulm.jobs.bucket_day.cut_list import cut_list
from haulm.jobs.desk.desk import Desk
from haulm.jobs.farm.doubtful_records import DoubtfulRecord, asks_forecast
from haulm.jobs.farm.stems_in_store import cut_variety
from haulm.jobs.field.cool_store import WAYS_OUT, cool_store, count_stored, move_stored, ways_out
from haulm.jobs.field.record_cut import CutAsked, cuts_of, record_cut, recount_cut
from haulm.jobs.field.record_walk import Blank, Said, Sighting, Walked, left_blank, record_walk
from haulm.jobs.field.walk_field import Growing, walk_field
from haulm.pages.doing import Form, PageDesk, PageRoute, TheForm, carried_out, desk_of, whole_number
from haulm.pages.look import back_to, page
from haulm.planning.keeping import crops_of
from haulm.store.words import Account
from haulm.web.audience import Audience, only_for
from haulm.web.problems import status_of

router = APIRouter(include_in_schema=False, route_class=PageRoute, dependencies=[only_for(Audience.HAND)])

_FIELDS = ("standing-", "kind-", "not-ready-", "said-", "amount-")
_AMOUNT = re.compile(r"(\d{1,7})\s*(%|)", re.ASCII)


@router.get("/walk")
def walk(request: Request, desk: PageDesk) -> Response:
    """Every bed in the order of walking, the last number beside what grows in it."""
    return _walk_page(request, desk, {})


@router.post("/walk")
def walked(request: Request, form: TheForm) -> Response:
    """Write down what was typed. What was left blank is asked about once; whatever is refused stays in the form."""
    desk = desk_of(request)
    try:
        seen = _seen(form)
        blank = Blank(form["closing"]) if form.get("closing") in tuple(Blank) else None
        is_empty = not seen and not form.get("frost")
        open_ones = left_blank(desk, desk.store.farm(), seen) if blank is None and not is_empty else ()
        if open_ones:
            return _walk_page(request, desk, form, blank=open_ones)
        asked = Walked(seen, bool(form.get("frost")), blank, form.get("walk") or None, really=bool(form.get("really")))
        carried_out(request, form, lambda work: record_walk(desk, work, asked) and None, is_judged=True)
    except HaulmError as refusal:
        return _walk_page(request, desk, form, refusal=refusal)
    return back_to("/walk", "recorded")


def _walk_page(
    request: Request,
    desk: Desk,
    typed: Form,
    *,
    blank: Sequence[Growing] = (),
    refusal: HaulmError | None = None,
) -> Response:
    """The walk, with what was typed in it."""
    found, day, farm = walk_field(desk), desk.today(), desk.store.farm()
    return page(
        request,
        "walk.html",
        status=200 if refusal is None else status_of(type(refusal), request.app.state.statuses),
        walk=found,
        many=[kind for kind in found.kinds if len(kind.batches) > 1],
        day=day,
        typed=typed,
        blank=blank,
        beds={bed.key: bed.name for bed in farm.beds},
        wrong=refusal,
        is_doubt=isinstance(refusal, DoubtfulRecord),
        closed=closed_beds(farm, day),
        warned=warnings_at(Place.WALK, [kind.crop for kind in found.kinds]),
    )


def _seen(form: Form) -> tuple[Sighting, ...]:
    """What was typed, bed by bed and kind by kind; an empty field says nothing."""
    seen: list[Sighting] = []
    names = dict.fromkeys(name.removeprefix(start) for start in _FIELDS for name in form if name.startswith(start))
    for name in names:
        standing, buds = form.get(f"standing-{name}"), form.get(f"not-ready-{name}")
        said, amount = form.get(f"said-{name}"), form.get(f"amount-{name}")
        if buds and not standing:
            found = f"nothing, beside {buds[:9]} not ready yet"
            raise NotAccepted(where="standing ready", found=found, accepted="a number; nought where none is ready")
        if amount and not said:
            found = f"{amount[:9]}, and not what became of them"
            raise NotAccepted(where="lost or gone", found=found, accepted="what it is beside the number")
        if standing:
            count = whole_number("standing ready", standing)
            not_ready = whole_number("not ready yet", buds) if buds else None
            seen.append(Sighting(Said.STANDING, batch=name, count=count, not_ready=not_ready))
        if said:
            seen.append(_said(name, said, amount or ""))
        if form.get(f"kind-{name}"):
            count = whole_number("standing ready", form[f"kind-{name}"])
            seen.append(Sighting(Said.STANDING, variety=name, count=count))
    return tuple(seen)


def _said(batch: str, said: str, amount: str) -> Sighting:
    """What else was said of a sowing; an amount is plants or stems, or with % a share of the plants."""
    found = _AMOUNT.fullmatch(amount)
    if said not in tuple(Said) or (amount and found is None):
        raise NotAccepted(where="how many", found=f"'{amount[:20]}'", accepted="a number such as 30, or 25 %")
    count, share = (int(found[1]), bool(found[2])) if found is not None else (None, False)
    return Sighting(Said(said), batch=batch, count=None if share else count, share_pct=count if share else None)


@router.get("/cut")
def to_cut(request: Request, desk: PageDesk, day: date | None = None) -> Response:
    """The cut list of a day, by default the next cut day."""
    return _cut_page(request, desk, day)


def _cut_page(
    request: Request, desk: Desk, day: date | None, typed: Form | None = None, refusal: HaulmError | None = None
) -> Response:
    """The cut list, with a cut that was refused still in its form."""
    farm, today = desk.store.farm(), desk.today()
    found = cut_list(desk, day or next_of(today, farm.site.cut_days))
    kinds, crops = [row.crop for row in found.rows], crops_of(farm)
    return page(
        request,
        "cut.html",
        status=200 if refusal is None else status_of(type(refusal), request.app.state.statuses),
        found=found,
        warned=warnings_at(Place.CUT, kinds),
        handling=handling_notes(kinds),
        names=_names(desk),
        today=today,
        done=[(record, cut_variety(farm, record.batch, record.variety)) for record in cuts_of(farm, today)],
        crops=crops,
        typed=typed if typed is not None and typed.get("variety") in crops else None,
        wrong=refusal,
        is_doubt=isinstance(refusal, DoubtfulRecord),
    )


@router.post("/cut")
def cut(request: Request, form: TheForm) -> Response:
    """Write down one row as cut; what is refused stays in its form."""
    desk, day = desk_of(request), _day(form, desk_of(request).today())
    try:
        asked = CutAsked(
            whole_number("stems", form.get("stems", "")),
            variety=form.get("variety"),
            left=_optional(form, "left"),
            length_cm=_optional(form, "length_cm") or None,
            grade=Grade.B if form.get("grade") == "B" else Grade.A,
            beyond_count=bool(form.get("beyond_count")),
            really=bool(form.get("really")),
        )
        needs_plan = asks_forecast(desk.store.farm(), {**form, "kind": "cut"})
        carried_out(request, form, lambda work: record_cut(desk, work, asked) and None, is_judged=needs_plan)
    except HaulmError as refusal:
        if day < desk.today() or day.isoweekday() not in desk.store.farm().site.cut_weekdays:
            raise
        return _cut_page(request, desk, day, form, refusal)
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
