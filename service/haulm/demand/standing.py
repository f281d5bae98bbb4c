"""Standing orders: one dated line for each line and week, with that week's change applied."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import date

from haulm.demand.dated_line import DatedLine
from haulm.farm.orders import Change, StandingLine, StandingOrder
from haulm.farm.site import Site
from haulm.farm.snapshot import Farm
from haulm.farm.weeks import Week, weeks_between
from haulm.farm.words import LineClass, StandingStatus, Weekday


def standing_demand(farm: Farm, today: date) -> Iterator[DatedLine]:
    """The dated lines of all active standing orders that are due today or later.

    A line is due on its order's weekday of each ISO week from first to last inclusive, or of each second one.
    A change replaces the stems of that week only; 0 skips the week. A change of one line outranks a change of the
    whole order, and of two equal ones the later row stands.
    """
    for order, asked in standing_asks(farm):
        yield from order_dates(farm.site, order, asked, today)


def delivery_days(farm: Farm) -> tuple[Weekday, ...]:
    """The weekdays on which the farm delivers, Monday first: those of its standing orders, else its bucket day."""
    used = {order.weekday for order in farm.standing_orders if order.status is StandingStatus.ACTIVE}
    return tuple(day for day in Weekday if day in used) or (farm.site.bucket_day,)


@dataclass(frozen=True, slots=True)
class StandingAsk:
    """What a standing order asks: its lines and its changes, in the order in which they were written."""

    lines: tuple[StandingLine, ...]
    changes: tuple[Change, ...]


def standing_asks(farm: Farm) -> Iterator[tuple[StandingOrder, StandingAsk]]:
    """Every standing order with what belongs to it."""
    lines: dict[str, list[StandingLine]] = {}
    for line in farm.standing_lines:
        lines.setdefault(line.order, []).append(line)
    changes: dict[str, list[Change]] = {}
    for change in farm.changes:
        changes.setdefault(change.order, []).append(change)
    for order in farm.standing_orders:
        yield order, StandingAsk(tuple(lines.get(order.key, ())), tuple(changes.get(order.key, ())))


def order_dates(site: Site, order: StandingOrder, asked: StandingAsk, today: date) -> Iterator[DatedLine]:
    """The dated lines of one standing order, as `standing_demand` has them; none while it is not active."""
    if order.status is not StandingStatus.ACTIVE:
        return
    changes = {(change.week, change.line): change for change in asked.changes}
    for week in _weeks(order):
        due = week.day(order.weekday)
        if due < today:
            continue
        for line in asked.lines:
            dated = _dated(site, order, line, due, changes.get((week, line.key), changes.get((week, None))))
            if dated.stems > 0:
                yield dated


def _weeks(order: StandingOrder) -> Iterator[Week]:
    assert order.every > 0, "a standing order comes back"
    weeks = list(weeks_between(order.first_week, order.last_week))
    # Each second week counts from the order's first: even and odd numbers would change places after a week 53.
    return iter(weeks[:: order.every])


def _dated(site: Site, order: StandingOrder, line: StandingLine, due: date, change: Change | None) -> DatedLine:
    dated = DatedLine(
        line=line.key,
        order=order.key,
        customer=order.customer,
        due=due,
        stems=line.stems,
        line_class=LineClass.STANDING,
        class_rank=site.class_rank(LineClass.STANDING),
        committed_on=order.committed_on or date.max,
        product=line.product,
        choice=line.choice,
        minimum=line.minimum,
        substitutes=line.substitutes,
        stage=line.stage,
        min_length_cm=line.min_length_cm,
        max_each=line.max_each,
        max_age_days=line.max_age_days,
        promised_confidence=line.promised_confidence,
        usual_level=site.level_of(LineClass.STANDING),
    )
    if change is None:
        return dated
    # A customer who asks for less than the line's own minimum means the smaller number.
    return replace(dated, stems=change.stems, minimum=min(line.minimum, change.stems))
