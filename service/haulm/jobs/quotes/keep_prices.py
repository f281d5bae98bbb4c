"""Lines take their price once and keep it: on the day they are made, held or contracted, whatever comes of the list."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import replace
from datetime import date

from haulm.advice.kept_prices import KEEPING, asks_the_same, priced_like, with_kept_price, without_kept_price
from haulm.advice.pricing import PriceList
from haulm.farm.edits import Row, with_rows
from haulm.farm.orders import Order, OrderLine, StandingLine
from haulm.farm.snapshot import Farm
from haulm.farm.words import PriceFrom
from haulm.jobs.desk.desk import Desk
from haulm.planning.keeping import crops_of
from haulm.store.errors import FarmEmpty

KEPT_LINES = ("standing_lines", "order_lines")
_PRICE = "bunch_price_minor"
_ACTOR = "program"


def keep_prices(desk: Desk) -> int:
    """Give every line that should keep a price and has none the list's, as it stands; gives how many took one.

    Lines that were made before lines kept their price hold it from then on.
    """
    try:
        farm = desk.store.farm()
    except FarmEmpty:
        return 0
    if next(_newly_priced(farm, desk.today()), None) is None:
        return 0
    with desk.store.unit_of_work(actor=_ACTOR, now=desk.now()) as work:
        lines = tuple(_newly_priced(work.farm, desk.today()))
        seq = work.enter("prices-kept", "farm", {"lines": len(lines)})
        for line in lines:
            work.put(line, entry=seq)
        work.save()
    return len(lines)


def farm_with_kept_prices(farm: Farm, before: Farm | None, *, today: date) -> Farm:
    """A farm that comes in, with the price of every line that is to keep one.

    A line that says no price keeps that of the same line in the farm before, if it asks the same; else the list's.
    """
    if before is not None:
        known = {line.key: line for line in _lines(before)}
        farm = replace(
            farm,
            standing_lines=tuple(priced_like(line, known.get(line.key, line)) for line in farm.standing_lines),
            order_lines=tuple(priced_like(line, known.get(line.key, line)) for line in farm.order_lines),
        )
    return with_rows(farm, _newly_priced(farm, today))


def price_kept(farm: Farm, row: Row, said: Mapping[str, object], *, today: date) -> Row:
    """A row that is about to be written, a line of an order with the price it keeps.

    Args:
        farm: the farm before.
        row: the row.
        said: the values by which somebody asks for it.
        today: the day.
    """
    if not isinstance(row, StandingLine | OrderLine):
        return row
    old = next((line for line in _lines(farm) if line.key == row.key), None)
    if said.get(_PRICE) not in (None, ""):
        return row if said.get("price_from") else replace(row, price_from=PriceFrom.AGREED)
    if old is not None and not asks_the_same(row, old):
        row = without_kept_price(row)
    return next((line for line in _newly_priced(with_rows(farm, [row]), today) if line.key == row.key), row)


def values_of_price(collection: str, values: Mapping[str, object]) -> dict[str, object]:
    """Values by which a line is changed: where its price is taken out, so is what belongs to it."""
    found = dict(values)
    if collection in KEPT_LINES and _PRICE in found and found[_PRICE] in (None, ""):
        found |= {"bunch_stems": None, "price_from": None}
    return found


def _lines(farm: Farm) -> Iterator[StandingLine | OrderLine]:
    yield from farm.standing_lines
    yield from farm.order_lines


def _newly_priced(farm: Farm, today: date) -> Iterator[StandingLine | OrderLine]:
    """The lines that take a price, with it."""
    prices = PriceList(farm.prices, crops_of(farm), farm.site.prices)
    standing = {order.key: order for order in farm.standing_orders}
    dated = {order.key: order for order in farm.orders if order.status in KEEPING}
    for line in _lines(farm):
        order = standing.get(line.order) if isinstance(line, StandingLine) else dated.get(line.order)
        if order is not None:
            priced = with_kept_price(line, order, prices, today=today)
            if priced is not line:
                yield priced


def lines_kept(farm: Farm, order: Order, lines: Iterable[OrderLine], *, today: date) -> tuple[OrderLine, ...]:
    """The lines of a dated order that is quoted or held, with the price each keeps."""
    prices = PriceList(farm.prices, crops_of(farm), farm.site.prices)
    return tuple(with_kept_price(line, order, prices, today=today) for line in lines)
