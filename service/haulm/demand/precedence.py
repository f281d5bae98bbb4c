"""All demand in the one strict order that the match follows."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date
from itertools import chain

from haulm.demand.dated_line import DatedLine
from haulm.demand.dated_orders import order_demand
from haulm.demand.standing import standing_demand
from haulm.farm.snapshot import Farm


def demand(farm: Farm, today: date) -> tuple[DatedLine, ...]:
    """Every dated line that asks for stems from today on, in the strict order."""
    found = in_order(chain(standing_demand(farm, today), order_demand(farm, today)))
    assert len({(line.line, line.due, line.is_spare) for line in found}) == len(found), "no line stands twice in demand"
    return found


def in_order(lines: Iterable[DatedLine]) -> tuple[DatedLine, ...]:
    """Lines by class, committed on, due date, order key and line key; keys by code point."""
    return tuple(sorted(lines, key=lambda line: line.precedence))
