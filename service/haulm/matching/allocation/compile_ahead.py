"""A match for each type of stems, so that all of the pass is compiled and kept: run as a module, in its own process."""

from __future__ import annotations

from datetime import date, timedelta

import numpy as np

from haulm.demand.dated_line import DatedLine
from haulm.farm.products import Product
from haulm.farm.varieties import FieldLife
from haulm.farm.words import LineClass, Role
from haulm.matching.allocation.match import match
from haulm.matching.one_pass.arrays import MOST_IN_FEW_BYTES
from haulm.matching.supply import Block, Keeping, Lot, Pool, ProductKeeping, Supply

_FRIDAY = date(2027, 1, 1)


def match_of_every_width() -> list[list[int]]:
    """A match of one line for each type of stems there is, all that the pass is compiled for: what the line takes."""
    taken: list[list[int]] = []
    product = Product("any")
    keeping = Keeping(frozenset({5}), _FRIDAY, 1, {product: ProductKeeping(7, FieldLife(7), Role.FILLER, "white")})
    line = DatedLine(
        line="l",
        due=_FRIDAY + timedelta(days=2),
        stems=1,
        line_class=LineClass.STANDING,
        class_rank=0,
        product=product,
        order="o",
        customer="c",
        committed_on=_FRIDAY,
    )
    for stems in (1, MOST_IN_FEW_BYTES):
        pool = Pool(product, 0, (Block((Lot(_FRIDAY),), np.full((1, 1), stems, np.int32)),))
        found = match([line], Supply((pool,), 1, np.ones(1)), keeping)
        taken.append([int(take.stems[0]) for take in found.takes[0]])
    return taken


if __name__ == "__main__":
    match_of_every_width()
