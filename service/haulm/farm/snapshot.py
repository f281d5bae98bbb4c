"""The farm as one value: all that was written down, at one version."""

from __future__ import annotations

from dataclasses import dataclass

from haulm.farm.at_home import AtHome
from haulm.farm.batches import Batch
from haulm.farm.beds import Bed, Spray
from haulm.farm.orders import Change, Customer, Order, OrderLine, Price, Recipe, StandingLine, StandingOrder
from haulm.farm.past_years import PastYear
from haulm.farm.piece_decisions import PieceDecision
from haulm.farm.records import DayTemperature, KnownStems, Record
from haulm.farm.site import Site
from haulm.farm.usual_sales import UsualSale
from haulm.farm.varieties import Variety


@dataclass(frozen=True, slots=True)
class Farm:
    """Everything the pure rooms may need; rows keep the order in which they were written.

    `version` is 0 for a farm read from a folder and rises by one with every unit of work that writes.
    """

    site: Site
    varieties: tuple[Variety, ...] = ()
    beds: tuple[Bed, ...] = ()
    batches: tuple[Batch, ...] = ()
    records: tuple[Record, ...] = ()
    known_stems: tuple[KnownStems, ...] = ()
    temperatures: tuple[DayTemperature, ...] = ()
    customers: tuple[Customer, ...] = ()
    standing_orders: tuple[StandingOrder, ...] = ()
    standing_lines: tuple[StandingLine, ...] = ()
    changes: tuple[Change, ...] = ()
    orders: tuple[Order, ...] = ()
    order_lines: tuple[OrderLine, ...] = ()
    prices: tuple[Price, ...] = ()
    recipes: tuple[Recipe, ...] = ()
    sprays: tuple[Spray, ...] = ()
    piece_decisions: tuple[PieceDecision, ...] = ()
    past_years: tuple[PastYear, ...] = ()
    usual_sales: tuple[UsualSale, ...] = ()
    at_home: tuple[AtHome, ...] = ()
    version: int = 0
