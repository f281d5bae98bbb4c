"""The bucket list: what is settled and what is expected; settled as it was seen, corrected, taken back; claims."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from typing import Any

from fastapi import APIRouter, Request, Response
from fastapi.responses import RedirectResponse

from haulm.advice.asked_words import asked_in_words
from haulm.advice.shortfalls import asked_of
from haulm.advice.sprayed import sprays_on
from haulm.errors import NotAccepted
from haulm.farm.place_words import Place
from haulm.farm.products import Product
from haulm.farm.snapshot import Farm
from haulm.farm.varieties import Crop
from haulm.farm.warnings import general_words, handling_notes, kinds_among, only_dried, warnings_at
from haulm.farm.weeks import day_in_words, next_of
from haulm.jobs.bucket_day.after_the_list import Claimed, claims, make_claim
from haulm.jobs.bucket_day.bucket_lines import BucketList, Choices, DeliveryKey, LineDue
from haulm.jobs.bucket_day.confirm_bucket_list import Settling, confirm_bucket_list, post_bucket_list
from haulm.jobs.bucket_day.confirmed_lists import short_before, short_customers
from haulm.jobs.bucket_day.correct_list import Correction, correct_list, take_back
from haulm.jobs.bucket_day.deliver_list import deliver_list
from haulm.jobs.bucket_day.fill_rate import fill_rate
from haulm.jobs.bucket_day.keep_shares import keep_shares
from haulm.jobs.bucket_day.kept_shares import kept_evenly
from haulm.jobs.bucket_day.listed import LineChanged, WeekList, delivery_tags, figures_of, stems_listed, tag_of
from haulm.jobs.bucket_day.reasons import Reason
from haulm.jobs.bucket_day.refusals import DraftChanged, ListFarAhead
from haulm.jobs.bucket_day.season_end import season_end
from haulm.jobs.bucket_day.see_week import see_week
from haulm.jobs.bucket_day.tell_expected import see_telling, tell_expected
from haulm.jobs.bucket_day.tell_what_left import lines_over, tell_what_left
from haulm.jobs.desk.seen import FigureChanged
from haulm.pages.doing import Form, PageDesk, PageRoute, TheForm, carried_out, desk_of, whole_number
from haulm.pages.look import HEADERS, back_to, page
from haulm.planning.keeping import crops_of
from haulm.store.unit_of_work import UnitOfWork
from haulm.web.audience import Audience, only_for
from haulm.web.kept import kept

router = APIRouter(include_in_schema=False, route_class=PageRoute, dependencies=[only_for(Audience.OWNER)])
hands = APIRouter(include_in_schema=False, route_class=PageRoute, dependencies=[only_for(Audience.HAND)])
"""What a farm hand sees and does of it: the list, and that the van has left."""

_STEMS, _KIND, _EVENLY, _YES = "stems-", "kind-", "evenly-", "yes-"
_SHARES = "shares"
_NO_CUT, _SEEN, _TAG, _LEFT = "no-cut-", "seen-", "tag-", "left-"
_ALL = "all"
_WEEK = timedelta(days=7)
_LOOK_FIRST, _CHANGED = 428, 412


@dataclass(frozen=True, slots=True)
class _Why:
    """Why nothing was settled, where something was to be: to look first, what has changed, or a day far ahead."""

    status: int = 200
    is_to_look_first: bool = False
    changed: Sequence[LineChanged] | None = None
    far_ahead: str = ""


@hands.get("/bucket")
def next_list(desk: PageDesk) -> Response:
    """To the next bucket day."""
    day = next_of(desk.today(), (desk.store.farm().site.bucket_day,))
    return RedirectResponse(f"/bucket/{day}", status_code=303, headers=HEADERS)


@hands.get("/bucket/{day}")
def bucket(request: Request, desk: PageDesk, day: date) -> Response:
    """The list of a bucket day: what is settled of it, and what is expected with the grower's choices."""
    return _shown(request, desk, day, _choices(dict(request.query_params)))


