"""Floors are followed after every write: what moved them is kept, and a fall that nothing explains is told."""

from datetime import date

import pytest

from haulm.advice.floors import Guarded
from haulm.farm.orders import Order, OrderLine
from haulm.farm.products import Product
from haulm.farm.words import OrderKind, OrderStatus
from haulm.jobs.desk.desk import Desk
from haulm.jobs.farm.change_rows import RowAsked, change_row
from haulm.jobs.promises.follow_floors import BROKEN, MOVED, follow_floors
from haulm.jobs.promises.hold_quote import contract_quote
from haulm.jobs.promises.quote_wedding import QuoteAsked, quote_wedding
from haulm.jobs.warning.warn_early import notes_of
from support.desks import NOW, on
from support.ledger_laws import broken_laws

FRIDAY = date(2027, 6, 18)


@pytest.fixture
def promised(desk: Desk) -> str:
    """An order for all 35 stems that nobody else is to have, contracted, and looked at."""
    with desk.store.unit_of_work(actor="test", now=NOW) as work:
        asked = QuoteAsked(FRIDAY, lines=(OrderLine("", "", 35, Product("lagurus")),), kind=OrderKind.ONE_OFF)
        key = quote_wedding(desk, work, asked).order.key
        work.save()
    with desk.store.unit_of_work(actor="test", now=NOW) as work:
        contract_quote(desk, work, key)
        work.save()
    follow_floors(desk, "test")
    return key


def stems_counted(desk: Desk, stems: int) -> None:
    """Somebody counts the standing stems anew."""
    with desk.store.unit_of_work(actor="test", now=NOW) as work:
        change_row(desk, work, "k1", RowAsked("known_stems", {"stems": stems}), expected=None)
        work.save()


def floor_of(desk: Desk, order: str) -> float:
    """The floor that the book says last of an order's line."""
    return [row for row in desk.store.floor_rows() if row.order == order][-1].floor


def test_a_floor_falls_with_a_count_and_rises_with_the_next_and_each_is_a_row_with_its_cause(
    desk: Desk, promised: str
) -> None:
    before = desk.store.floor_rows()
    stems_counted(desk, 10)
    assert follow_floors(desk, "test") == ()
    assert floor_of(desk, promised) == 0.0
    stems_counted(desk, 60)
    follow_floors(desk, "test")

    assert floor_of(desk, promised) == desk.store.farm().site.level_of(OrderKind.ONE_OFF.line_class)
    rows = [row for row in desk.store.floor_rows()[len(before) :] if row.order == promised]
    assert [row.causes for row in rows] == [("counts of stems",), ("counts of stems",)]
    assert broken_laws(desk.store) == []


def test_looking_again_writes_nothing_and_leaves_the_version(desk: Desk, promised: str) -> None:
    stems_counted(desk, 10)
    follow_floors(desk, "test")
    version, entries = desk.store.version(), len(desk.store.entries())
    followed = desk.store.followed()

    assert follow_floors(desk, "test") == ()
    assert (desk.store.version(), len(desk.store.entries())) == (version, entries)
    assert followed is not None and followed.version == version


def test_a_day_that_begins_is_a_cause(desk: Desk, promised: str) -> None:
    on(desk, date(2027, 6, 15))
    assert follow_floors(desk, "test") == ()
    followed = desk.store.followed()
    assert followed is not None and followed.day == date(2027, 6, 15)


def test_what_falls_by_a_promise_that_nobody_judged_is_an_entry_and_a_line_on_today(desk: Desk, promised: str) -> None:
    order = Order("slip", "bram", OrderKind.WEDDING, FRIDAY, committed_on=NOW.date(), status=OrderStatus.CONTRACTED)
    with desk.store.unit_of_work(actor="test", now=NOW) as work:
        seq = work.enter("contracted", "orders/slip", {"overridden": False})
        work.put(order, entry=seq)
        work.put(OrderLine("slip-1", "slip", 30, Product("lagurus")), entry=seq)
        work.save()

    (broken,) = follow_floors(desk, "test")
    assert (broken.what, broken.before, broken.after) == (Guarded(promised, FRIDAY, f"{promised}-1"), 1.0, 0.0)
    (entry,) = desk.store.entries_of(BROKEN)
    assert (entry.subject, entry.facts["to"]) == (f"orders/{promised}", 0.0)
    assert any("35 Bunny tail for Fri 18 Jun 2027 from 100 % to 0 %" in note for note in notes_of(desk))


def test_an_override_explains_a_fall(desk: Desk, promised: str) -> None:
    with desk.store.unit_of_work(actor="test", now=NOW) as work:
        asked = QuoteAsked(FRIDAY, lines=(OrderLine("", "", 30, Product("lagurus")),), due_date=FRIDAY)
        key = quote_wedding(desk, work, asked).order.key
        work.save()
    with desk.store.unit_of_work(actor="test", now=NOW) as work:
        contract_quote(desk, work, key, override="an old friend")
        work.save()

    assert follow_floors(desk, "test") == ()
    assert floor_of(desk, promised) == 0.0
    assert desk.store.entries_of(MOVED)
