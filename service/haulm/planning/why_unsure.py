"""How a line, a delivery or a gap fares over the seasons, and why it is no surer."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from haulm.advice.shortfalls import Gap
from haulm.demand.dated_line import DatedLine
from haulm.farm.products import Product
from haulm.matching.allocation.candidates import products_named
from haulm.matching.reading.causes import CauseShare, Short, Unsure, causes, shares
from haulm.matching.reading.confidence import full_seasons
from haulm.matching.reading.faces import Faces, faces
from haulm.matching.supply import BoolArray, IntArray
from haulm.planning.plan import Plan
from haulm.planning.plants_alive import supplies_alive


def faces_of(plan: Plan, lines: Sequence[DatedLine]) -> Faces:
    """How some lines of a plan, one or more, fare together over its seasons."""
    places = [plan.result.places[line] for line in lines]
    filled: IntArray = np.zeros(plan.result.supply.seasons, np.int32)
    full: BoolArray = np.ones(plan.result.supply.seasons, np.bool_)
    for place in places:
        filled += plan.result.filled(place)
        full &= full_seasons(plan.result, place)
    return faces(filled, full, sum(line.stems for line in lines), plan.result.supply.weights)


def unsure(plan: Plan, lines: Sequence[DatedLine]) -> Unsure:
    """How some lines of a plan, one or more, fare together, and why they are no surer."""
    return plan.remembered_doubts.of(tuple(lines), lambda: Unsure(faces_of(plan, lines), _causes(plan, lines)))


def lines_of_gap(gap: Gap) -> tuple[DatedLine, ...]:
    """The lines of a gap."""
    return tuple(short.line for short in gap.shortfalls)


def _causes(plan: Plan, lines: Sequence[DatedLine]) -> tuple[CauseShare, ...]:
    keeping = plan.growth.keeping
    alike: dict[tuple[Product, ...], list[DatedLine]] = {}
    for line in lines:
        alike.setdefault(products_named(line, keeping, keeping.products), []).append(line)
    found: list[Short] = []
    for products, some in alike.items():
        places = [plan.result.places[line] for line in some]
        short = [place for place in places if not full_seasons(plan.result, place).all()]
        found += causes(plan.result, short, supplies_alive(plan, frozenset(products)) if short else {})
    return shares(found)
