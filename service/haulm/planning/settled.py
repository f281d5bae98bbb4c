"""What confirmed bucket lists have settled: lines that ask no more, and stems that are packed and gone."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date

from haulm.farm.products import Product
from haulm.matching.supply import Lot


@dataclass(frozen=True, slots=True)
class Settled:
    """What is no longer to be matched.

    Attributes:
        lines: line keys and due dates that are on a confirmed list.
        packed: stems packed out of each pile, by product and the pile's name (see `pile_name`) [stems].
    """

    lines: frozenset[tuple[str, date]] = frozenset()
    packed: Mapping[tuple[Product, str], int] = field(default_factory=dict)


NOTHING_SETTLED = Settled()


def pile_name(lot: Lot, length_cm: int) -> str:
    """The name under which a lot stands in the book of stems: a count's key, or the ready date and length."""
    return lot.key or f"{lot.ready.isoformat()}.{length_cm}"
