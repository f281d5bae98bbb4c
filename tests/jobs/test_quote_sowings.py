"""What is sown for a quote is what a gap of the same stems recommends; what stands against a contract is said."""

from collections.abc import Iterator
from dataclasses import replace
from datetime import date
from pathlib import Path

import pytest

from haulm.advice.options.option import Option
from haulm.advice.pieces import PieceAsked
from haulm.farm.batches import Batch
from haulm.farm.orders import Order, OrderLine
from haulm.farm.products import Product
from haulm.farm.words import OrderKind, OrderPart, OrderStatus
from haulm.farm_folder.writer import folder_texts
from haulm.jobs.desk.desk import Desk
from haulm.jobs.promises.change_quote import change_quote, change_ready
from haulm.jobs.promises.promise_part import PartStep, promise_part
from haulm.jobs.promises.quote_wedding import Quote, QuoteAsked, quote_ready, quote_wedding
from haulm.jobs.quotes.places_told import PlacesTold
from haulm.jobs.quotes.promise_refused import PromiseRefused, cause_in_words
from haulm.planning.remedies import remedies
from support.demo_farms import demo_farm
from support.desks import NOW, desk_over, on, sqlite_store
from support.known_farm import growing_farm
from support.planned_farms import TODAY

MAY, AUGUST, SEPTEMBER = date(2027, 5, 3), date(2027, 8, 24), date(2027, 9, 7)
WEDDING = (
    PieceAsked("bridal bouquet", 1),
    PieceAsked("bouquet", 4),
    PieceAsked("buttonhole", 10),
    PieceAsked("table jar", 12),
)


@pytest.fixture
def spring(tmp_path: Path) -> Iterator[Desk]:
    """In May, on the farm that grows too little."""
    store = sqlite_store(tmp_path)
    yield desk_over(store, growing_farm(), today=MAY)
    store.close()


@pytest.fixture(scope="module")
def demo(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Desk]:
    """The demo farm in mid March, with few seasons."""
    store = sqlite_store(tmp_path_factory.mktemp("demo"))
    yield desk_over(store, folder_texts(demo_farm()), today=TODAY, seasons=300)
    store.close()


def quoted(desk: Desk, asked: QuoteAsked) -> Quote:
    """A quote; nothing of it is written."""
    with desk.store.unit_of_work(actor="test", now=NOW) as work:
        return quote_wedding(desk, work, asked)


def for_one_line(product: str, stems: int, due: date) -> QuoteAsked:
    """A quote for so many stems of one kind."""
    return QuoteAsked(due, lines=(OrderLine("", "", stems, Product(product)),), due_date=due)


def as_a_gap(desk: Desk, asked: QuoteAsked, level: float) -> Option:
    """The first sowing that closes the gap which the same stems make once they are held."""
    plan = desk.plan()
    order = Order(
        "same",
        plan.farm.customers[0].key,
        OrderKind.WEDDING,
        asked.due_date or asked.event_date,
        event_date=asked.event_date,
        status=OrderStatus.ON_HOLD,
        hold_until=desk.today(),
        committed_on=desk.today(),
    )
    line = replace(asked.lines[0], key="same-1", order=order.key, promised_confidence=level)
    farm = replace(plan.farm, orders=(*plan.farm.orders, order), order_lines=(*plan.farm.order_lines, line))
    trial = desk.planner.trial(plan, farm)
    (gap,) = (gap for gap in trial.gaps(None) if any(short.line.order == order.key for short in gap.shortfalls))
    alone = replace(gap, shortfalls=tuple(short for short in gap.shortfalls if short.line.order == order.key))
    return next(option for option in remedies(trial, alone) if option.batches and option.closes)


def told(batch: Batch) -> tuple[str, str, date | None, int]:
    return batch.variety, str(batch.method), batch.sow_date or batch.plant_out_date, batch.places


def sown_of(places: PlacesTold | None) -> list[tuple[str, str, date | None, int]]:
    """What a quote sows: its kind, how, when and how much."""
    assert places is not None and places.sown is not None
    return [(one.variety, one.method, one.sow_date, one.places) for one in places.sown.sowings]


@pytest.mark.parametrize(("stems", "due"), [(20, AUGUST), (60, AUGUST), (20, SEPTEMBER), (60, SEPTEMBER)])
def test_the_same_stems_are_sown_for_whether_a_quote_asks_them_or_a_gap_lacks_them(
    spring: Desk, stems: int, due: date
) -> None:
    asked = for_one_line("lagurus", stems, due)
    quote = quoted(spring, asked)

    gap = as_a_gap(spring, asked, quote.version.level)

    assert sown_of(quote.version.places) == [told(batch) for batch in gap.batches]


