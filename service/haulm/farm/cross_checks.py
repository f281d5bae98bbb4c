"""Checks of rows against each other: keys, references, lines of orders."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, fields
from operator import attrgetter
from typing import Any

from haulm.farm.faults import Fault
from haulm.farm.orders import OrderLine, StandingLine
from haulm.farm.products import Product
from haulm.farm.record_checks import record_faults
from haulm.farm.snapshot import Farm
from haulm.farm.varieties import Variety
from haulm.language.words import _, marked

IDENTITIES: Mapping[str, tuple[str, ...]] = {
    "temperatures": ("date",),
    "prices": ("product", "customer", "length_cm", "first_week"),
    "recipes": ("piece", "role"),
    "piece_decisions": ("variety", "use", "piece"),
    "at_home": ("variety", "what"),
}
"""What makes a row one of its kind; `key` where a collection is not named here."""

COLLECTIONS: Mapping[str, str] = {
    "varieties": "variety",
    "beds": "bed",
    "batches": "batch",
    "records": "record",
    "known_stems": marked("row of known stems"),
    "temperatures": "temperature",
    "customers": "customer",
    "standing_orders": marked("standing order"),
    "standing_lines": marked("standing line"),
    "changes": "change",
    "orders": "order",
    "order_lines": marked("order line"),
    "prices": "price",
    "recipes": "recipe",
    "sprays": "spray",
    "piece_decisions": marked("decision about a kind in pieces"),
    "past_years": marked("past year"),
    "usual_sales": marked("usual sale"),
    "at_home": marked("tick of what is at home"),
}
"""The collections of a Farm in the order of the farm folder, and what one row is called."""
assert {*COLLECTIONS, "site", "version"} == {one.name for one in fields(Farm)}, "every collection of a farm is checked"
assert set(IDENTITIES) <= set(COLLECTIONS), "an identity is that of the rows of a collection"

REFERENCES = (
    ("batches", "variety", "varieties"),
    ("batches", "bed", "beds"),
    ("records", "batch", "batches"),
    ("records", "variety", "varieties"),
    ("standing_orders", "customer", "customers"),
    ("standing_lines", "order", "standing_orders"),
    ("changes", "order", "standing_orders"),
    ("changes", "line", "standing_lines"),
    ("orders", "customer", "customers"),
    ("order_lines", "order", "orders"),
    ("prices", "customer", "customers"),
    ("sprays", "bed", "beds"),
    ("piece_decisions", "variety", "varieties"),
    ("past_years", "variety", "varieties"),
    ("usual_sales", "customer", "customers"),
    ("at_home", "variety", "varieties"),
)
"""Collection, column, and the collection whose rows the column names by key."""
_LINES = ("standing_lines", "order_lines")
NAMING_PRODUCTS = (
    ("known_stems", "product"),
    ("standing_lines", "product"),
    ("standing_lines", "substitutes"),
    ("orders", "unacceptable"),
    ("order_lines", "product"),
    ("order_lines", "substitutes"),
    ("prices", "product"),
    ("usual_sales", "product"),
)
"""Collection and column that name varieties, as products or by key."""


@dataclass(frozen=True, slots=True)
class Unread:
    """What was written down but could not be read, so that references to it are not reported as a second fault.

    `keys` are the keys of broken rows, by collection; `whole` the collections of which nothing could be read.
    """

    keys: Mapping[str, frozenset[str]] = field(default_factory=dict[str, frozenset[str]])
    whole: frozenset[str] = frozenset()


def cross_faults(farm: Farm, unread: Unread | None = None, *, sound: Farm | None = None) -> tuple[Fault, ...]:
    """What is wrong between the rows of a farm, in the order of the collections; `row` is the index of the row.

    Args:
        farm: the rows; their own faults are the business of `row_checks`.
        unread: rows that exist but are not in `farm`; none when not given.
        sound: a farm without faults that this one was made from; collections that both share are not compared again.
    """
    unread = unread or Unread()
    new = frozenset(name for name in COLLECTIONS if sound is None or getattr(farm, name) is not getattr(sound, name))
    faults = (
        *_repeated(farm, new),
        *_unknown_references(farm, unread, new),
        *_unknown_products(farm, unread, new),
        *_unknown_stages(farm, new),
        *(_falling_temperatures(farm) if "temperatures" in new else ()),
        *(_repeated_years(farm) if "past_years" in new else ()),
        *(_misplaced_changes(farm) if new & {"changes", "standing_orders", "standing_lines"} else ()),
        *(_misplaced_corrections(farm, unread) if "records" in new else ()),
        *(record_faults(farm) if new & {"records", "batches"} else ()),
    )
    place = {name: number for number, name in enumerate(COLLECTIONS)}
    # In the order in which the grower wrote: she goes through her files once.
    return tuple(sorted(faults, key=lambda fault: (place[fault.place], fault.row or 0)))


def _repeated(farm: Farm, new: frozenset[str]) -> Iterator[Fault]:
    for name in (name for name in COLLECTIONS if name in new):
        noun, fields = COLLECTIONS[name], IDENTITIES.get(name, ("key",))
        rows = getattr(farm, name)
        for index, text in _repeats(zip(*(map(attrgetter(part), rows) for part in fields), strict=True)):
            accepted = _("{fields} that no other {noun} has").format(fields=_(" and ").join(fields), noun=_(noun))
            yield Fault(name, index, fields[0], _("{text} a second time").format(text=text), accepted)
    if new.isdisjoint(_LINES):
        return
    standing = {line.key for line in farm.standing_lines}
    for index, line in enumerate(farm.order_lines):
        if line.key in standing:
            found = _("'{key}', a standing line's key").format(key=line.key)
            yield Fault("order_lines", index, "key", found, _("a key that no other line has, standing lines included"))


def _repeats(identities: Iterable[tuple[Any, ...]]) -> Iterator[tuple[int, str]]:
    seen: set[tuple[Any, ...]] = set()
    for index, identity in enumerate(identities):
        if identity in seen:
            yield index, "'" + " ".join(str(part) for part in identity if part is not None) + "'"
        seen.add(identity)


def _unknown_references(farm: Farm, unread: Unread, new: frozenset[str]) -> Iterator[Fault]:
    for name, column, target in REFERENCES:
        if target in unread.whole or new.isdisjoint((name, target)):
            continue
        # A row that names nobody names nobody wrong.
        known = _keys(farm, target, unread) | {None}
        for index, key in enumerate(map(attrgetter(column), getattr(farm, name))):
            if key not in known:
                yield _unknown(name, index, column, key, target)


def _unknown_products(farm: Farm, unread: Unread, new: frozenset[str]) -> Iterator[Fault]:
    if "varieties" not in unread.whole:
        known = _keys(farm, "varieties", unread)
        for name, index, column, variety in _named_varieties(farm, new):
            if variety not in known:
                yield _unknown(name, index, column, variety, "varieties")


def _named_varieties(farm: Farm, new: frozenset[str]) -> Iterator[tuple[str, int, str, str]]:
    """Collection, index, column and key of every variety that a product or a list of them names."""
    for name, column in NAMING_PRODUCTS:
        if new.isdisjoint((name, "varieties")):
            continue
        for index, value in enumerate(map(attrgetter(column), getattr(farm, name))):
            for variety in varieties_in(value):
                yield name, index, column, variety


def varieties_in(value: Product | tuple[Product | str, ...] | None) -> tuple[str, ...]:
    """The keys of the varieties that a value of `NAMING_PRODUCTS` names."""
    if value is None:
        return ()
    if isinstance(value, Product):
        return (value.variety,)
    return tuple(item.variety if isinstance(item, Product) else item for item in value)


def _keys(farm: Farm, collection: str, unread: Unread) -> set[str | None]:
    return {row.key for row in getattr(farm, collection)} | unread.keys.get(collection, frozenset())


def _unknown(name: str, index: int, column: str, key: str, target: str) -> Fault:
    return Fault(
        name, index, column, f"'{key}'", _("a key of this farm's {target}").format(target=target.replace("_", " "))
    )


def _unknown_stages(farm: Farm, new: frozenset[str]) -> Iterator[Fault]:
    stages = {variety.key: _stage_names(variety) for variety in farm.varieties if variety.stages}
    for name in _LINES:
        if new.isdisjoint((name, "varieties")):
            continue
        lines: Sequence[StandingLine | OrderLine] = getattr(farm, name)
        for index, line in enumerate(lines):
            names = stages.get(line.product.variety) if isinstance(line.product, Product) else None
            if line.stage and names and line.stage not in names:
                yield Fault(
                    name,
                    index,
                    "stage",
                    f"'{line.stage}'",
                    _("a stage of the variety: {names}").format(names=", ".join(names)),
                )


def _stage_names(variety: Variety) -> tuple[str, ...]:
    return tuple(stage.name for stage in variety.stages)


def _falling_temperatures(farm: Farm) -> Iterator[Fault]:
    last = dt.date.min
    for index, day in enumerate(map(attrgetter("date"), farm.temperatures)):
        if day < last:
            yield Fault(
                "temperatures", index, "date", str(day), _("dates that rise: a date after {last}").format(last=last)
            )
        last = max(last, day)


def _repeated_years(farm: Farm) -> Iterator[Fault]:
    """A year told twice would count twice; what was sown on one day in two ways is told of each."""
    known: set[tuple[str | int | dt.date | None, ...]] = set()
    for index, row in enumerate(farm.past_years):
        told = (row.variety, row.kind, row.year, row.sow_date, row.method, row.tunnel)
        if told in known:
            yield Fault(
                "past_years",
                index,
                "year",
                _("{year} a second time").format(year=row.year),
                _("each year and sowing of a kind once"),
            )
        known.add(told)


def _misplaced_changes(farm: Farm) -> Iterator[Fault]:
    orders = {order.key: order for order in farm.standing_orders}
    lines = {line.key: line for line in farm.standing_lines}
    for index, change in enumerate(farm.changes):
        order = orders.get(change.order)
        if order is not None and not order.first_week <= change.week <= order.last_week:
            accepted = _("a week of its order, {first_week} to {last_week}").format(
                first_week=order.first_week, last_week=order.last_week
            )
            yield Fault("changes", index, "week", str(change.week), accepted)
        line = lines.get(change.line) if change.line is not None else None
        if line is not None and line.order != change.order:
            found = _("'{key}', a line of order '{order}'").format(key=line.key, order=line.order)
            yield Fault("changes", index, "line", found, _("a line of order '{order}'").format(order=change.order))


def _misplaced_corrections(farm: Farm, unread: Unread) -> Iterator[Fault]:
    if "records" in unread.whole:
        return
    earlier = set(unread.keys.get("records", ()))
    for index, record in enumerate(farm.records):
        if record.corrects is not None and record.corrects not in earlier:
            yield Fault("records", index, "corrects", f"'{record.corrects}'", _("the key of an earlier record"))
        earlier.add(record.key)
