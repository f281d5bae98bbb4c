"""Quotes: the list, a form for a new one, and one quote with its steps as buttons."""

from __future__ import annotations

from datetime import date
from typing import Any

from fastapi import APIRouter, Request, Response

from haulm.advice.homes import HOME_WORDS
from haulm.advice.pieces import PieceAsked
from haulm.crop_library.recipes import by_piece, starting_recipes
from haulm.errors import NotAccepted
from haulm.farm.words import Home
from haulm.jobs.answer_anew import answer_anew
from haulm.jobs.final_numbers import final_numbers
from haulm.jobs.hold_quote import DepositNoted, contract_quote, hold_quote, release_quote
from haulm.jobs.promise_refused import fall_of_verdict
from haulm.jobs.quote_steps import cancel_quote, fulfil_order
from haulm.jobs.quote_wedding import QuoteAsked, quote_wedding
from haulm.jobs.show_quote import list_quotes, show_quote
from haulm.pages.doing import Form, PageDesk, PageRoute, TheForm, carried_out, reason_of
from haulm.pages.look import back_to, page
from haulm.store.unit_of_work import UnitOfWork
from haulm.web.audience import Audience, only_for
from haulm.web.kept import kept

router = APIRouter(include_in_schema=False, route_class=PageRoute, dependencies=[only_for(Audience.OWNER)])
_MOST_DIGITS = 9


@router.get("/quotes", dependencies=[kept()])
def quotes(request: Request, desk: PageDesk) -> Response:
    """Every quote, hold and contract, the earliest event first."""
    return page(request, "quotes.html", quotes=list_quotes(desk), currency=desk.store.farm().site.currency)


@router.get("/quotes/new")
def new_quote(request: Request, desk: PageDesk) -> Response:
    """A form for a new quote."""
    farm = desk.store.farm()
    own = by_piece(farm.recipes)
    pieces = sorted({*own, *(piece for piece in by_piece(starting_recipes()) if piece.replace(" ", "_") not in own)})
    return page(request, "quote_new.html", pieces=pieces, customers=farm.customers, homes=HOME_WORDS)


@router.post("/quotes/new")
def make_quote(request: Request, desk: PageDesk, form: TheForm) -> Response:
    """Write a quote from the form."""
    asked = QuoteAsked(
        event_date=_day(form, "date"),
        pieces=_pieces(form),
        customer=form.get("customer") or None,
        palette=form.get("palette", ""),
        own_arranging="own_arranging" in form,
        dried_ok="dried_ok" in form,
        no_substitute="no_substitute" in form,
        homes=_homes(form),
    )

    def quoted(work: UnitOfWork) -> dict[str, str]:
        return {"id": quote_wedding(desk, work, asked).order.key}

    done = carried_out(request, form, quoted, is_judged=True)
    return back_to(f"/quotes/{done['id']}", "saved")


@router.get("/quotes/{key}")
def quote(request: Request, desk: PageDesk, key: str) -> Response:
    """One quote with its whole life."""
    sheet = show_quote(desk, key)
    contract = sheet.contract
    lowered = [] if contract is None else [fall_of_verdict(fall, desk.plan()) for fall in contract.falls]
    return page(request, "quote.html", sheet=sheet, lowered=lowered, homes=HOME_WORDS)


@router.post("/quotes/{key}/hold")
def hold(request: Request, desk: PageDesk, key: str, form: TheForm) -> Response:
    """Hold its stems through a day."""
    until, override = _day(form, "until"), reason_of(form)
    carried_out(
        request, form, lambda work: _done(hold_quote(desk, work, key, until, override=override)), is_judged=True
    )
    return back_to(f"/quotes/{key}", "held")


@router.post("/quotes/{key}/contract")
def contract(request: Request, desk: PageDesk, key: str, form: TheForm) -> Response:
    """Contract it; a deposit that was paid is written down."""
    amount = _whole(form, "deposit_minor") if form.get("deposit_minor") else None
    paid = None if amount is None else DepositNoted(amount, desk.today())
    override = reason_of(form)
    carried_out(
        request,
        form,
        lambda work: _done(contract_quote(desk, work, key, override=override, deposit=paid)),
        is_judged=True,
    )
    return back_to(f"/quotes/{key}", "contracted")


@router.post("/quotes/{key}/final-numbers")
def numbers(request: Request, desk: PageDesk, key: str, form: TheForm) -> Response:
    """Write its final counts."""
    pieces, override = _pieces(form), reason_of(form)
    carried_out(
        request, form, lambda work: _done(final_numbers(desk, work, key, pieces, override=override)), is_judged=True
    )
    return back_to(f"/quotes/{key}", "changed")


@router.post("/quotes/{key}/anew")
def anew(request: Request, desk: PageDesk, key: str, form: TheForm) -> Response:
    """Answer it anew, by what was decided since and who lives in the home."""
    override, homes = reason_of(form), _homes(form) if "says_homes" in form else None
    carried_out(
        request,
        form,
        lambda work: _done(answer_anew(desk, work, key, homes=homes, override=override)),
        is_judged=True,
    )
    return back_to(f"/quotes/{key}", "changed")


@router.post("/quotes/{key}/release")
def release(request: Request, desk: PageDesk, key: str, form: TheForm) -> Response:
    """Let its stems go."""
    carried_out(request, form, lambda work: _done(release_quote(desk, work, key)))
    return back_to(f"/quotes/{key}", "released")


@router.post("/quotes/{key}/cancel")
def cancel(request: Request, desk: PageDesk, key: str, form: TheForm) -> Response:
    """Write down that the customer cancelled."""
    carried_out(request, form, lambda work: _done(cancel_quote(desk, work, key)))
    return back_to(f"/quotes/{key}", "released")


@router.post("/quotes/{key}/fulfil")
def fulfil(request: Request, desk: PageDesk, key: str, form: TheForm) -> Response:
    """Write down that it was delivered."""
    carried_out(request, form, lambda work: _done(fulfil_order(desk, work, key)))
    return back_to(f"/quotes/{key}", "changed")


def _done(_: Any) -> None:
    """Nothing to keep of what was done: the page is read anew."""


def _pieces(form: Form) -> tuple[PieceAsked, ...]:
    """The pieces of a form whose count is not empty."""
    names = [name.removeprefix("count-") for name in form if name.startswith("count-") and form[name] not in ("", "0")]
    return tuple(PieceAsked(name, _whole(form, f"count-{name}")) for name in names)


def _homes(form: Form) -> tuple[Home, ...]:
    """Who lives in the home, by the ticks of a form."""
    return tuple(home for home in Home if f"home-{home}" in form)


def _whole(form: Form, name: str) -> int:
    text = form.get(name, "")
    if not (text.isascii() and text.isdigit() and len(text) <= _MOST_DIGITS):
        raise NotAccepted(where=name, found=f"'{text}'", accepted="a whole number")
    return int(text)


def _day(form: Form, name: str) -> date:
    try:
        return date.fromisoformat(form.get(name, ""))
    except ValueError:
        found = f"'{form.get(name, '')}'"
        raise NotAccepted(where=name, found=found, accepted="a day such as 2027-08-14") from None
