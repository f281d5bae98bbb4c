"""All checks of what is written down, shared by every door: the farm folder, the routes and the pages."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace
from datetime import date, timedelta

from haulm.farm.cross_checks import COLLECTIONS, cross_faults
from haulm.farm.edits import COLLECTIONS as ROW_COLLECTIONS
from haulm.farm.edits import Row, with_rows
from haulm.farm.faults import Fault
from haulm.farm.limits import NUMBERS
from haulm.farm.orders import OrderLine, StandingLine
from haulm.farm.products import Product
from haulm.farm.records import DayTemperature
from haulm.farm.row_checks import row_faults
from haulm.farm.site import Site
from haulm.farm.site_checks import site_faults
from haulm.farm.snapshot import Farm
from haulm.farm.temperature_checks import temperature_warnings
from haulm.farm.weeks import cut_days_for
from haulm.farm.words import Form, OrderStatus, StandingStatus, Weekday
from haulm.language.words import _

assert set(ROW_COLLECTIONS.values()) == set(COLLECTIONS), "every collection has its rows, and every row its collection"
assert set(NUMBERS) == set(COLLECTIONS), "every collection has its limits, if only none"

_ASKING = frozenset((OrderStatus.QUOTED, OrderStatus.ON_HOLD, OrderStatus.CONTRACTED))


def farm_faults(farm: Farm) -> tuple[Fault, ...]:
    """Everything that is wrong with a farm: its site, each row alone, rows against each other.

    Returns:
        Faults whose place is `site` or a collection and whose row is an index; empty for a sound farm.
    """
    rows = (fault for name in COLLECTIONS for fault in row_faults(name, getattr(farm, name)))
    return (*site_faults(farm.site), *rows, *cross_faults(farm))


def faults_with(farm: Farm, rows: Sequence[Row]) -> tuple[Fault, ...]:
    """What would be wrong if rows were put into a sound farm: each of them alone, and all rows against each other.

    A fault's row is its index with the rows put in. Rows that stay are not checked alone again, nor are collections
    that no row was put into compared with each other, which is most of the work.
    """
    changed = with_rows(farm, rows)
    own = (fault for row in rows for fault in _alone(changed, row))
    return (*own, *cross_faults(changed, sound=farm))


def _alone(farm: Farm, row: Row) -> tuple[Fault, ...]:
    """What is wrong with one row; temperatures are judged as a whole, which tells degrees from degrees."""
    collection = ROW_COLLECTIONS[type(row)]
    if isinstance(row, DayTemperature):
        return row_faults(collection, farm.temperatures)
    return tuple(replace(fault, row=getattr(farm, collection).index(row)) for fault in row_faults(collection, (row,)))


def cutting_weekdays(due: date, *, hold_days: int, condition_days: int) -> tuple[Weekday, ...]:
    """The weekdays on which stems for a due date could be cut, whatever the farm's cut days are; earliest first.

    Args:
        due: the day the stems leave.
        hold_days: days a cut stem keeps in the cool store [d].
        condition_days: days a cut stem drinks before it may leave [d].
    """
    ages = range(hold_days, condition_days - 1, -1)
    numbers = dict.fromkeys((due - timedelta(days=age)).isoweekday() for age in ages)
    return tuple(list(Weekday)[number - 1] for number in numbers)


def farm_warnings(farm: Farm, hold_days: Callable[[str], int]) -> tuple[str, ...]:
    """What is accepted but will disappoint, in sentences.

    Args:
        farm: a farm without faults.
        hold_days: days a variety keeps in the cool store, by its key [d].
    """
    longest = {v.key: v.lengths[-1].length_cm for v in farm.varieties if v.lengths}
    sentences: list[str] = []
    for line, due in _lines_asking(farm):
        if line.product is None:
            continue
        sentences.extend(_uncut(farm.site, line, line.product, due, hold_days))
        length = longest.get(line.product.variety)
        if length is not None and line.min_length_cm > length:
            sentences.append(
                _("Line {key} asks {min_length_cm} cm of {product}; its longest class is {length} cm.").format(
                    key=line.key, min_length_cm=line.min_length_cm, product=line.product, length=length
                )
            )
    return (*temperature_warnings(farm), *sentences)


def _lines_asking(farm: Farm) -> Iterator[tuple[StandingLine | OrderLine, date]]:
    """Each line that may ask for stems, with a due date; a standing line is due on the same weekday every time."""
    standing = {order.key: order for order in farm.standing_orders if order.status is StandingStatus.ACTIVE}
    for standing_line in farm.standing_lines:
        if standing_line.order in standing:
            order = standing[standing_line.order]
            yield standing_line, order.first_week.day(order.weekday)
    dated = {order.key: order for order in farm.orders if order.status in _ASKING}
    for order_line in farm.order_lines:
        if order_line.order in dated:
            yield order_line, dated[order_line.order].due_date


def _uncut(
    site: Site, line: StandingLine | OrderLine, product: Product, due: date, hold_days: Callable[[str], int]
) -> Iterator[str]:
    if product.form is Form.DRIED:
        return
    hold = hold_days(product.variety)
    limits = {"hold_days": hold, "condition_days": site.condition_days}
    # Whatever today is: a warning is of the farm's week, not of a day that has passed.
    if cut_days_for(due, weekdays=site.cut_weekdays, today=date.min, **limits):
        return
    would = cutting_weekdays(due, **limits)
    weekday = list(Weekday)[due.weekday()]
    remedy = (
        _("Cutting on {would} would.").format(would=_(" or ").join(would))
        if would
        else _("No cut day could: it keeps for too few days.")
    )
    yield (
        _(
            "Line {key} is due on a {weekday}, and no cut day serves that: {product} keeps {hold} "
            "days, {condition_days} of them drinking. {remedy}"
        ).format(
            key=line.key, weekday=weekday, product=product, hold=hold, condition_days=site.condition_days, remedy=remedy
        )
    )