@pytest.mark.parametrize(
    ("product", "stems", "due", "how"),
    [
        ("zinnia_white", 200, date(2027, 8, 20), "heated"),
        ("zinnia_white", 120, date(2027, 7, 23), "heated"),  # four of them, one after another
        ("dahlia_white", 200, date(2027, 8, 20), "tuber"),
        ("snapdragon_apricot", 120, date(2027, 7, 23), "plugs"),
    ],
)
def test_so_they_are_on_the_demo_be_it_seed_tubers_or_plugs(
    demo: Desk, product: str, stems: int, due: date, how: str
) -> None:
    asked = for_one_line(product, stems, due)
    quote = quoted(demo, asked)

    gap = as_a_gap(demo, asked, quote.version.level)

    assert sown_of(quote.version.places) == [told(batch) for batch in gap.batches]
    assert {method for _, method, _, _ in sown_of(quote.version.places)} == {how}


@pytest.mark.parametrize("day", [date(2027, 7, 31), date(2027, 8, 14)])
def test_a_contract_of_what_is_promised_is_accepted_or_the_quote_says_what_stands_against_it(
    demo: Desk, day: date
) -> None:
    with demo.store.unit_of_work(actor="test", now=NOW) as work:
        quote = quote_wedding(demo, work, QuoteAsked(day, pieces=WEDDING, palette="white"))
        work.save()
    places = quote.version.places
    assert places is not None and places.promised is not None

    refused = ""
    with demo.store.unit_of_work(actor="test", now=NOW) as work:
        try:
            promise_part(demo, work, quote.order.key, PartStep(OrderPart.STANDS))
        except PromiseRefused as refusal:
            refused = cause_in_words(refusal.judged.verdict, refusal.judged.trial)

    assert places.promised.contract == refused
    with demo.store.unit_of_work(actor="test", now=NOW) as work:
        held = promise_part(demo, work, quote.order.key, PartStep(OrderPart.STANDS, until=TODAY))
    assert held.verdict.accepted


def test_a_quote_worked_out_before_it_is_written_is_the_quote_that_is_written(spring: Desk) -> None:
    asked = for_one_line("lagurus", 20, AUGUST)
    ready = quote_ready(spring, asked)
    assert ready is not None

    with spring.store.unit_of_work(actor="test", now=NOW) as work:
        quote = quote_wedding(spring, work, asked, ready)
        anew = quote_wedding(spring, work, asked)

    assert quote.version is ready.version
    assert (anew.version.places, anew.version.price) == (quote.version.places, quote.version.price)


def test_what_was_worked_out_for_another_farm_or_day_is_worked_out_anew(spring: Desk) -> None:
    asked = for_one_line("lagurus", 20, AUGUST)
    ready = quote_ready(spring, asked)
    assert ready is not None
    on(spring, date(2027, 5, 17))

    with spring.store.unit_of_work(actor="test", now=NOW) as work:
        later = quote_wedding(spring, work, asked, ready)

    assert later.version is not ready.version and later.version.made_on == date(2027, 5, 17)
    assert quote_ready(spring, replace(asked, event_date=date(2027, 5, 1))) is None


def test_a_change_worked_out_before_it_is_written_is_the_change_that_is_written(spring: Desk) -> None:
    with spring.store.unit_of_work(actor="test", now=NOW) as work:
        key = quote_wedding(spring, work, for_one_line("lagurus", 20, AUGUST)).order.key
        work.save()
    asked = for_one_line("lagurus", 30, AUGUST)
    ready = change_ready(spring, key, asked)
    assert ready is not None

    with spring.store.unit_of_work(actor="test", now=NOW) as work:
        done = change_quote(spring, work, key, asked, ready=ready)
    with spring.store.unit_of_work(actor="test", now=NOW) as work:
        anew = change_quote(spring, work, key, asked)
        work.save()

    assert done.version.places is ready.answer.version.places
    assert anew.version == done.version and (anew.version.number, anew.order) == (2, done.order)
    # What is written since makes it a thing of the past.
    assert ready.at[0] != spring.store.version()


def test_a_change_of_what_holds_stems_is_worked_out_as_it_is_written(spring: Desk) -> None:
    with spring.store.unit_of_work(actor="test", now=NOW) as work:
        key = quote_wedding(spring, work, for_one_line("lagurus", 10, AUGUST)).order.key
        work.save()
    with spring.store.unit_of_work(actor="test", now=NOW) as work:
        promise_part(spring, work, key, PartStep(OrderPart.STANDS))
        work.save()

    assert change_ready(spring, key, for_one_line("lagurus", 9, AUGUST)) is None