@router.post("/bucket/{day}")
def settle(request: Request, day: date, form: TheForm) -> Response:
    """Settle one delivery, or all that can be, as the form showed them; a form without what it showed settles none."""
    desk, choices, which = desk_of(request), _choices(form), form.get("settle", "")
    if not which or not form.get("tag"):
        return _shown(request, desk, day, choices, _Why(_LOOK_FIRST, is_to_look_first=True))
    settling = _settling(form, which, choices)
    if which != _ALL:
        choices = _of_delivery(form, which, choices)

    def settled(work: UnitOfWork) -> None:
        post_bucket_list(work, confirm_bucket_list(desk, work, day, choices, settling))

    try:
        carried_out(request, form, settled, is_judged=True)
    except DraftChanged as changed:
        return _shown(request, desk, day, choices, _Why(_CHANGED, changed=changed.changes))
    except ListFarAhead as ahead:
        return _shown(request, desk, day, choices, _Why(_LOOK_FIRST, far_ahead=ahead.sentence))
    return back_to(f"/bucket/{day}", "settled")


@router.post("/bucket/{day}/shares")
def shares(request: Request, day: date, form: TheForm) -> Response:
    """Keep which products are shared evenly."""
    desk, evenly = desk_of(request), _evenly(form) or frozenset()

    def kept_so(work: UnitOfWork) -> None:
        keep_shares(desk, work, day, evenly)

    carried_out(request, form, kept_so, is_judged=True)
    return back_to(f"/bucket/{day}", "changed")


@router.post("/bucket/{day}/expected")
def expected(request: Request, day: date, form: TheForm) -> Response:
    """Send what is expected to everybody on the list who was not told yet."""
    desk, evenly = desk_of(request), _evenly(form)

    def told(work: UnitOfWork) -> dict[str, object]:
        return {"queued": list(tell_expected(desk, work, day, evenly).queued)}

    carried_out(request, form, told, is_judged=True)
    return back_to(f"/bucket/{day}", "expected_told")


@router.post("/bucket/{day}/correct")
def correct(request: Request, day: date, form: TheForm) -> Response:
    """Correct a settled line, up or down, until the van leaves."""
    desk = desk_of(request)
    line, due = _line_and_due(form.get("line", ""))
    stems = whole_number("stems", form.get("stems", ""))
    correction = Correction(line, due, stems, form.get("reason", ""), form.get("note", ""))
    carried_out(request, form, lambda work: correct_list(desk, work, day, correction))
    return back_to(f"/bucket/{day}", "changed")


@router.post("/bucket/{day}/take-back")
def taken_back(request: Request, day: date, form: TheForm) -> Response:
    """Take a settled delivery back, or the whole list, while nothing of it has left."""
    desk, which = desk_of(request), form.get("which", "")
    named = () if which == _ALL else (_line_and_due(which),)
    carried_out(request, form, lambda work: {"stems": take_back(desk, work, day, named)})
    return back_to(f"/bucket/{day}", "taken_back")


@router.post("/bucket/{day}/left")
def left(request: Request, day: date, form: TheForm) -> Response:
    """Say what left on a day that is over."""
    desk, key = desk_of(request), _line_and_due(form.get("which", ""))
    typed = {name.removeprefix(_LEFT): value for name, value in form.items() if name.startswith(_LEFT)}
    stems = {line: whole_number("stems", value or "0") for line, value in typed.items()}
    carried_out(request, form, lambda work: tell_what_left(desk, work, day, key, stems))
    return back_to(f"/bucket/{day}", "recorded")


@hands.post("/bucket/{day}/delivered")
def delivered(request: Request, day: date, form: TheForm) -> Response:
    """The van has left with what is packed for a day."""
    desk, due = desk_of(request), form.get("due", "")
    chosen = _day(due) if due else None
    carried_out(request, form, lambda work: {"stems": deliver_list(desk, work, day, chosen)})
    return back_to(f"/bucket/{day}", "moved")


