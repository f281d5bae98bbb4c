"""Beds, benches and tunnels, and the sprays that close them for a while."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

from haulm.farm.words import BedKind


@dataclass(frozen=True, slots=True)
class Bed:
    """A place where plants stand (metres of length, width_cm) or trays stand (trays); walk is the order of walking."""

    key: str
    name: str
    metres: float | None = None
    width_cm: float = 120.0
    trays: int | None = None
    kind: BedKind = BedKind.OUTDOOR
    walk: int | None = None


@dataclass(frozen=True, slots=True)
class Spray:
    """A treatment of a bed: nothing is cut from it and nobody walks in it until the label's waiting time is over.

    The waiting time comes from the product's label and local rules; Haulm only keeps the date.
    """

    key: str
    bed: str
    date: dt.date
    wait_until: dt.date
    note: str = ""
