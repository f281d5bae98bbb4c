"""The bucket list: drafted, decided line by line, confirmed; then frozen, corrected, delivered; and claims."""

from __future__ import annotations

from datetime import date, timedelta
from typing import Any

from fastapi import APIRouter, Request, Response
from fastapi.responses import RedirectResponse

from haulm.advice.asked_words import asked_in_words
from haulm.advice.shortfalls import asked_of
from haulm.errors import NotAccepted
from haulm.farm.products import Product
from haulm.farm.weeks import next_of
from haulm.jobs.after_the_list import Correction, claims, correct_list, deliver_list, make_claim
from haulm.jobs.bucket_lines import BucketList, Choices
from haulm.jobs.confirm_bucket_list import confirm_bucket_list, post_bucket_list
from haulm.jobs.confirmed_lists import confirmed_bucket_list, corrections_of, short_before, short_customers
from haulm.jobs.draft_bucket_list import chosen_bucket_list
from haulm.jobs.fill_rate import fill_rate
from haulm.jobs.listed import listed_bucket_list
from haulm.jobs.season_end import season_end
from haulm.pages.doing import Form, PageDesk, PageRoute, TheForm, carried_out, desk_of, whole_number
from haulm.pages.look import HEADERS, back_to, page
from haulm.planning.keeping import crops_of
from haulm.store.unit_of_work import UnitOfWork
from haulm.web.audience import Audience, only_for

router = APIRouter(include_in_schema=False, route_class=PageRoute, dependencies=[only_for(Audience.OWNER)])
hands = APIRouter(include_in_schema=False, route_class=PageRoute, dependencies=[only_for(Audience.HAND)])
"""What a farm hand sees and does of it: the list, and that the round was made."""

_STEMS, _KIND, _EVENLY, _YES = "stems-", "kind-", "evenly-", "yes-"


@hands.get("/bucket")
def next_list(desk: PageDesk) -> Response:
    """To the next bucket day."""
    day = next_of(desk.today(), (desk.store.farm().site.bucket_day,))
    return RedirectResponse(f"/bucket/{day}", status_code=303, headers=HEADERS)


@hands.get("/bucket/{day}")
def bucket(request: Request, desk: PageDesk, day: date) -> Response:
    """The list of a bucket day: the draft with its choices, or the confirmed one."""
    week = timedelta(days=7)
    around: dict[str, Any] = {"before": day - week, "after": day + week}
    names = _names(desk)
    confirmed = confirmed_bucket_list(desk, day)
    if confirmed is not None:
        around |= {"crops": crops_of(desk.store.farm()), "corrected": corrections_of(desk, day)}
        return page(request, "bucket_confirmed.html", found=confirmed, day=day, names=names, **around)
    chosen = _choices(dict(request.query_params))
    found = chosen_bucket_list(desk, day, chosen)
    again = short_customers(found.lines) & short_before(desk, day)
    crops = desk.plan().crops
    asked_for = {one.line: asked_in_words(asked_of(one.line), crops) for one in found.lines}
    return page(
        request,
        "bucket.html",
        found=found,
        asked_for=asked_for,
        day=day,
        names=names,
        again=again,
        chosen=chosen,
        short=_short_products(found),
        crops=crops,
        **around,
    )


@router.post("/bucket/{day}")
def confirm(request: Request, day: date, form: TheForm) -> Response:
    """Confirm the list with what was decided; it is frozen from then on."""
    desk, choices = desk_of(request), _choices(form)

    def confirmed(work: UnitOfWork) -> None:
        found = confirm_bucket_list(desk, work, day, choices)
        post_bucket_list(work, found, listed_bucket_list(found, confirmed=True))

    carried_out(request, form, confirmed, is_judged=True)
    return back_to(f"/bucket/{day}", "confirmed")


@router.post("/bucket/{day}/correct")
def correct(request: Request, day: date, form: TheForm) -> Response:
    """Correct a line of a confirmed list."""
    desk = desk_of(request)
    correction = _correction(form)
    carried_out(request, form, lambda work: correct_list(desk, work, day, correction))
    return back_to(f"/bucket/{day}", "changed")


@hands.post("/bucket/{day}/delivered")
def delivered(request: Request, day: date, form: TheForm) -> Response:
    """The round was made."""
    carried_out(request, form, lambda work: {"stems": deliver_list(work, day)})
    return back_to(f"/bucket/{day}", "moved")


@router.get("/claims")
def all_claims(request: Request, desk: PageDesk) -> Response:
    """Every claim, and the batches it leads back to."""
    site = desk.store.farm().site
    return page(
        request, "claims.html", claims=claims(desk), currency=site.currency, served=fill_rate(desk), names=_names(desk)
    )


@router.post("/claims")
def claim(request: Request, form: TheForm) -> Response:
    """Write down what a customer says was wrong."""
    desk, said = desk_of(request), _correction(form)
    credit = whole_number("credit", form["credit_minor"]) if form.get("credit_minor") else None
    carried_out(request, form, lambda work: {"number": make_claim(desk, work, said, credit)})
    return back_to("/claims", "recorded")


@router.get("/season")
def season(request: Request, desk: PageDesk, year: int | None = None) -> Response:
    """The year in figures."""
    return page(request, "season.html", season=season_end(desk, year or desk.today().year), names=_names(desk))


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
        evenly=frozenset(name.removeprefix(_EVENLY) for name in form if name.startswith(_EVENLY)),
        acknowledged=frozenset(name.removeprefix(_YES) for name in form if name.startswith(_YES)),
    )


def _line_and_due(text: str) -> tuple[str, date]:
    line, _, due = text.rpartition("@")
    try:
        return line, date.fromisoformat(due)
    except ValueError:
        raise NotAccepted(where="line", found=f"'{text[:60]}'", accepted="a line of this list") from None


def _correction(form: Form) -> Correction:
    line, due = _line_and_due(form.get("line", ""))
    return Correction(line, due, whole_number("stems", form.get("stems", "")), form.get("reason", ""))


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
