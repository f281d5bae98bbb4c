"""An order in two parts whose numbers or day are changed stays in two parts, and the smaller one keeps its level."""

from collections.abc import Iterator
from dataclasses import replace
from datetime import date
from pathlib import Path
from typing import Any

import pytest

from haulm.advice.floors import Guarded
from haulm.advice.pieces import PieceAsked
from haulm.farm.orders import OrderLine
from haulm.farm.products import Product
from haulm.farm.words import OrderPart
from haulm.farm_folder.writer import folder_texts
from haulm.jobs.desk.desk import Desk
from haulm.jobs.promises.change_quote import QuoteChanged, change_quote
from haulm.jobs.promises.final_numbers import final_numbers
from haulm.jobs.promises.follow_floors import follow_floors
from haulm.jobs.promises.parts_kept import parts_after
from haulm.jobs.promises.promise_part import PartStep, promise_part
from haulm.jobs.promises.quote_wedding import Quote, QuoteAsked, quote_wedding
from haulm.jobs.promises.show_quote import show_quote
from haulm.jobs.promises.take_back_part import take_back_part
from haulm.jobs.quotes.order_parts import TwoParts
from support.demo_farms import demo_farm
from support.desks import NOW, desk_over, sqlite_store
from support.known_farm import growing_farm
from support.planned_farms import TODAY

MAY, AUGUST = date(2027, 5, 3), date(2027, 8, 24)
STANDS, SOWN = OrderPart.STANDS, OrderPart.SOWN


@pytest.fixture
def spring(tmp_path: Path) -> Iterator[Desk]:
    """In May, on the farm that grows too little: ten of twenty lagurus stand, ten are sown for."""
    store = sqlite_store(tmp_path)
    yield desk_over(store, growing_farm(), today=MAY)
    store.close()


def asked_for(stems: int, due: date = AUGUST) -> QuoteAsked:
    """So many lagurus on a day."""
    return QuoteAsked(due, lines=(OrderLine("", "", stems, Product("lagurus")),), due_date=due)


def both_contracted(desk: Desk) -> Quote:
    """Twenty lagurus, both parts contracted."""
    with desk.store.unit_of_work(actor="test", now=NOW) as work:
        quote = quote_wedding(desk, work, asked_for(20))
        work.save()
    for part in (STANDS, SOWN):
        with desk.store.unit_of_work(actor="test", now=NOW) as work:
            promise_part(desk, work, quote.order.key, PartStep(part))
            work.save()
    assert stems_of(desk, quote) == [(10, STANDS), (10, SOWN)]
    return quote


def changed(desk: Desk, quote: Quote, asked: QuoteAsked, **more: Any) -> QuoteChanged:
    """The order changed."""
    with desk.store.unit_of_work(actor="test", now=NOW) as work:
        done = change_quote(desk, work, quote.order.key, replace(asked, confidence=quote.version.level), **more)
        work.save()
    return done


def stems_of(desk: Desk, quote: Quote) -> list[tuple[int, OrderPart | None]]:
    """The stems of each line of the order, with the part it belongs to."""
    return [(line.stems, line.part) for line in desk.store.farm().order_lines if line.order == quote.order.key]


def test_fewer_stems_are_taken_from_what_is_sown_for_and_the_smaller_part_stands_as_it_stood(spring: Desk) -> None:
    quote = both_contracted(spring)
    follow_floors(spring, "test")
    (inner,) = (line for line in spring.plan().lines_of(quote.order.key) if line.part is STANDS)
    before = spring.plan().moment.sure[Guarded(inner.order, inner.due, inner.line)]

    done = changed(spring, quote, asked_for(18))

    assert stems_of(spring, quote) == [(10, STANDS), (8, SOWN)]
    assert done.verdict is not None and {one.line.part for one in done.verdict.new} == {SOWN}
    after = spring.plan().moment.sure[before.what]
    assert (after.level, after.confidence) == (before.level, before.confidence)
    assert follow_floors(spring, "test") == ()


