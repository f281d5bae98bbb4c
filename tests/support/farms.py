"""Small farms for tests: nouns with honest defaults, and folders as a grower would type them."""

from __future__ import annotations

import datetime as dt
import textwrap
from dataclasses import replace
from typing import Any

from haulm.farm.batches import Batch
from haulm.farm.beds import Bed
from haulm.farm.orders import Customer, Order, OrderLine, StandingLine, StandingOrder
from haulm.farm.products import Product
from haulm.farm.records import KnownStems, Record
from haulm.farm.site import Site
from haulm.farm.snapshot import Farm
from haulm.farm.varieties import Variety
from haulm.farm.weeks import Week
from haulm.farm.words import OrderKind, OrderStatus, RecordKind, Weekday

MINIMAL_SITE = 'format = 1\nname = "Test farm"\nlatitude = 52.0\n'


def grower_folder(site: str = MINIMAL_SITE, **tables: str) -> dict[str, bytes]:
    """The files of a farm folder from text as a grower would type it: `grower_folder(varieties="key,name ...")`.

    Each table is named for its file without `.csv`; indentation and blank lines around the text are taken away.
    """
    texts = {"farm.toml": site, **{f"{name}.csv": text for name, text in tables.items()}}
    return {name: (textwrap.dedent(text).strip() + "\n").encode() for name, text in texts.items()}


def site(**changes: Any) -> Site:
    """A farm at 52 degrees north that cuts on Mondays and Thursdays."""
    return replace(Site("Test farm", 52.0), **changes)


def variety(key: str = "lagurus", **changes: Any) -> Variety:
    """A variety with a name; everything else is left to the defaults."""
    return replace(Variety(key, key.capitalize()), **changes)


def batch(key: str = "b1", *, sow: str = "2027-03-15", plants: int = 100, **changes: Any) -> Batch:
    """A planned batch of `lagurus` under cover."""
    return replace(Batch(key, "lagurus", sow_date=dt.date.fromisoformat(sow), plants=plants), **changes)


def customer(key: str = "anna", **changes: Any) -> Customer:
    """A florist."""
    return replace(Customer(key, key.capitalize()), **changes)


def standing_order(
    key: str = "weekly", *, first: str = "2027-W20", last: str = "2027-W35", **changes: Any
) -> StandingOrder:
    """A weekly Thursday order of `anna`."""
    return replace(StandingOrder(key, "anna", Weekday.THU, Week.parse(first), Week.parse(last)), **changes)


def standing_line(
    key: str = "weekly-1", *, product: str | None = "lagurus", stems: int = 20, **changes: Any
) -> StandingLine:
    """A line of `weekly`."""
    asked = None if product is None else Product.parse(product)
    return replace(StandingLine(key, "weekly", stems, asked), **changes)


def order(key: str = "wedding", *, due: str = "2027-06-24", **changes: Any) -> Order:
    """A contracted wedding of `anna`."""
    made = Order(key, "anna", OrderKind.WEDDING, dt.date.fromisoformat(due), status=OrderStatus.CONTRACTED)
    return replace(made, **changes)


def order_line(
    key: str = "wedding-1", *, product: str | None = "lagurus", stems: int = 30, **changes: Any
) -> OrderLine:
    """A line of `wedding`."""
    asked = None if product is None else Product.parse(product)
    return replace(OrderLine(key, "wedding", stems, asked), **changes)


def record(
    key: str = "r1", *, kind: RecordKind = RecordKind.NOT_YET, day: str = "2027-06-01", **changes: Any
) -> Record:
    """Not yet, said of batch `b1`."""
    return replace(Record(key, dt.date.fromisoformat(day), kind, batch="b1"), **changes)


def known_stems(
    key: str = "k1", *, product: str = "lagurus", stems: int = 50, ready: str = "2027-06-21", **changes: Any
) -> KnownStems:
    """Stems standing in the field."""
    return replace(KnownStems(key, Product.parse(product), dt.date.fromisoformat(ready), stems), **changes)


def farm(**collections: Any) -> Farm:
    """A farm with one variety, one bed, one batch and one customer; give a collection to have another."""
    base = Farm(
        site(), varieties=(variety(),), beds=(Bed("north", "North bed"),), batches=(batch(),), customers=(customer(),)
    )
    return replace(base, **collections)
