"""A quote answered at a desk and not yet written down: what the rooms of a quote take."""

from __future__ import annotations

from datetime import date
from typing import Any

from haulm.farm.orders import OrderLine
from haulm.farm.products import Product
from haulm.jobs.desk.desk import Desk
from haulm.jobs.promises.quote_wedding import new_order
from haulm.jobs.quotes.answer import Answered, QuoteAsked, answered, drafted, held_today


def asked_for(due: date, *stems: int, product: str = "lagurus", **more: Any) -> QuoteAsked:
    """So many stems of a product that leave on a day, a line each."""
    lines = tuple(OrderLine("", "", count, Product.parse(product)) for count in stems)
    return QuoteAsked(due, lines=lines, due_date=due, **more)


def answer(desk: Desk, asked: QuoteAsked, key: str = "q1") -> Answered:
    """The answer to what is asked, in the place that a hold made today would have."""
    plan = desk.plan()
    order = held_today(new_order(plan.farm, asked, desk.today(), key), desk.today())
    return answered(desk, plan, asked, order, drafted(plan, asked, key))
