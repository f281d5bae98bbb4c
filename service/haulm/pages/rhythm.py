"""Sowings as a rhythm: the sentence with its slots, the list before it is written, and all of it in one tap."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any

from fastapi import APIRouter, Request, Response

from haulm.advice.rhythm import Rhythm
from haulm.errors import HaulmError, NotAccepted
from haulm.farm.faults import Fault
from haulm.farm.snapshot import Farm
from haulm.farm.words import BedKind, Method
from haulm.farm_folder.faults import FolderRefused
from haulm.jobs.desk.desk import Desk
from haulm.jobs.farm.sow_in_rhythm import ANY_BED, RhythmAsked, ShownRhythm, show_rhythm, sow_in_rhythm
from haulm.jobs.gaps.over_full_beds import fuller_beds
from haulm.language.words import _, many, marked
from haulm.pages.doing import Form, PageDesk, PageRoute, TheForm, carried_out, whole_number
from haulm.pages.look import back_to, page
from haulm.web.audience import Audience, only_for
from haulm.web.problems import status_of

router = APIRouter(include_in_schema=False, route_class=PageRoute, dependencies=[only_for(Audience.OWNER)])

METHODS: Mapping[Method, str] = {
    Method.COVER: marked("in trays under cover"),
    Method.HEATED: marked("on a heated bench"),
    Method.DIRECT: marked("where it stays"),
    Method.PLUGS: marked("as bought plants"),
    Method.TUBER: marked("as bulbs, corms or tubers"),
}
"""How a sowing of a rhythm is begun; what stands already is never sown."""
FIELDS = ("variety", "every", "first", "last", "places", "method", "bed")
_LISTED_UNDER = {"sown": "places", "plants": "places", "sow_date": "first", "plant_out_date": "first", "key": "variety"}
_EVERY, _PLACES = "3", "72"


@dataclass(frozen=True, slots=True)
class RhythmView:
    """What the form shows: what was typed, the list once it can be told, and a sentence beside each field at fault."""

    typed: Form
    shown: ShownRhythm | None
    faults: Mapping[str, str]
    fuller: tuple[str, ...] = ()

    @property
    def button(self) -> str:
        """What the tap does, with how many."""
        count = 0 if self.shown is None else len(self.shown.sowings)
        return many("Put this {count} sowing in the plan", "Put these {count} sowings in the plan", count)


@router.get("/rhythm")
def rhythm(request: Request, desk: PageDesk) -> Response:
    """The sentence; once it is filled in, the sowings it means, with the button that writes them."""
    typed = {name: request.query_params.get(name, "") for name in FIELDS}
    return page(request, "rhythm.html", **about(desk, seen(desk, typed if any(typed.values()) else {})))


@router.post("/rhythm")
def sow(request: Request, desk: PageDesk, form: TheForm) -> Response:
    """Write every sowing of the rhythm; what is refused stays in the form, each sentence beside its field."""
    refusal = sown(request, desk, form)
    if refusal is None:
        return back_to("/plan", "rhythm_sown")
    view = RhythmView(form, None, faults_of(refusal))
    return page(
        request, "rhythm.html", status=status_of(type(refusal), request.app.state.statuses), **about(desk, view)
    )


def sown(request: Request, desk: Desk, form: Form) -> HaulmError | None:
    """Write what the form asks; the refusal, where there is one."""
    try:
        asked = asked_in(form)
        carried_out(request, form, lambda work: sow_in_rhythm(desk, work, asked) and None, is_judged=True)
    except (NotAccepted, FolderRefused) as refusal:
        return refusal
    return None


def seen(desk: Desk, typed: Form) -> RhythmView:
    """The form as it is typed so far; an empty one begins with what is usual."""
    if not typed:
        day = desk.today().isoformat()
        usual = {"every": _EVERY, "places": _PLACES, "method": Method.COVER.value, "bed": ANY_BED, "first": day}
        return RhythmView(usual, None, {})
    try:
        shown = show_rhythm(desk, asked_in(typed))
    except (NotAccepted, FolderRefused) as refusal:
        return RhythmView(typed, None, faults_of(refusal))
    return RhythmView(typed, shown, {}, fuller_beds(shown.before, shown.after))


def about(desk: Desk, view: RhythmView) -> dict[str, Any]:
    """What the template of the form names."""
    farm = desk.store.farm()
    return {"view": view, "kinds": _kinds(farm), "beds": _beds(farm), "methods": _methods()}


def asked_in(form: Form) -> RhythmAsked:
    """The rhythm that a form asks for.

    Raises:
        FolderRefused: every field that says nothing that can be read, each by its name.
    """
    reading = _Reading(form)
    asked = RhythmAsked(
        Rhythm(
            variety=form.get("variety", ""),
            first=reading.day("first"),
            last=reading.day("last"),
            every_weeks=reading.count("every"),
            places=reading.count("places"),
            method=reading.method(),
        ),
        form.get("bed") or None,
    )
    if reading.faults:
        raise FolderRefused(faults=tuple(reading.faults))
    return asked


def faults_of(refusal: HaulmError) -> dict[str, str]:
    """A sentence for each field that has a fault; one that is of no field stands beside the first."""
    if not isinstance(refusal, FolderRefused):
        return {"variety": refusal.sentence}
    found: dict[str, str] = {}
    for fault in refusal.faults:
        column = fault.column or "variety"
        name = _LISTED_UNDER.get(column, column)
        found.setdefault(
            name if name in FIELDS else "variety",
            _("Found {found}; accepted is {accepted}.").format(found=fault.found, accepted=fault.accepted),
        )
    return found


class _Reading:
    """One reading of the form: values come out, faults are collected."""

    def __init__(self, form: Form) -> None:
        self._form = form
        self.faults: list[Fault] = []

    def day(self, name: str) -> date:
        try:
            return date.fromisoformat(self._form.get(name, ""))
        except ValueError:
            self._fault(name, _("a day of the calendar"))
            return date.min

    def count(self, name: str) -> int:
        try:
            return whole_number(name, self._form.get(name, ""))
        except NotAccepted as refusal:
            self._fault(name, refusal.accepted)
            return 1

    def method(self) -> Method:
        try:
            return Method(self._form.get("method", ""))
        except ValueError:
            self._fault("method", _("one of the list"))
            return Method.COVER

    def _fault(self, name: str, accepted: str) -> None:
        said = self._form.get(name, "")[:40]
        self.faults.append(Fault("rhythm", None, name, f"'{said}'" if said else _("nothing"), accepted))


def _kinds(farm: Farm) -> list[tuple[str, str]]:
    return sorted(((row.key, row.name) for row in farm.varieties), key=lambda one: one[1].casefold())


def _beds(farm: Farm) -> list[tuple[str, str]]:
    rows = [(bed.key, bed.name) for bed in farm.beds if bed.kind is not BedKind.BENCH]
    first = [(ANY_BED, _("each where there is room"))] if rows else []
    return [*first, *rows, ("", _("no bed named yet"))]


def _methods() -> list[tuple[str, str]]:
    return [(method.value, _(words)) for method, words in METHODS.items()]
