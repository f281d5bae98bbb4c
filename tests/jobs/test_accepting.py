"""Accepting a promise: what is judged, what is written, and that it is one transaction."""

from datetime import date
from typing import Any

import pytest

from haulm.errors import NotFound
from haulm.farm.orders import OrderLine
from haulm.farm.products import Product
from haulm.farm.words import OrderStatus
from haulm.jobs.desk.desk import Desk
from haulm.jobs.desk.refusals import DatePassed
from haulm.jobs.promises.end_quote import release_quote
from haulm.jobs.promises.hold_quote import contract_quote, hold_quote
from haulm.jobs.promises.quote_wedding import QuoteAsked, quote_wedding
from haulm.jobs.quotes.promise_refused import PromiseRefused
from haulm.jobs.quotes.refusals import HoldExpired, NotAQuote
from haulm.store.journal import rebuilt_books, rebuilt_farm
from haulm.store.words import PromiseState
from support.desks import NOW, on
from support.known_farm import growing_farm, known_farm

SUNDAY, FRIDAY = date(2027, 6, 20), date(2027, 6, 18)


def quoted(desk: Desk, *stems: int, **more: Any) -> str:
    """A quote for so many lagurus on Friday, a line each."""
    lines = tuple(OrderLine("", "", count, Product("lagurus")) for count in stems)
    with desk.store.unit_of_work(actor="test", now=NOW) as work:
        quote = quote_wedding(desk, work, QuoteAsked(SUNDAY, lines=lines, **more))
        work.save()
    return quote.order.key


def held(desk: Desk, quote: str, until: date = FRIDAY, **more: Any) -> Any:
    """The promise of a hold."""
    with desk.store.unit_of_work(actor="test", now=NOW) as work:
        promised = hold_quote(desk, work, quote, until, **more)
        work.save()
    return promised


def contracted(desk: Desk, quote: str, **more: Any) -> Any:
    """The promise of a contract."""
    with desk.store.unit_of_work(actor="test", now=NOW) as work:
        promised = contract_quote(desk, work, quote, **more)
        work.save()
    return promised


def test_all_lines_of_an_order_must_be_there_in_the_same_season(desk: Desk) -> None:
    with pytest.raises(PromiseRefused) as refusal:
        held(desk, quoted(desk, 20, 20))

    assert refusal.value.verdict.joint == 0.0
    assert held(desk, quoted(desk, 20, 15)).verdict.joint == 1.0


def test_a_refused_promise_leaves_no_trace(desk: Desk) -> None:
    quote = quoted(desk, 36)
    version, entries = desk.store.version(), desk.store.entries()

    with pytest.raises(PromiseRefused):
        held(desk, quote)
    assert (desk.store.version(), desk.store.entries()) == (version, entries)


def test_the_day_of_the_first_hold_stays_the_day_of_commitment(desk: Desk) -> None:
    quote = quoted(desk, 10)
    held(desk, quote)
    on(desk, date(2027, 6, 16))
    contracted(desk, quote)

    (order,) = desk.store.farm().orders
    assert (order.committed_on, order.status, order.hold_until) == (date(2027, 6, 14), OrderStatus.CONTRACTED, None)


def test_a_lapsed_hold_is_judged_anew(desk: Desk) -> None:
    first = quoted(desk, 30)
    held(desk, first, until=date(2027, 6, 15))
    on(desk, date(2027, 6, 16))
    # Anna's Tuesday has passed: 60 are there for Friday.
    held(desk, quoted(desk, 60))

    with pytest.raises(HoldExpired):
        contracted(desk, first)
    with pytest.raises(PromiseRefused):
        held(desk, first)


def test_a_contract_may_outrank_a_hold_only_if_the_owner_says_so(desk: Desk) -> None:
    held(desk, hold := quoted(desk, 30))
    wedding = quoted(desk, 30)

    with pytest.raises(PromiseRefused) as refusal:
        contracted(desk, wedding)
    (fall,) = refusal.value.verdict.falls
    assert (fall.line.order, fall.before, fall.after, fall.floor) == (hold, 1.0, 0.0, 0.8)

    made = contracted(desk, wedding, override="a regular")
    assert made.overridden
    assert desk.plan().joint(hold) == 0.0


def test_entries_alone_tell_the_farm_and_both_books(desk: Desk) -> None:
    quote = quoted(desk, 10)
    held(desk, quote)
    contracted(desk, quote)
    with desk.store.unit_of_work(actor="test", now=NOW) as work:
        release_quote(desk, work, quote)
        work.save()

    entries = desk.store.entries()
    assert [entry.kind for entry in entries][-4:] == ["quoted", "held", "contracted", "released"]
    assert rebuilt_farm(entries).orders == desk.store.farm().orders
    assert rebuilt_books(entries).promises == desk.store.promises()
    states = [promise.state for promise in desk.store.promises(order=quote)]
    assert states == [PromiseState.ASKED, PromiseState.HELD, PromiseState.CONTRACTED, PromiseState.RELEASED]


def test_a_step_asks_for_an_open_order_of_a_day_to_come(desk: Desk) -> None:
    quote = quoted(desk, 10)
    with pytest.raises(NotFound):
        held(desk, "nobody's")
    with pytest.raises(DatePassed):
        held(desk, quote, until=date(2027, 6, 13))
    contracted(desk, quote)
    with pytest.raises(NotAQuote):
        held(desk, quote)
    on(desk, date(2027, 6, 19))
    with desk.store.unit_of_work(actor="test", now=NOW) as work, pytest.raises(DatePassed):
        release_quote(desk, work, quote)


def test_a_promise_draws_no_seasons_anew(open_desk: Any) -> None:
    desk = open_desk(growing_farm())
    growth = desk.plan().growth

    held(desk, quoted(desk, 10), override="a regular")

    assert desk.plan().joint("anna-weekly") == 0.0
    assert desk.plan().growth is growth


def test_a_quotes_key_is_nobody_elses_and_neither_are_its_lines(open_desk: Any) -> None:
    orders = "key,customer,kind,due_date\nq0002,bram,one_off,2027-06-18\nother,bram,one_off,2027-06-18"
    lines = "key,order,stems,product\nq0003-1,other,5,lagurus"
    desk = open_desk(known_farm(orders=orders, order_lines=lines))

    assert quoted(desk, 10) == "q0004"
    assert [line.key for line in desk.store.farm().order_lines] == ["q0003-1", "q0004-1"]
