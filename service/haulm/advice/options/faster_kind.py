"""Another kind to sow: one that the short lines name as a substitute and that flowers sooner than their own."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import replace

from haulm.advice.options.option import Option
from haulm.demand.dated_line import DatedLine
from haulm.farm.products import Product
from haulm.farm.varieties import Crop
from haulm.farm.words import Form


def faster_kinds(lines: Iterable[DatedLine], crops: Mapping[str, Crop]) -> tuple[Product, ...]:
    """Fresh substitutes named by the lines, of the role of their own product and quicker to flower, quickest first.

    A choice line has no kind of its own: whatever answers it counts as its own sowing.
    """
    found: set[Product] = set()
    for line in lines:
        if line.product is not None:
            own = crops[line.product.variety]
            for other in line.substitutes:
                crop = crops[other.variety]
                quicker = crop.weeks_to_flower < own.weeks_to_flower
                if other.form is Form.FRESH and crop.role is own.role and quicker:
                    found.add(other)
    return tuple(sorted(found, key=lambda product: (crops[product.variety].weeks_to_flower, product)))


def as_faster(options: Iterable[Option]) -> list[Option]:
    """Sowings of a quicker kind, named as what they are."""
    return [replace(option, kind="faster_kind", product=option.batches[0].product) for option in options]
