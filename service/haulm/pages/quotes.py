"""Quotes: the list, a form for a new one, and one quote with its steps as buttons."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date

from fastapi import APIRouter, Request, Response

from haulm.advice.homes import HOME_WORDS
from haulm.advice.pieces import PieceAsked
from haulm.crop_library.recipes import by_piece, starting_recipes
from haulm.errors import NotAccepted, NotFound
from haulm.farm.words import Home, OrderPart
from haulm.jobs.couples.answer_quote import last_answer
from haulm.jobs.desk.desk import Desk
from haulm.jobs.desk.money_words import minor_from
from haulm.jobs.desk.seen import Seen, check_seen
from haulm.jobs.florists.florist_links import link_number
from haulm.jobs.growing.doubt_words import quote_in_words
from haulm.jobs.promises.answer_anew import anew_ready, answer_anew
from haulm.jobs.promises.end_quote import cancel_quote, fulfil_order, release_quote
from haulm.jobs.promises.final_numbers import final_numbers
from haulm.jobs.promises.hold_quote import DepositNoted, contract_quote, hold_quote
from haulm.jobs.promises.promise_part import PartStep, promise_part
from haulm.jobs.promises.quote_wedding import QuoteAsked, quote_ready, quote_wedding
from haulm.jobs.promises.show_quote import list_quotes, show_quote
from haulm.jobs.promises.step_seen import look_at_quote, quote_shown
from haulm.jobs.promises.take_back_part import take_back_part
from haulm.jobs.quotes.places_in_words import places_in_words, sowings_of
from haulm.jobs.quotes.promise_refused import fall_of_verdict
from haulm.pages.doing import (
    FIRST_SIGHT,
    Form,
    NotDone,
    PageDesk,
    PageRoute,
    TheForm,
    carried_out,
    done_as_seen,
    reason_of,
)
from haulm.pages.look import back_to, page
from haulm.store.unit_of_work import UnitOfWork
from haulm.web.audience import Audience, only_for
from haulm.web.kept import kept
from haulm.web.links import Links

router = APIRouter(include_in_schema=False, route_class=PageRoute, dependencies=[only_for(Audience.OWNER)])
_MOST_DIGITS = 9
_SAYS_HOMES = "says_homes"


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
    ready = quote_ready(desk, asked)

    def quoted(work: UnitOfWork) -> dict[str, str]:
        return {"id": quote_wedding(desk, work, asked, ready).order.key}

    done = carried_out(request, form, quoted, is_judged=True)
    return back_to(f"/quotes/{done['id']}", "saved")


@router.get("/quotes/{key}")
def quote(request: Request, desk: PageDesk, key: str) -> Response:
    """One quote with its whole life."""
    return _drawn(request, desk, key, FIRST_SIGHT)


@router.post("/quotes/{key}/hold")
def hold(request: Request, desk: PageDesk, key: str, form: TheForm) -> Response:
    """Hold its stems through a day."""
    until, override, part = _day(form, "until"), reason_of(form), _part(form)
    step = _Step(request, desk, key, form, "held")
    if part is not None:
        return step.answer(lambda work: promise_part(desk, work, key, PartStep(part, until, override)))
    return step.answer(lambda work: hold_quote(desk, work, key, until, override=override))


@router.post("/quotes/{key}/contract")
def contract(request: Request, desk: PageDesk, key: str, form: TheForm) -> Response:
    """Contract it; a deposit that was paid is written down."""
    paid = _deposit(desk, form)
    override, part = reason_of(form), _part(form)
    step = _Step(request, desk, key, form, "contracted")
    if part is not None:
        asked = PartStep(part, override=override, deposit=paid)
        return step.answer(lambda work: promise_part(desk, work, key, asked))
    return step.answer(lambda work: contract_quote(desk, work, key, override=override, deposit=paid))


@router.post("/quotes/{key}/final-numbers")
def numbers(request: Request, desk: PageDesk, key: str, form: TheForm) -> Response:
    """Write its final counts."""
    pieces, override = _pieces(form), reason_of(form)
    step = _Step(request, desk, key, form, "changed")
    return step.answer(lambda work: final_numbers(desk, work, key, pieces, override=override))


@router.post("/quotes/{key}/anew")
def anew(request: Request, desk: PageDesk, key: str, form: TheForm) -> Response:
    """Answer it anew, by what was decided since and who lives in the home."""
    override, homes = reason_of(form), _homes(form) if _SAYS_HOMES in form else None
    step = _Step(request, desk, key, form, "changed")
    ready = anew_ready(desk, key, homes)
    return step.answer(lambda work: answer_anew(desk, work, key, homes=homes, override=override, ready=ready))


@router.get("/quotes/{key}/end/{how}")
def end(request: Request, desk: PageDesk, key: str, how: str) -> Response:
    """What it costs to let an order's stems go, asked before it is done."""
    if how not in ("release", "cancel"):
        raise NotFound(kind="way to end an order", key=how)
    return _asked_once(request, desk, key, how, FIRST_SIGHT)


