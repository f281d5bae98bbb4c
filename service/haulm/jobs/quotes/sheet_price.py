"""The price of a quote in its parts, as a version keeps it."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class SheetPrice:
    """What the price is made of [minor units], seed sown for it too; the parts add up to the total exactly."""

    stems_minor: int
    spare_minor: int
    labour_minutes: int
    labour_minor: int
    delivery_minor: int
    tax_percent: float
    tax_minor: int
    total_minor: int
    seed_minor: int = 0
