"""Demand that comes all at once is judged all together: each by its own level, and nobody by what the others take."""

from dataclasses import replace
from datetime import date

from haulm.farm.orders import Order, OrderLine
from haulm.farm.products import Product
from haulm.farm.snapshot import Farm
from haulm.farm.words import OrderKind, OrderStatus
from haulm.jobs.desk.desk import Desk
from haulm.jobs.promises.judge_together import asked_more, judge_together, refused

FRIDAY = date(2027, 6, 18)


def with_orders(farm: Farm, **stems: int) -> Farm:
    """The farm with a contracted order of so many lagurus each."""
    orders = [
        Order(key, "bram", OrderKind.ONE_OFF, FRIDAY, committed_on=date(2027, 6, 1), status=OrderStatus.CONTRACTED)
        for key in stems
    ]
    lines = [OrderLine(f"{key}-1", key, count, Product("lagurus")) for key, count in stems.items()]
    return replace(farm, orders=(*farm.orders, *orders), order_lines=(*farm.order_lines, *lines))


def test_what_asks_no_more_is_not_judged(desk: Desk) -> None:
    farm = desk.store.farm()

    assert judge_together(desk, farm, farm) == ()
    assert judge_together(desk, farm, replace(farm, standing_orders=(), standing_lines=())) == ()


def test_two_orders_that_each_fit_alone_are_refused_where_they_do_not_fit_together(desk: Desk) -> None:
    farm = desk.store.farm()

    for alone in ({"one": 20}, {"two": 25}):
        assert refused(judge_together(desk, farm, with_orders(farm, **alone))) == ()
    both = judge_together(desk, farm, with_orders(farm, one=20, two=25))
    assert [judged.order for judged in both] == ["one", "two"]
    assert [judged.order for judged in refused(both)] == ["two"]
    assert {order: len(lines) for order, lines in asked_more(desk, farm, with_orders(farm, one=20)).items()} == {
        "one": 1
    }
