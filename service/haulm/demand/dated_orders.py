"""Weddings, one-offs and the stall, contracted or on hold: dated lines, with the spare as lines of their own."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import replace
from datetime import date

from haulm.demand.dated_line import DatedLine
from haulm.farm.orders import Order, OrderLine
from haulm.farm.site import Site
from haulm.farm.snapshot import Farm
from haulm.farm.words import LineClass, OrderStatus


def order_demand(farm: Farm, today: date) -> Iterator[DatedLine]:
    """The dated lines of contracted orders and of holds that have not lapsed, due today or later."""
    for order, lines in dated_asks(farm):
        yield from order_lines_demand(farm.site, order, lines, today)


def dated_asks(farm: Farm) -> Iterator[tuple[Order, tuple[OrderLine, ...]]]:
    """Every dated order with its lines, in the order in which they were written."""
    lines: dict[str, list[OrderLine]] = {}
    for line in farm.order_lines:
        lines.setdefault(line.order, []).append(line)
    for order in farm.orders:
        yield order, tuple(lines.get(order.key, ()))


def order_lines_demand(site: Site, order: Order, lines: Iterable[OrderLine], today: date) -> Iterator[DatedLine]:
    """The dated lines of one dated order, as `order_demand` has them; none once it was due."""
    if order.due_date >= today:
        for line in lines:
            yield from order_line_demand(site, order, line, today)


def order_line_demand(site: Site, order: Order, line: OrderLine, today: date) -> Iterator[DatedLine]:
    """The dated line of one order line, and its spare where the order is contracted; nothing where it asks nothing."""
    line_class = class_of(order, today)
    if line_class is None or line.stems == 0:
        return
    dated = _dated(site, order, line, line_class)
    yield dated
    # A hold keeps from others no more than what may be ordered.
    if line.spare > 0 and order.status is OrderStatus.CONTRACTED:
        yield replace(
            dated,
            stems=line.spare,
            line_class=LineClass.SPARE,
            class_rank=site.class_rank(LineClass.SPARE),
            minimum=0,
            is_spare=True,
            promised_confidence=None,
        )


def class_of(order: Order, today: date) -> LineClass | None:
    """The class of demand an order makes today, or None.

    Contracted: the class of its kind. On hold: the class of holds, up to and including `hold_until`.
    Quoted, delivered, cancelled and lapsed: none.
    """
    if order.status is OrderStatus.CONTRACTED:
        return order.kind.line_class
    if order.status is OrderStatus.ON_HOLD and order.hold_until is not None and today <= order.hold_until:
        return LineClass.HOLD
    return None


def _dated(site: Site, order: Order, line: OrderLine, line_class: LineClass) -> DatedLine:
    refused = set(order.unacceptable)
    substitutes = () if line.no_substitute else tuple(p for p in line.substitutes if p.variety not in refused)
    choice = line.choice if line.choice is None else replace(line.choice, without=order.unacceptable)
    return DatedLine(
        line=line.key,
        order=order.key,
        customer=order.customer,
        due=order.due_date,
        stems=line.stems,
        line_class=line_class,
        class_rank=site.class_rank(line_class),
        # A day that nobody recorded puts nobody before those who are on record.
        committed_on=order.committed_on or date.max,
        product=line.product,
        choice=choice,
        minimum=line.minimum,
        substitutes=substitutes,
        stage=line.stage,
        min_length_cm=line.min_length_cm,
        max_each=line.max_each,
        max_age_days=line.max_age_days,
        promised_confidence=line.promised_confidence,
        usual_level=site.level_of(order.kind.line_class),
        part=line.part,
    )
