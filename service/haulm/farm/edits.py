"""Changing a farm value: the collection a row belongs to, what identifies it, and the farm with rows put in."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from haulm.farm.at_home import AtHome
from haulm.farm.batches import Batch
from haulm.farm.beds import Bed, Spray
from haulm.farm.orders import Change, Customer, Order, OrderLine, Price, Recipe, StandingLine, StandingOrder
from haulm.farm.past_years import PastYear
from haulm.farm.piece_decisions import PieceDecision
from haulm.farm.records import DayTemperature, KnownStems, Record
from haulm.farm.snapshot import Farm
from haulm.farm.usual_sales import UsualSale
from haulm.farm.varieties import Variety

Row = (
    Variety
    | Bed
    | Batch
    | Record
    | KnownStems
    | DayTemperature
    | Customer
    | StandingOrder
    | StandingLine
    | Change
    | Order
    | OrderLine
    | Price
    | Recipe
    | Spray
    | PieceDecision
    | PastYear
    | UsualSale
    | AtHome
)

COLLECTIONS: dict[type[Row], str] = {
    Variety: "varieties",
    Bed: "beds",
    Batch: "batches",
    Record: "records",
    KnownStems: "known_stems",
    DayTemperature: "temperatures",
    Customer: "customers",
    StandingOrder: "standing_orders",
    StandingLine: "standing_lines",
    Change: "changes",
    Order: "orders",
    OrderLine: "order_lines",
    Price: "prices",
    Recipe: "recipes",
    Spray: "sprays",
    PieceDecision: "piece_decisions",
    PastYear: "past_years",
    UsualSale: "usual_sales",
    AtHome: "at_home",
}


def identity(row: Row) -> tuple[str, ...]:
    """What tells a row from all others of its collection: its key, its date, or its natural key."""
    match row:
        case DayTemperature():
            return (row.date.isoformat(),)
        case Price():
            length, first = ("" if part is None else str(part) for part in (row.length_cm, row.first_week))
            return (str(row.product), row.customer or "", length, first)
        case Recipe():
            return (row.piece, row.role)
        case PieceDecision():
            return (row.variety, row.use, row.piece or "")
        case AtHome():
            return (row.variety, row.what)
        case _:
            return (row.key,)


def with_rows(farm: Farm, rows: Iterable[Row]) -> Farm:
    """The farm with rows put in: in the place of the row with the same identity, else at the end."""
    changed: dict[str, dict[tuple[str, ...], Row]] = {}
    for row in rows:
        name = COLLECTIONS[type(row)]
        if name not in changed:
            changed[name] = {identity(old): old for old in getattr(farm, name)}
        # A dict keeps the place of a key that is written again, so a changed row stays where it stood.
        changed[name][identity(row)] = row
    collections = {name: tuple(found.values()) for name, found in changed.items()}
    return replace(farm, **collections)  # type: ignore[arg-type]  # names and rows are paired by COLLECTIONS
