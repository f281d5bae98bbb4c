"""Counting back: a kind, its stems, the day they leave; when to sow, prick out and plant for it. Nothing is written."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from fastapi import APIRouter, Request, Response

from haulm.errors import HaulmError, NotAccepted
from haulm.farm.products import Product
from haulm.farm.weeks import Week
from haulm.farm.words import LineClass, Method
from haulm.jobs.desk.desk import Desk
from haulm.jobs.growing.plan_back import MOST_STEMS, BackPlanAsked, BackPlanned, plan_back, usual_method
from haulm.jobs.growing.said_back import BackWay, ready_in_words, said_back, way_of
from haulm.language.words import _
from haulm.pages.doing import Form, PageDesk, PageRoute, whole_number
from haulm.pages.look import page
from haulm.pages.rhythm import METHODS
from haulm.web.audience import Audience, only_for
from haulm.web.kept import kept

router = APIRouter(include_in_schema=False, route_class=PageRoute, dependencies=[only_for(Audience.OWNER)])

_TYPED = ("kind", "stems", "day", "method")


@dataclass(frozen=True, slots=True)
class BackView:
    """What counting back has found, as the page says it.

    Attributes:
        found: what was found.
        sentence: the same in words.
        ready: when the stems have to become ready.
        ways: days to begin on with their heading: the latest, the best, the earliest; each day once.
        begun: what is done on the day to begin on.
    """

    found: BackPlanned
    sentence: str
    ready: str
    ways: tuple[tuple[str, BackWay], ...]
    begun: str


@router.get("/count-back", dependencies=[kept()])
def count_back(request: Request, desk: PageDesk) -> Response:
    """The form, and where kind, stems and day are named the days to begin on."""
    typed = {name: request.query_params.get(name, "") for name in _TYPED}
    is_asked = bool(typed["kind"] and (typed["stems"] or typed["day"]))
    view, faults = _counted(desk, typed) if is_asked else (None, {})
    farm = desk.store.farm()
    return page(
        request,
        "count_back.html",
        typed=typed,
        view=view,
        faults=faults,
        level=farm.site.level_of(LineClass.STANDING),
        kinds=sorted(((row.key, row.name) for row in farm.varieties), key=lambda one: one[1].casefold()),
        methods=[(method.value, _(words)) for method, words in METHODS.items()],
    )


def _counted(desk: Desk, typed: Form) -> tuple[BackView | None, dict[str, str]]:
    """What was found; or a sentence for each field that is at fault."""
    faults: dict[str, str] = {}
    stems = _stems(typed, faults)
    day = _day(typed, faults)
    try:
        product = Product.parse(typed["kind"], where=_("kind"))
        method = _method(desk, product, typed)
        if stems is None or day is None:
            return None, faults
        return _view(plan_back(desk, BackPlanAsked(product, Week.of(day), method, stems, day=day))), faults
    except HaulmError as refusal:
        field = refusal.where if isinstance(refusal, NotAccepted) else "kind"
        return None, {**faults, field if field in _TYPED else "kind": refusal.sentence}


def _view(found: BackPlanned) -> BackView:
    plan = found.plan
    named = ((_("At the latest"), plan.latest), (_("Best"), plan.best), (_("At the earliest"), plan.earliest))
    ways: dict[date, tuple[str, BackWay]] = {}
    for heading, tried in named:
        if tried is not None and tried.day not in ways:
            ways[tried.day] = (heading, way_of(found, tried))
    return BackView(
        found,
        said_back(found),
        ready_in_words(found),
        tuple(ways.values()),
        _("Plant") if found.asked.method in (Method.PLUGS, Method.TUBER) else _("Sow"),
    )


def _stems(typed: Form, faults: dict[str, str]) -> int | None:
    try:
        stems = whole_number("stems", typed["stems"])
        if not 1 <= stems <= MOST_STEMS:
            raise NotAccepted(where="stems", found=str(stems), accepted=_("1 to {most} stems").format(most=MOST_STEMS))
    except NotAccepted as refusal:
        faults["stems"] = refusal.sentence
        return None
    return stems


def _day(typed: Form, faults: dict[str, str]) -> date | None:
    try:
        return date.fromisoformat(typed["day"])
    except ValueError:
        found = _("nothing") if not typed["day"] else f"'{typed['day'][:40]}'"
        faults["day"] = NotAccepted(where=_("day"), found=found, accepted=_("a day of the calendar")).sentence
        return None


def _method(desk: Desk, product: Product, typed: Form) -> Method:
    if not typed["method"]:
        return usual_method(desk.plan(), product.variety)
    try:
        return Method(typed["method"])
    except ValueError:
        found = f"'{typed['method'][:40]}'"
        raise NotAccepted(where="method", found=found, accepted=_("one of the list")) from None
