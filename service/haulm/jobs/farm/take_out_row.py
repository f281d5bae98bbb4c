"""Take a row out of the farm, with what belongs to it alone; what others still name stays, and they are said."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from typing import Any

from haulm.errors import NotAccepted
from haulm.farm.cross_checks import COLLECTIONS, NAMING_PRODUCTS, REFERENCES, varieties_in
from haulm.farm.edits import COLLECTIONS as COLLECTION_OF
from haulm.farm.edits import Row
from haulm.farm.orders import Order
from haulm.farm.snapshot import Farm
from haulm.farm.words import OrderStatus
from haulm.farm_folder.cells import values_of
from haulm.jobs.desk.desk import Desk
from haulm.jobs.farm.change_rows import RowAsked, add_row
from haulm.jobs.farm.keyless_rows import name_of, row_named
from haulm.jobs.promises.judge_demand import judge_taken_out, keep_promises
from haulm.language.words import _
from haulm.store.unit_of_work import UnitOfWork

_BELONGS: Mapping[str, tuple[str, ...]] = {
    "standing_orders": ("changes", "standing_lines"),
    "standing_lines": ("changes",),
    "orders": ("order_lines",),
}
"""By collection, those whose rows go with a row that they name; the ones that others name come last."""
_PROMISED = (OrderStatus.ON_HOLD, OrderStatus.CONTRACTED, OrderStatus.DELIVERED)
_PERSONAL = "customers"
TAKEN_OUT = "row-taken-out"


@dataclass(frozen=True, slots=True)
class Named:
    """Rows that name a row: their collection, and the rows."""

    collection: str
    rows: tuple[Any, ...]


def still_named(farm: Farm, row: Row) -> tuple[Named, ...]:
    """The rows of other collections that name this one, apart from those that go with it."""
    collection = COLLECTION_OF[type(row)]
    found: dict[str, dict[str, Any]] = {}
    for name, one in _naming(farm, collection, name_of(row)):
        if name not in _BELONGS.get(collection, ()):
            found.setdefault(name, {})[name_of(one)] = one
    return tuple(Named(name, tuple(rows.values())) for name, rows in found.items())


def goes_with(farm: Farm, row: Row) -> tuple[Named, ...]:
    """The rows that are taken out with this one."""
    collection = COLLECTION_OF[type(row)]
    named = dict.fromkeys(_BELONGS.get(collection, ()), ())
    found: dict[str, tuple[Any, ...]] = {
        name: tuple(one for other, one in _naming(farm, collection, name_of(row)) if other == name) for name in named
    }
    return tuple(Named(name, rows) for name, rows in found.items() if rows)


def take_out_row(desk: Desk, work: UnitOfWork, collection: str, name: str, *, override: str | None = None) -> Any:
    """Take a row out with all that belongs to it; a record stays in the journal and counts for nothing any more.

    Raises:
        NotFound: there is no such row.
        NotAccepted: others still name it, or it is promised.
        PromiseRefused: it asks for stems that it goes, and an earlier promise would fall.
    """
    row = row_named(work.farm, collection, name)
    if collection == "records":
        return _withdrawn(desk, work, row)
    _check_free(work.farm, row)
    gone = (*(one for named in goes_with(work.farm, row) for one in named.rows), row)
    change = judge_taken_out(desk, work.farm, _without(work.farm, gone), row, override=override)
    facts = change.facts if change is not None else {}
    # A person's name has no place in the journal.
    values = {} if collection == _PERSONAL else {"values": values_of(collection, row)}
    entry = work.enter(TAKEN_OUT, f"{collection}/{name}", {**facts, **values})
    for one in gone:
        work.remove(COLLECTION_OF[type(one)], name_of(one), entry=entry)
    if change is not None:
        keep_promises(desk, work, change, entry=entry)
    return row


def _naming(farm: Farm, collection: str, key: str) -> Iterator[tuple[str, Any]]:
    for name, column, target in REFERENCES:
        if target == collection:
            yield from ((name, one) for one in getattr(farm, name) if getattr(one, column) == key)
    if collection == "varieties":
        for name, column in NAMING_PRODUCTS:
            yield from ((name, one) for one in getattr(farm, name) if key in varieties_in(getattr(one, column)))


def _withdrawn(desk: Desk, work: UnitOfWork, row: Any) -> Any:
    values = {"kind": "corrected", "corrects": row.key, "date": row.date.isoformat()}
    return add_row(desk, work, RowAsked("records", values))


def _check_free(farm: Farm, row: Row) -> None:
    called = COLLECTIONS[COLLECTION_OF[type(row)]]
    named = still_named(farm, row)
    if named:
        others = ", ".join(
            _("{rows} of the {collection}").format(rows=len(one.rows), collection=one.collection.replace("_", " "))
            for one in named
        )
        raise NotAccepted(
            where=called,
            found=_("one that {others} still name").format(others=others),
            accepted=_("one that nothing names any more"),
        )
    if isinstance(row, Order) and row.status in _PROMISED:
        raise NotAccepted(
            where=called,
            found=_("one that is {status}").format(status=row.status),
            accepted=_("one that is quoted or cancelled"),
        )


def _without(farm: Farm, gone: tuple[Any, ...]) -> Farm:
    names: dict[str, set[str]] = {}
    for one in gone:
        names.setdefault(COLLECTION_OF[type(one)], set()).add(name_of(one))
    kept: dict[str, Any] = {
        collection: tuple(one for one in getattr(farm, collection) if name_of(one) not in out)
        for collection, out in names.items()
    }
    return replace(farm, **kept)
