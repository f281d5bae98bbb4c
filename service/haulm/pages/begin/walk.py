"""The steps after the place: kinds, beds, florists, sowings, a wedding, and the first answers."""

from __future__ import annotations

from datetime import date, timedelta
from typing import Any

from fastapi import APIRouter, Request, Response
from fastapi.responses import RedirectResponse

from haulm.crop_library.library import library, library_crop_for
from haulm.errors import HaulmError, NotAccepted
from haulm.farm.faults import Fault
from haulm.farm.snapshot import Farm
from haulm.farm.weeks import Week
from haulm.farm.words import BedKind, CustomerKind, OrderKind, OrderStatus, Weekday
from haulm.farm_folder.faults import FolderRefused
from haulm.jobs.desk.desk import Desk
from haulm.jobs.farm.change_rows import RowAsked, change_row
from haulm.jobs.farm.enter_rows import (
    BEDS_MADE,
    FLORIST_ENTERED,
    KINDS_PICKED,
    WEDDING_ENTERED,
    KeyOf,
    NewRow,
    enter_rows,
    picked_kind,
)
from haulm.jobs.gaps.see_beginning import kinds_in_flower, may_promise_on, metres_of, outdoor_seasons, places_at_once
from haulm.jobs.gaps.see_shortfalls import see_shortfalls
from haulm.jobs.growing.see_batch import see_batches
from haulm.jobs.promises.list_availability import AvailabilityAsked, list_availability
from haulm.language.words import _
from haulm.pages.begin.steps import STEPS, step_page
from haulm.pages.doing import Form, PageDesk, PageRoute, TheForm, carried_out, whole_number
from haulm.pages.look import HEADERS, back_to
from haulm.pages.rhythm import FIELDS, RhythmView, about, faults_of, seen, sown
from haulm.store.unit_of_work import UnitOfWork
from haulm.web.audience import Audience, only_for

router = APIRouter(include_in_schema=False, route_class=PageRoute, dependencies=[only_for(Audience.OWNER)])

KINDS, BEDS, FLORISTS, SOWINGS, WEDDING, ANSWER = range(1, 7)
_TICK, _COLOUR = "kind-", "colour-"
_LINES = range(1, 4)
_MOST_ALIKE = 60
_WEEKS_TOLD = 52
_GAPS_TOLD = 3
_USUAL_BED = {"name": "Bed", "alike": "8", "metres": "20", "width_cm": "120"}


@router.get("/begin/kinds")
def kinds(request: Request, desk: PageDesk) -> Response:
    """The kinds of the library to tick, and when those ticked could flower here."""
    return _kinds(request, desk)


@router.post("/begin/kinds")
def pick(request: Request, desk: PageDesk, form: TheForm) -> Response:
    """Add every kind that is ticked and not grown yet."""
    ticked = [name.removeprefix(_TICK) for name in form if name.startswith(_TICK)]
    grown = _grown(desk.store.farm())
    rows = [
        picked_kind(key, form.get(f"{_COLOUR}{key}", "")) for key in ticked if key in library() and key not in grown
    ]
    if rows:
        carried_out(request, form, lambda work: enter_rows(work, KINDS_PICKED, rows, desk.today()) and None)
    return RedirectResponse(STEPS[KINDS].path + "#already", status_code=303, headers=HEADERS)


@router.post("/begin/kinds/colours")
def colours(request: Request, desk: PageDesk, form: TheForm) -> Response:
    """Write the colours of kinds of which none was said; a field that is left empty says nothing."""
    bare = {row.key for row in desk.store.farm().varieties if not row.colour}
    said = {
        key: text for name, text in form.items() if text and (key := name.removeprefix(_COLOUR)) != name and key in bare
    }

    def act(work: UnitOfWork) -> None:
        for key, colour in said.items():
            change_row(desk, work, key, RowAsked("varieties", {"colour": colour}), expected=None)

    carried_out(request, form, act)
    return RedirectResponse(STEPS[KINDS].path + "#already", status_code=303, headers=HEADERS)


@router.get("/begin/beds")
def beds(request: Request, desk: PageDesk) -> Response:
    """Beds, so many alike, and what they hold."""
    return _beds(request, desk, _USUAL_BED)


@router.post("/begin/beds")
def make_beds(request: Request, desk: PageDesk, form: TheForm) -> Response:
    """Make beds, so many alike."""
    try:
        rows = _new_beds(desk.store.farm(), form)
        carried_out(request, form, lambda work: enter_rows(work, BEDS_MADE, rows, desk.today()) and None)
    except (NotAccepted, FolderRefused) as refusal:
        return _beds(request, desk, form, refusal)
    return back_to(STEPS[BEDS].path, "row_added")


@router.get("/begin/florists")
def florists(request: Request, desk: PageDesk) -> Response:
    """Who buys each week, and what of it is short."""
    return _florists(request, desk, {})