@router.get("/claims", dependencies=[kept()])
def all_claims(request: Request, desk: PageDesk) -> Response:
    """Every claim, and the batches it leads back to."""
    site = desk.store.farm().site
    return page(request, "claims.html", claims=claims(desk), currency=site.currency, served=fill_rate(desk))


@router.post("/claims")
def claim(request: Request, form: TheForm) -> Response:
    """Write down what a customer says was wrong."""
    desk = desk_of(request)
    line, due = _line_and_due(form.get("line", ""))
    said = Claimed(line, due, whole_number("stems", form.get("stems", "")), form.get("reason", ""))
    credit = whole_number("credit", form["credit_minor"]) if form.get("credit_minor") else None
    carried_out(request, form, lambda work: {"number": make_claim(desk, work, said, credit)})
    return back_to("/claims", "recorded")


@router.get("/season", dependencies=[kept()])
def season(request: Request, desk: PageDesk, year: int | None = None) -> Response:
    """The year in figures."""
    return page(request, "season.html", season=season_end(desk, year or desk.today().year), names=_names(desk))


def _care(products: Iterable[Product], crops: Mapping[str, Crop]) -> dict[str, Any]:
    """What is to be said where stems are stripped and put in buckets."""
    found = list(products)
    kinds = kinds_among(found, crops)
    return {
        "warned": warnings_at(Place.CONDITIONING, kinds, only_dried(found)),
        "general": general_words(Place.CONDITIONING) if kinds else (),
        "handling": handling_notes(kinds),
    }


def _care_of_week(farm: Farm, crops: Mapping[str, Crop], week: WeekList) -> dict[str, Any]:
    """The same of a week's list, with the sprays of what is settled; kinds grown no more keep their own caution."""
    lines = [line for one in week.settled for line in one.lines]
    stems = list(stems_listed(lines))
    expected = [source.product for one in week.draft.lines for source in (*one.sources, *one.spare_sources)]

    def known(line: Mapping[str, Any]) -> bool:
        return all(product.variety in crops for product, _ in stems_listed([line]))

    return {
        **_care([*(product for product, _ in stems), *expected], crops),
        "known": known,
        "sprays": sprays_on(farm, crops, stems, week.draft.day),
    }


def _shown(request: Request, desk: PageDesk, day: date, choices: Choices, why: _Why | None = None) -> Response:
    """The page of a list, and above it why nothing was settled, where something was to be."""
    why = why or _Why()
    found = see_week(desk, day, choices)
    # What the form carries is the list as its choices make it, before numbers are typed into it.
    shown = see_week(desk, day, _as_shown(choices)) if choices.trimmed else found
    farm = desk.store.farm()
    crops = crops_of(farm)
    draft = found.draft
    return page(
        request,
        "bucket.html",
        status=why.status,
        found=found,
        tag=tag_of(shown),
        tags=delivery_tags(shown),
        figures=figures_of(shown),
        asked_for={one.line: asked_in_words(asked_of(one.line), crops) for one in draft.lines},
        day=day,
        today=desk.today(),
        names=_names(desk),
        again=short_customers(draft.lines) & short_before(desk, day),
        chosen=choices,
        evenly=kept_evenly(desk.store, day) if choices.evenly is None else choices.evenly,
        telling=see_telling(desk, found),
        short=_short_products(draft),
        crops=crops,
        reasons=list(Reason),
        over=lines_over(desk, day),
        look_first=why.is_to_look_first,
        changed=None if why.changed is None else _in_words(why.changed, found, farm, crops),
        far_ahead=why.far_ahead,
        **_care_of_week(farm, crops, found),
        before=day - _WEEK if day - date.min >= _WEEK else None,
        after=day + _WEEK if date.max - day >= _WEEK else None,
    )


