"""A promised floor in a cold April and a warm May: down with the weather, and up again as far as it was promised."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date, timedelta
from pathlib import Path

import pytest

from haulm.farm.orders import OrderLine
from haulm.farm.products import Product
from haulm.farm.records import DayTemperature, KnownStems
from haulm.farm.words import OrderKind
from haulm.jobs.desk.desk import Desk
from haulm.jobs.desk.judging import floors_of
from haulm.jobs.promises.hold_quote import contract_quote
from haulm.jobs.promises.quote_wedding import QuoteAsked, quote_wedding
from haulm.jobs.quotes.promise_refused import PromiseRefused
from support.desks import NOW, desk_over, on, sqlite_store
from support.summer_farm import summer_farm

FIRST_DAY, DUE, LEVEL = date(2027, 4, 1), date(2027, 7, 16), 0.8
USUAL_C = {4: (3.4, 12.2), 5: (6.2, 15.3)}
COLD_APRIL, WARM_MAY = {4: -6.0}, {5: 4.0}


@pytest.fixture
def spring(tmp_path: Path) -> Iterator[Desk]:
    """The summer farm on the first of April, nothing counted and nothing promised."""
    files = {**summer_farm(), "known_stems.csv": b"key,product,ready_date,stems\n"}
    store = sqlite_store(tmp_path)
    yield desk_over(store, files, today=FIRST_DAY, seasons=400)
    store.close()


def contracted(desk: Desk, stems: int, *, level: float = LEVEL, kind: OrderKind = OrderKind.WEDDING) -> str:
    """The key of a wedding in mid-July, or of a one-off."""
    line = OrderLine("", "", stems, Product("lagurus"))
    with desk.store.unit_of_work(actor="test", now=NOW) as work:
        asked = QuoteAsked(DUE, lines=(line,), due_date=DUE, customer="anna", kind=kind)
        order = quote_wedding(desk, work, asked).order.key
        work.save()
    with desk.store.unit_of_work(actor="test", now=NOW) as work:
        contract_quote(desk, work, order, level=level)
        work.save()
    return order


def weather(desk: Desk, month: int, warmer_c: dict[int, float]) -> None:
    """A month's temperatures come in, and it is over."""
    low, high = USUAL_C[month]
    day = date(2027, month, 1)
    with desk.store.unit_of_work(actor="test", now=NOW) as work:
        while day.month == month:
            work.put(DayTemperature(day, low + warmer_c[month], high + warmer_c[month]))
            day += timedelta(days=1)
        work.save()
    on(desk, day)


def floor_and_sureness(desk: Desk, order: str) -> tuple[float, float]:
    """The floor of the wedding's one line, and how sure it is."""
    plan = desk.plan()
    (sure,) = (one for what, one in plan.moment.sure.items() if what.order == order)
    return floors_of(desk, plan).of(sure), sure.confidence


def test_a_floor_falls_with_a_cold_april_and_rises_with_a_warm_may_up_to_what_was_promised(spring: Desk) -> None:
    order = contracted(spring, 5)
    promised, sure = floor_and_sureness(spring, order)
    assert promised == LEVEL <= sure

    weather(spring, 4, COLD_APRIL)
    april, sure = floor_and_sureness(spring, order)
    assert april == sure < 0.5

    weather(spring, 5, WARM_MAY)
    may, sure = floor_and_sureness(spring, order)
    assert may == sure and april + 0.1 < may < LEVEL

    with spring.store.unit_of_work(actor="test", now=NOW) as work:
        work.put(KnownStems("k1", Product("lagurus"), DUE - timedelta(days=3), 10))
        work.save()
    assert floor_and_sureness(spring, order) == (LEVEL, 1.0)


def test_in_between_it_is_guarded_where_the_weather_left_it(spring: Desk) -> None:
    order = contracted(spring, 5, kind=OrderKind.ONE_OFF)
    weather(spring, 4, COLD_APRIL)
    april, _ = floor_and_sureness(spring, order)

    with pytest.raises(PromiseRefused) as refusal:
        contracted(spring, 5, level=0.2)
    (fall,) = refusal.value.verdict.falls
    assert (fall.what.order, fall.floor, fall.before) == (order, april, april)
    assert fall.after < april - 0.01
    assert floor_and_sureness(spring, order)[0] == april
