"""The price that a line keeps: agreed, or taken from the list once, and not moved by a later list."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from typing import TypeVar

from haulm.advice.pricing import BunchPrice, PriceList
from haulm.farm.orders import Order, OrderLine, StandingLine, StandingOrder
from haulm.farm.weeks import Week
from haulm.farm.words import OrderStatus, PriceFrom

Line = TypeVar("Line", bound=OrderLine | StandingLine)
KEEPING = (OrderStatus.ON_HOLD, OrderStatus.CONTRACTED)
"""Dated orders whose lines keep their price: what was promised at a price."""


def kept_price(line: OrderLine | StandingLine) -> BunchPrice | None:
    """The price of a bunch that a line keeps; None where it keeps none."""
    if line.bunch_price_minor is None or line.bunch_stems is None:
        return None
    return BunchPrice(line.bunch_price_minor, line.bunch_stems)


def bunch_price_of(line: OrderLine | StandingLine, prices: PriceList, *, customer: str, week: Week) -> BunchPrice:
    """What a bunch of a line costs: the price it keeps, else that of the list for the week in which it leaves."""
    return kept_price(line) or prices.of_line(line, customer=customer, week=week)


def with_kept_price(line: Line, order: Order | StandingOrder, prices: PriceList, *, today: date) -> Line:
    """The line with the list's price to keep; as it is where it keeps one, has one price for all of it, or has none.

    A dated line takes the price of the week it is due; a standing line that of its first week, or of today's week where
    it has begun. A price of nothing is no price: such a line takes the first that the list has later.
    """
    if kept_price(line) is not None or (isinstance(line, OrderLine) and line.agreed_price_minor is not None):
        return line
    if isinstance(order, Order):
        week = Week.of(order.due_date)
    else:
        week = min(max(order.first_week, Week.of(today)), order.last_week)
    found = prices.of_line(line, customer=order.customer, week=week)
    if not found.minor:
        return line
    return replace(line, bunch_price_minor=found.minor, bunch_stems=found.stems, price_from=PriceFrom.LIST)


def priced_like(line: Line, before: OrderLine | StandingLine) -> Line:
    """A line with the price of what it was before, where it keeps none and asks the same kind and length."""
    if kept_price(line) is not None or not asks_the_same(line, before):
        return line
    return replace(
        line, bunch_price_minor=before.bunch_price_minor, bunch_stems=before.bunch_stems, price_from=before.price_from
    )


def without_kept_price(line: Line) -> Line:
    """The line with no price to keep."""
    return replace(line, bunch_price_minor=None, bunch_stems=None, price_from=PriceFrom.AGREED)


def asks_the_same(line: OrderLine | StandingLine, before: OrderLine | StandingLine) -> bool:
    """Whether two lines ask the same kind and length: what a price is agreed for; of how many does not matter."""
    return (line.product, line.choice, line.min_length_cm) == (before.product, before.choice, before.min_length_cm)
