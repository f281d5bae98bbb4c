"""How a quote ends: released by the grower before its day, cancelled by the customer, or fulfilled once it is gone."""

from collections.abc import Callable
from datetime import date

import pytest

from haulm.errors import NotAccepted, NotFound
from haulm.farm.orders import Order, OrderLine
from haulm.farm.products import Product
from haulm.farm.words import OrderKind, OrderStatus
from haulm.jobs.desk.desk import Desk
from haulm.jobs.desk.refusals import DatePassed
from haulm.jobs.promises.ask_on_the_spot import SpotAsked, ask_on_the_spot
from haulm.jobs.promises.end_quote import cancel_quote, fulfil_order, release_quote
from haulm.jobs.promises.hold_quote import contract_quote, hold_quote
from haulm.jobs.promises.quote_wedding import QuoteAsked, quote_wedding
from haulm.jobs.quotes.refusals import NotAQuote
from haulm.store.unit_of_work import UnitOfWork
from haulm.store.words import PromiseState
from support.desks import done, on

FRIDAY, SATURDAY = date(2027, 6, 18), date(2027, 6, 19)
LINE = OrderLine("", "", 20, Product("lagurus"))
END: dict[str, Callable[[Desk, UnitOfWork, str], Order]] = {
    "release": release_quote,
    "cancel": cancel_quote,
    "fulfil": fulfil_order,
}


def quoted(desk: Desk) -> str:
    asked = QuoteAsked(FRIDAY, lines=(LINE,), kind=OrderKind.ONE_OFF, due_date=FRIDAY)
    return done(desk, lambda work: quote_wedding(desk, work, asked)).order.key


def contracted(desk: Desk) -> str:
    key = quoted(desk)
    done(desk, lambda work: contract_quote(desk, work, key))
    return key


def held(desk: Desk) -> str:
    key = quoted(desk)
    done(desk, lambda work: hold_quote(desk, work, key, FRIDAY))
    return key


def ended(desk: Desk, how: str, key: str) -> Order:
    return done(desk, lambda work: END[how](desk, work, key))


def stands(desk: Desk, key: str) -> tuple[OrderStatus, PromiseState]:
    """The order, and the last word of the book on its line."""
    (order,) = (one for one in desk.store.farm().orders if one.key == key)
    return order.status, desk.store.promises(order=key)[-1].state


def may_promise(desk: Desk) -> int:
    return ask_on_the_spot(desk, SpotAsked(LINE, FRIDAY)).found.stems


@pytest.mark.parametrize("how", ["release", "cancel"])
@pytest.mark.parametrize("made", [contracted, held])
def test_released_or_cancelled_the_stems_are_free_again(desk: Desk, made: Callable[[Desk], str], how: str) -> None:
    before = may_promise(desk)
    key = made(desk)
    assert may_promise(desk) == before - 20

    assert ended(desk, how, key).hold_until is None
    assert stands(desk, key) == (OrderStatus.CANCELLED, PromiseState.RELEASED)
    assert may_promise(desk) == before


def test_each_end_is_written_as_what_it_was(desk: Desk) -> None:
    released, cancelled = held(desk), quoted(desk)
    ended(desk, "release", released)
    done(desk, lambda work: cancel_quote(desk, work, cancelled, reason="another date"))

    (entry,) = desk.store.entries_of("released", about=f"orders/{released}")
    assert entry.facts == {"was": "on_hold"}
    (entry,) = desk.store.entries_of("quote-cancelled", about=f"orders/{cancelled}")
    assert entry.facts == {"was": "quoted", "reason": "another date"}


def test_after_its_day_an_order_can_still_be_cancelled_or_fulfilled_and_not_released(desk: Desk) -> None:
    first, second = contracted(desk), quoted(desk)
    on(desk, SATURDAY)

    with pytest.raises(DatePassed, match="Fri 18 Jun 2027, which has passed"):
        ended(desk, "release", first)
    assert ended(desk, "fulfil", first).status is OrderStatus.DELIVERED
    assert stands(desk, first) == (OrderStatus.DELIVERED, PromiseState.DELIVERED)
    assert ended(desk, "cancel", second).status is OrderStatus.CANCELLED


def test_an_order_is_fulfilled_from_its_day_on_and_only_where_it_was_contracted(desk: Desk) -> None:
    key, loose = contracted(desk), quoted(desk)

    with pytest.raises(NotAccepted, match="accepted is Fri 18 Jun 2027 or later, when its stems have left"):
        ended(desk, "fulfil", key)
    on(desk, FRIDAY)
    with pytest.raises(NotAQuote, match="to fulfil it, it must be contracted"):
        ended(desk, "fulfil", loose)
    assert ended(desk, "fulfil", key).status is OrderStatus.DELIVERED


@pytest.mark.parametrize("how", list(END))
def test_what_has_ended_does_not_end_again_and_what_there_never_was_does_not_end(desk: Desk, how: str) -> None:
    key = contracted(desk)
    ended(desk, "release", key)
    version = desk.store.version()

    with pytest.raises(NotAQuote, match=f"is cancelled; to {how} it, it must be "):
        ended(desk, how, key)
    with pytest.raises(NotFound):
        ended(desk, how, "nobodys")
    assert desk.store.version() == version