@router.post("/begin/florists")
def add_florist(request: Request, desk: PageDesk, form: TheForm) -> Response:
    """Add a florist with what they take each week."""
    try:
        rows = _florist_rows(form, desk.today())
        carried_out(request, form, lambda work: enter_rows(work, FLORIST_ENTERED, rows, desk.today()) and None)
    except (NotAccepted, FolderRefused) as refusal:
        return _florists(request, desk, form, refusal)
    return back_to(STEPS[FLORISTS].path, "row_added")


@router.get("/begin/sowings")
def sowings(request: Request, desk: PageDesk) -> Response:
    """Sowings as a rhythm, and what all of them give by month."""
    typed = {name: request.query_params.get(name, "") for name in FIELDS}
    return _sowings(request, desk, seen(desk, typed if any(typed.values()) else {}))


@router.post("/begin/sowings")
def sow(request: Request, desk: PageDesk, form: TheForm) -> Response:
    """Write a rhythm."""
    refusal = sown(request, desk, form)
    if refusal is None:
        return back_to(STEPS[SOWINGS].path, "rhythm_sown")
    return _sowings(request, desk, RhythmView(form, None, faults_of(refusal)), refusal)


@router.get("/begin/wedding")
def wedding(request: Request, desk: PageDesk) -> Response:
    """A wedding that is agreed already."""
    return _wedding(request, desk, {})


@router.post("/begin/wedding")
def add_wedding(request: Request, desk: PageDesk, form: TheForm) -> Response:
    """Add a wedding with its stems."""
    try:
        rows = _wedding_rows(form, desk.today())
        carried_out(request, form, lambda work: enter_rows(work, WEDDING_ENTERED, rows, desk.today()) and None)
    except (NotAccepted, FolderRefused) as refusal:
        return _wedding(request, desk, form, refusal)
    return RedirectResponse(STEPS[ANSWER].path, status_code=303, headers=HEADERS)


@router.get("/begin/answer")
def answer(request: Request, desk: PageDesk, day: str = "") -> Response:
    """What may be promised on a day, and what will be short."""
    told: tuple[Any, ...] = ()
    refusal: HaulmError | None = None
    asked = None
    try:
        asked = _day("day", day) if day else None
        told = may_promise_on(desk, asked) if asked is not None else ()
    except HaulmError as wrong:
        refusal = wrong
    usual = desk.today() + timedelta(weeks=12)
    values = {"typed": {"day": day or usual.isoformat()}, "asked": asked, "told": told}
    return step_page(request, ANSWER, "begin_answer.html", refusal=refusal, gaps=_gaps(desk), **values)


def _kinds(request: Request, desk: Desk) -> Response:
    farm = desk.store.farm()
    found = kinds_in_flower(farm, desk.today()) if farm.varieties else ()
    seasons = outdoor_seasons(farm, desk.today()) if farm.site.frost is not None else ()
    return step_page(
        request,
        KINDS,
        "begin_kinds.html",
        bare=[(row.key, row.name) for row in farm.varieties if not row.colour],
        listed=sorted(library().values(), key=lambda kind: kind.name.casefold()),
        grown=_grown(farm),
        found=found,
        seasons=seasons,
        more=len(farm.varieties) - len(found),
    )


def _grown(farm: Farm) -> frozenset[str]:
    """The library's kinds that the farm has a variety of, by its key."""
    kinds = (library_crop_for(row) for row in farm.varieties)
    return frozenset(kind.key for kind in kinds if kind is not None)


def _beds(request: Request, desk: Desk, typed: Form, refusal: HaulmError | None = None) -> Response:
    farm = desk.store.farm()
    return step_page(
        request,
        BEDS,
        "begin_beds.html",
        refusal=refusal,
        typed=typed,
        farm=farm,
        metres=metres_of(farm),
        held=places_at_once(farm),
        bed_kinds=[(BedKind.OUTDOOR, _("outdoors")), (BedKind.TUNNEL, _("in a tunnel"))],
    )


def _new_beds(farm: Farm, form: Form) -> list[NewRow]:
    alike = whole_number(_("how many alike"), form.get("alike", "") or "1")
    if not 1 <= alike <= _MOST_ALIKE:
        accepted = _("1 to {most}").format(most=_MOST_ALIKE)
        raise NotAccepted(where=_("how many alike"), found=f"{alike}", accepted=accepted)
    name = form.get("name", "")
    taken = {bed.name for bed in farm.beds}
    start = 1
    while alike > 1 and f"{name} {start}" in taken:
        start += 1
    names = [name] if alike == 1 else [f"{name} {number}" for number in range(start, start + alike)]
    said = {key: form.get(key, "").replace(",", ".") for key in ("metres", "width_cm")}
    return [NewRow("beds", {"name": one, "kind": form.get("kind", ""), **said}) for one in names]


