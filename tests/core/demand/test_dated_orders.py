"""Dated orders ask by the contract's table: contracted, on hold until its day, or not at all."""

from dataclasses import replace
from datetime import date

import pytest

from haulm.demand.precedence import demand
from haulm.farm.orders import Order, OrderLine
from haulm.farm.products import Choice, Product
from haulm.farm.site import Site
from haulm.farm.snapshot import Farm
from haulm.farm.words import LineClass, OrderKind, OrderStatus, Role

DUE = date(2027, 8, 12)
ORDER = Order("w1", "couple", OrderKind.WEDDING, DUE, status=OrderStatus.CONTRACTED, committed_on=date(2027, 1, 9))
LINE = OrderLine("w1-1", "w1", 100, Product("ammi"), spare=15, substitutes=(Product("orlaya"),))
TODAY = date(2027, 3, 1)


def asked(order: Order, line: OrderLine = LINE, today: date = TODAY) -> list[tuple[LineClass, int]]:
    farm = Farm(Site("Test", 50.0), orders=(order,), order_lines=(line,))
    return [(dated.line_class, dated.stems) for dated in demand(farm, today)]


@pytest.mark.parametrize(
    ("kind", "line_class"),
    [
        (OrderKind.WEDDING, LineClass.WEDDING),
        (OrderKind.ONE_OFF, LineClass.ONE_OFF),
        (OrderKind.STALL, LineClass.STALL),
    ],
)
def test_a_contracted_order_asks_in_the_class_of_its_kind_with_its_spare_apart(
    kind: OrderKind, line_class: LineClass
) -> None:
    assert sorted(asked(replace(ORDER, kind=kind))) == sorted([(line_class, 100), (LineClass.SPARE, 15)])


def test_a_hold_asks_through_its_last_day_and_then_lets_go() -> None:
    held = replace(ORDER, status=OrderStatus.ON_HOLD, hold_until=date(2027, 3, 1))
    assert asked(held) == [(LineClass.HOLD, 100)]
    assert asked(held, today=date(2027, 3, 2)) == []


@pytest.mark.parametrize("status", [OrderStatus.QUOTED, OrderStatus.DELIVERED, OrderStatus.CANCELLED])
def test_quoted_delivered_and_cancelled_orders_ask_nothing(status: OrderStatus) -> None:
    assert asked(replace(ORDER, status=status)) == []


def test_what_was_due_yesterday_asks_nothing() -> None:
    assert asked(ORDER, today=date(2027, 8, 13)) == []
    assert asked(ORDER, today=DUE) != []


def test_a_line_marked_no_substitute_and_unacceptable_stems_are_respected() -> None:
    farm = Farm(Site("Test", 50.0), orders=(ORDER,), order_lines=(replace(LINE, no_substitute=True),))
    assert demand(farm, TODAY)[0].substitutes == ()
    wary = replace(ORDER, unacceptable=("orlaya",))
    line = replace(LINE, product=None, choice=Choice((Role.FILLER,)))
    choice = demand(Farm(Site("Test", 50.0), orders=(wary,), order_lines=(line,)), TODAY)[0].choice
    assert choice is not None
    assert not choice.accepts(Product("orlaya"), role=Role.FILLER, colour=None, kind="")
    assert choice.accepts(Product("ammi"), role=Role.FILLER, colour=None, kind="")


def test_the_strict_order_is_class_then_committed_then_due_then_keys_by_code_point() -> None:
    late = replace(ORDER, key="a", committed_on=None)
    early = replace(ORDER, key="Z")
    upper = replace(ORDER, key="B", kind=OrderKind.ONE_OFF, committed_on=date(2020, 1, 1))
    lines = tuple(replace(LINE, key=f"{key}-1", order=key, spare=0) for key in ("a", "Z", "B"))
    farm = Farm(Site("Test", 50.0), orders=(late, upper, early), order_lines=lines)
    assert [dated.order for dated in demand(farm, TODAY)] == ["Z", "a", "B"]