def _in_words(
    changed: Sequence[LineChanged], found: WeekList, farm: Farm, crops: Mapping[str, Crop]
) -> list[FigureChanged]:
    """What has changed, with customer and kind; a line that is not there any more has neither."""
    names = {customer.key: customer.name for customer in farm.customers}
    expected = {(one.line.line, one.line.due): one for one in found.draft.lines}
    rows = []
    for one in changed:
        bucket = expected.get((one.line, one.due))
        settled = next(
            ((own.customer, line) for own in found.settled for line in own.lines if line["line"] == one.line), None
        )
        customer, asked = "", "a line that is gone"
        if bucket is not None:
            customer, asked = bucket.line.customer, asked_in_words(asked_of(bucket.line), crops)
        elif settled is not None:
            customer, asked = settled[0], asked_in_words(settled[1]["product"] or settled[1]["choice"], crops)
        whose = f" for {names.get(customer, customer)}" if customer else ""
        was, now = (None if stems is None else str(stems) for stems in (one.was, one.now))
        rows.append(FigureChanged(f"{asked}{whose}, {day_in_words(one.due)}", was, now))
    return rows


def _names(desk: PageDesk) -> dict[str, str]:
    return {customer.key: customer.name for customer in desk.store.farm().customers}


def _choices(form: Form) -> Choices:
    trimmed = {
        _line_and_due(name.removeprefix(_STEMS)): whole_number("stems", value)
        for name, value in form.items()
        if name.startswith(_STEMS) and value
    }
    kinds = {
        _line_and_due(name.removeprefix(_KIND)): Product.parse(value, where="kind")
        for name, value in form.items()
        if name.startswith(_KIND) and value
    }
    return Choices(
        trimmed=trimmed,
        kinds=kinds,
        evenly=_evenly(form),
        acknowledged=frozenset(name.removeprefix(_YES) for name in form if name.startswith(_YES)),
        no_cut=frozenset(_line_and_due(name.removeprefix(_NO_CUT)) for name in form if name.startswith(_NO_CUT)),
    )


def _evenly(form: Form) -> frozenset[str] | None:
    """The products to share evenly; None where the form did not ask which."""
    ticked = frozenset(name.removeprefix(_EVENLY) for name in form if name.startswith(_EVENLY))
    return ticked if ticked or _SHARES in form else None


def _of_delivery(form: Form, which: str, choices: Choices) -> Choices:
    """The choices without numbers that were typed for other deliveries than the one that is settled."""
    own = {
        _line_and_due(name.removeprefix(_SEEN))
        for name, value in form.items()
        if name.startswith(_SEEN) and value.partition(" ")[2] == which
    }
    return replace(choices, trimmed={key: stems for key, stems in choices.trimmed.items() if key in own})


def _as_shown(choices: Choices) -> Choices:
    return Choices(kinds=choices.kinds, evenly=choices.evenly, no_cut=choices.no_cut)


def _settling(form: Form, which: str, choices: Choices) -> Settling:
    """What is settled, under the tags and with the stems that the form showed."""
    seen: dict[LineDue, int] = {
        _line_and_due(name.removeprefix(_SEEN)): whole_number("seen", value.partition(" ")[0])
        for name, value in form.items()
        if name.startswith(_SEEN)
    }
    deliveries: dict[DeliveryKey, str | None] = {}
    if which != _ALL:
        deliveries[_line_and_due(which)] = form.get(f"{_TAG}{which}", "")
    return Settling(
        deliveries=deliveries,
        tag=form["tag"],
        seen=seen,
        shown=_as_shown(choices),
        far_ahead=form.get("far_ahead") == "yes",
    )


def _line_and_due(text: str) -> tuple[str, date]:
    line, _, due = text.rpartition("@")
    return line, _day(due)


def _day(text: str) -> date:
    try:
        return date.fromisoformat(text)
    except ValueError:
        raise NotAccepted(where="line", found=f"'{text[:60]}'", accepted="a line of this list") from None


def _short_products(found: BucketList) -> list[str]:
    """The products of which several lines ask and somebody gets too few: those that can be shared evenly."""
    asked: dict[str, list[Any]] = {}
    for bucket_line in found.lines:
        if bucket_line.line.product is not None:
            asked.setdefault(str(bucket_line.line.product), []).append(bucket_line)
    return [
        product
        for product, lines in asked.items()
        if len(lines) > 1 and any(one.filled < one.line.stems for one in lines)
    ]