def _florists(request: Request, desk: Desk, typed: Form, refusal: HaulmError | None = None) -> Response:
    farm = desk.store.farm()
    today = desk.today()
    usual = {"first": today.isoformat(), "last": date(today.year, 10, 31).isoformat(), "weekday": Weekday.TUE.value}
    return step_page(
        request,
        FLORISTS,
        "begin_florists.html",
        refusal=refusal,
        typed=typed or usual,
        weekdays=[(day.value, day.full_name) for day in Weekday],
        farm=farm,
        wanted=_wanted(farm),
        gaps=_gaps(desk),
        **_choices(farm),
    )


def _wanted(farm: Farm) -> list[tuple[str, str, list[tuple[int, str]]]]:
    """Each standing order as people say it: who, on which day, how many of what."""
    names = {row.key: row.name for row in farm.varieties}
    people = {row.key: row.name for row in farm.customers}
    return [
        (
            people[order.customer],
            order.weekday.full_name,
            [
                (line.stems, names.get(line.product.variety, "") if line.product else "")
                for line in farm.standing_lines
                if line.order == order.key
            ],
        )
        for order in farm.standing_orders
    ]


def _florist_rows(form: Form, today: date) -> list[NewRow]:
    first, last = _day("first", form.get("first", "")), _day("last", form.get("last", ""))
    rows = [
        NewRow("customers", {"name": form.get("who", ""), "kind": CustomerKind.FLORIST.value}),
        NewRow(
            "standing_orders",
            {
                "customer": KeyOf(0),
                "weekday": form.get("weekday", ""),
                "first_week": str(Week.of(first)),
                "last_week": str(Week.of(last)),
                "committed_on": today.isoformat(),
            },
        ),
    ]
    return [*rows, *_lines(form, "standing_lines", KeyOf(1))]


def _wedding(request: Request, desk: Desk, typed: Form, refusal: HaulmError | None = None) -> Response:
    farm = desk.store.farm()
    return step_page(request, WEDDING, "begin_wedding.html", refusal=refusal, typed=typed, farm=farm, **_choices(farm))


def _wedding_rows(form: Form, today: date) -> list[NewRow]:
    day = _day("event_date", form.get("event_date", ""))
    rows = [
        NewRow("customers", {"name": form.get("who", ""), "kind": CustomerKind.WEDDING.value}),
        NewRow(
            "orders",
            {
                "customer": KeyOf(0),
                "kind": OrderKind.WEDDING.value,
                "event_date": day.isoformat(),
                "due_date": (day - timedelta(days=1)).isoformat(),
                "status": OrderStatus.CONTRACTED.value,
                "committed_on": today.isoformat(),
            },
        ),
    ]
    return [*rows, *_lines(form, "order_lines", KeyOf(1))]


def _lines(form: Form, collection: str, order: KeyOf) -> list[NewRow]:
    """The lines of an order from the form's slots; a slot without stems is left out."""
    found = [
        NewRow(collection, {"order": order, "product": form.get(f"kind{at}", ""), "stems": form[f"stems{at}"]})
        for at in _LINES
        if form.get(f"stems{at}")
    ]
    if not found:
        raise FolderRefused(faults=(Fault("lines", None, "stems", _("nothing"), _("stems of one kind at least")),))
    return found


def _sowings(request: Request, desk: Desk, view: RhythmView, refusal: HaulmError | None = None) -> Response:
    values = about(desk, view)
    return step_page(
        request, SOWINGS, "begin_sowings.html", refusal=refusal, sown=see_batches(desk), ready=_by_month(desk), **values
    )


def _by_month(desk: Desk) -> list[tuple[date, int]]:
    """Stems that a middling season makes ready, by month, for a year ahead."""
    plan = desk.plan()
    if not plan.farm.batches or plan.growth.forecast is None:
        return []
    asked = AvailabilityAsked(Week.of(desk.today()), _WEEKS_TOLD, plan.farm.site.free_level, None)
    found: dict[date, int] = {}
    for row in list_availability(desk, asked):
        if row.week is not None and row.ready[1]:
            month = row.week.monday.replace(day=1)
            found[month] = found.get(month, 0) + row.ready[1]
    return sorted(found.items())


def _gaps(desk: Desk) -> tuple[Any, ...]:
    return see_shortfalls(desk)[:_GAPS_TOLD]


def _choices(farm: Farm) -> dict[str, Any]:
    kinds = sorted(((row.key, row.name) for row in farm.varieties), key=lambda one: one[1].casefold())
    return {"kinds": kinds, "lines": _LINES}


def _day(name: str, text: str) -> date:
    try:
        return date.fromisoformat(text)
    except ValueError:
        found = f"'{text[:40]}'" if text else _("nothing")
        raise FolderRefused(faults=(Fault("begin", None, name, found, _("a day of the calendar")),)) from None