@router.post("/quotes/{key}/release")
def release(request: Request, desk: PageDesk, key: str, form: TheForm) -> Response:
    """Let its stems go."""
    step = _Step(request, desk, key, form, "released", ends="release")
    return step.answer(lambda work: release_quote(desk, work, key))


@router.post("/quotes/{key}/take-back-sown")
def take_back_sown(request: Request, desk: PageDesk, key: str, form: TheForm) -> Response:
    """Take back what was sown for it and promised with it."""
    step = _Step(request, desk, key, form, "changed")
    return step.answer(lambda work: take_back_part(desk, work, key))


@router.post("/quotes/{key}/cancel")
def cancel(request: Request, desk: PageDesk, key: str, form: TheForm) -> Response:
    """Write down that the customer cancelled."""
    step = _Step(request, desk, key, form, "released", ends="cancel")
    return step.answer(lambda work: cancel_quote(desk, work, key))


@router.post("/quotes/{key}/fulfil")
def fulfil(request: Request, desk: PageDesk, key: str, form: TheForm) -> Response:
    """Write down that it was delivered."""
    step = _Step(request, desk, key, form, "changed")
    return step.answer(lambda work: fulfil_order(desk, work, key))


@dataclass(frozen=True, slots=True)
class _Step:
    """A step of a quote as a form asks for it, the word for it once done, and how it ends the quote, if it does."""

    request: Request
    desk: Desk
    key: str
    form: Form
    said: str
    ends: str = ""

    def answer(self, step: Callable[[UnitOfWork], object]) -> Response:
        """Do it where the quote is as the form showed it; else the quote's page says what has changed."""

        def stepped(work: UnitOfWork, seen: Seen) -> None:
            check_seen(work, seen, look_at_quote(self.desk, self.key))
            step(work)

        def drawn_anew(why: NotDone) -> Response:
            if self.ends:
                return _asked_once(self.request, self.desk, self.key, self.ends, why)
            return _drawn(self.request, self.desk, self.key, why)

        pages = (drawn_anew, lambda: back_to(f"/quotes/{self.key}", self.said))
        return done_as_seen(self.request, self.form, stepped, pages)


def _asked_once(request: Request, desk: Desk, key: str, how: str, why: NotDone) -> Response:
    """The page that asks before a quote ends."""
    sheet = show_quote(desk, key)
    shown = quote_shown(sheet, desk.plan())
    return page(request, "quote_end.html", status=why.status, sheet=sheet, how=how, shown=shown, why=why)


def _drawn(request: Request, desk: Desk, key: str, why: NotDone) -> Response:
    """The page of a quote, and above it why nothing was done, where something was to be."""
    sheet, plan = show_quote(desk, key), desk.plan()
    links: Links = request.app.state.links
    contract = sheet.contract
    lowered = [] if contract is None else [fall_of_verdict(fall, plan) for fall in contract.falls]
    places = sheet.version.places
    ticked = _homes(why.typed) if _SAYS_HOMES in why.typed else sheet.version.homes
    return page(
        request,
        "quote.html",
        status=why.status,
        sheet=sheet,
        shown=quote_shown(sheet, plan),
        why=why,
        lowered=lowered,
        homes=HOME_WORDS,
        ticked=ticked,
        doubt=quote_in_words(desk, key),
        places=() if places is None else places_in_words(places, sheet.currency),
        sowings=() if places is None else sowings_of(places),
        answered=last_answer(desk, key),
        their_page=links.couple_path(key, link_number(desk, sheet.customer)),
    )


def _part(form: Form) -> OrderPart | None:
    """The part of a quote that a form means; None for the order as it stands."""
    said = form.get("part", "")
    if said and said not in tuple(OrderPart):
        raise NotAccepted(where="part", found=f"'{said}'", accepted=" or ".join(OrderPart))
    return OrderPart(said) if said else None


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


def _deposit(desk: Desk, form: Form) -> DepositNoted | None:
    """The deposit as it was typed, in the farm's currency; None where none was."""
    text = form.get("deposit", "")
    if not text:
        return None
    amount = minor_from(text, desk.store.farm().site.currency)
    if isinstance(amount, str) or not 0 <= amount < 10**_MOST_DIGITS:
        raise NotAccepted(where="Deposit paid", found=f"'{text[:40]}'", accepted="an amount such as 50.00")
    return DepositNoted(amount, desk.today())


def _day(form: Form, name: str) -> date:
    try:
        return date.fromisoformat(form.get(name, ""))
    except ValueError:
        found = f"'{form.get(name, '')}'"
        raise NotAccepted(where=name, found=found, accepted="a day such as 2027-08-14") from None
