"""Judging the journal again finds the promises that an older rule answered otherwise, and no others."""

from datetime import date

from haulm.farm.orders import Order, OrderLine
from haulm.farm.products import Product
from haulm.farm.words import OrderKind, OrderStatus
from haulm.jobs.desk.desk import Desk
from haulm.jobs.promises.hold_quote import contract_quote, hold_quote
from haulm.jobs.promises.judge_again import Otherwise, judge_again
from haulm.jobs.promises.quote_wedding import QuoteAsked, quote_wedding
from support.desks import NOW

FRIDAY = date(2027, 6, 18)


def quoted(desk: Desk, stems: int, kind: OrderKind = OrderKind.ONE_OFF, spare: int = 0) -> str:
    """A quote for so many lagurus on Friday."""
    line = OrderLine("", "", stems, Product("lagurus"), spare=spare)
    with desk.store.unit_of_work(actor="test", now=NOW) as work:
        key = quote_wedding(desk, work, QuoteAsked(FRIDAY, lines=(line,), kind=kind, due_date=FRIDAY)).order.key
        work.save()
    return key


def contracted_by_an_older_rule(desk: Desk, key: str, stems: int, *, overridden: bool) -> None:
    """A wedding for so many lagurus that somebody else judged."""
    order = Order(key, "bram", OrderKind.WEDDING, FRIDAY, committed_on=NOW.date(), status=OrderStatus.CONTRACTED)
    with desk.store.unit_of_work(actor="test", now=NOW) as work:
        seq = work.enter("contracted", f"orders/{key}", {"overridden": overridden})
        work.put(order, entry=seq)
        work.put(OrderLine(f"{key}-1", key, stems, Product("lagurus"), promised_confidence=0.8), entry=seq)
        work.save()


def test_what_the_rule_of_today_answered_is_answered_the_same(desk: Desk) -> None:
    first, second = quoted(desk, 20, spare=5), quoted(desk, 10, OrderKind.WEDDING)
    with desk.store.unit_of_work(actor="test", now=NOW) as work:
        contract_quote(desk, work, first)
        work.save()
    with desk.store.unit_of_work(actor="test", now=NOW) as work:
        hold_quote(desk, work, second, FRIDAY)
        work.save()

    assert list(judge_again(desk)) == []


def test_a_wedding_accepted_over_a_line_that_has_a_spare_is_listed_with_whom_it_cost(desk: Desk) -> None:
    first = quoted(desk, 20, spare=5)
    with desk.store.unit_of_work(actor="test", now=NOW) as work:
        contract_quote(desk, work, first)
        work.save()
    contracted_by_an_older_rule(desk, "large", 30, overridden=False)
    version = desk.store.version()

    (found,) = judge_again(desk)
    assert (found.order, found.how, found.on) == ("large", Otherwise.ACCEPTED, NOW.date())
    assert "Bram's corner" in found.sentence and "20 Bunny tail for Fri 18 Jun 2027 from 100 % to 0 %" in found.sentence
    assert desk.store.version() == version and first not in found.sentence


def test_an_override_that_nobody_needed_is_listed(desk: Desk) -> None:
    contracted_by_an_older_rule(desk, "fits", 10, overridden=True)

    (found,) = judge_again(desk)
    assert (found.order, found.how) == ("fits", Otherwise.REFUSED)


def test_a_promise_that_fell_by_the_one_before_is_no_fault_of_the_next(desk: Desk) -> None:
    first = quoted(desk, 20)
    with desk.store.unit_of_work(actor="test", now=NOW) as work:
        contract_quote(desk, work, first)
        work.save()
    contracted_by_an_older_rule(desk, "large", 30, overridden=False)
    contracted_by_an_older_rule(desk, "later", 5, overridden=False)

    assert [found.order for found in judge_again(desk)] == ["large"]