def test_the_places_of_a_changed_order_say_what_it_is_now(spring: Desk) -> None:
    quote = both_contracted(spring)

    done = changed(spring, quote, asked_for(18))

    places = done.version.places
    assert places is not None and places.promised is not None and places.sown is not None
    assert (places.counts.promised, places.counts.sown, places.counts.wished) == ((10,), (8,), (0,))
    assert [part.count for part in (*places.promised.parts, *places.sown.parts)] == [10, 8]
    assert places.sown.price.total_minor == places.promised.price.total_minor + places.sown.more_minor
    assert places.sown.price.stems_minor == 18 * 45
    sheet = show_quote(spring, quote.order.key)
    assert sheet.is_sown and not sheet.may_sow


def test_what_is_sown_for_a_changed_order_can_still_be_taken_back(spring: Desk) -> None:
    quote = both_contracted(spring)
    changed(spring, quote, asked_for(18))

    with spring.store.unit_of_work(actor="test", now=NOW) as work:
        take_back_part(spring, work, quote.order.key)
        work.save()

    assert stems_of(spring, quote) == [(10, STANDS)]
    assert not any(batch.key.startswith("extra") for batch in spring.store.farm().batches)


def test_fewer_than_stood_leave_the_smaller_part_alone(spring: Desk) -> None:
    quote = both_contracted(spring)

    changed(spring, quote, asked_for(8))

    assert stems_of(spring, quote) == [(8, STANDS)]
    assert not show_quote(spring, quote.order.key).is_sown


def test_on_another_day_both_parts_are_promised_anew_and_stay_parts(spring: Desk) -> None:
    quote = both_contracted(spring)

    done = changed(spring, quote, asked_for(14, date(2027, 8, 25)), override="the day was moved")

    assert stems_of(spring, quote) == [(10, STANDS), (4, SOWN)]
    assert done.verdict is not None and {one.line.part for one in done.verdict.new} == {STANDS, SOWN}


def test_an_order_of_the_smaller_part_alone_is_changed_without_parts(spring: Desk) -> None:
    with spring.store.unit_of_work(actor="test", now=NOW) as work:
        quote = quote_wedding(spring, work, asked_for(20))
        work.save()
    with spring.store.unit_of_work(actor="test", now=NOW) as work:
        promise_part(spring, work, quote.order.key, PartStep(STANDS))
        work.save()

    changed(spring, quote, asked_for(9))

    assert stems_of(spring, quote) == [(9, None)]


def test_final_numbers_of_the_demos_wedding_keep_its_parts(tmp_path: Path) -> None:
    store = sqlite_store(tmp_path)
    demo = desk_over(store, folder_texts(demo_farm()), today=TODAY, seasons=200)
    jars = PieceAsked("table jar", 12)
    asked = QuoteAsked(date(2027, 7, 31), pieces=(PieceAsked("bouquet", 4), jars), palette="white")
    with store.unit_of_work(actor="test", now=NOW) as work:
        quote = quote_wedding(demo, work, asked)
        work.save()
    places = quote.version.places
    assert places is not None and places.counts.sown[1] > 1
    with store.unit_of_work(actor="test", now=NOW) as work:
        promise_part(demo, work, quote.order.key, PartStep(SOWN, until=TODAY))
        work.save()
    many = places.counts.promised[1] + places.counts.sown[1] - 1

    with store.unit_of_work(actor="test", now=NOW) as work:
        final = (PieceAsked("attendant bouquet", 4), PieceAsked("large jar", many))
        done = final_numbers(demo, work, quote.order.key, final)
        work.save()

    now = done.version.places
    assert now is not None and now.counts.promised == places.counts.promised
    assert now.counts.sown == (places.counts.sown[0], places.counts.sown[1] - 1)
    assert {part for _, part in stems_of(demo, quote)} == {STANDS, SOWN}
    store.close()


def test_as_many_belong_to_the_smaller_part_as_did_and_are_still_asked(spring: Desk) -> None:
    quote = both_contracted(spring)
    sheet = show_quote(spring, quote.order.key)
    farm = spring.store.farm()
    order = next(one for one in farm.orders if one.key == quote.order.key)

    def parts(stems: int) -> TwoParts | None:
        return parts_after(farm, order, sheet.version, asked_for(stems))

    assert parts(18) == TwoParts((10,), (8,))
    assert parts(7) == TwoParts((7,), (0,))
    assert parts(25) == TwoParts((10,), (15,))
    assert parts_after(farm, order, None, asked_for(18)) is None
