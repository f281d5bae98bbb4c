"""Left over: stems that go to nobody, each counted once, in the first window that can use it.

Not free to promise, which asks each due date alone, so that its figures may be the same stems.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence

import numpy as np

from haulm.demand.dated_line import DatedLine
from haulm.farm.products import Product
from haulm.matching.allocation.result import MatchResult
from haulm.matching.pools.counting import Count
from haulm.matching.pools.grouping import pool_view
from haulm.matching.supply import IntArray
from haulm.matching.windows import Window, window_of


def left_over(
    result: MatchResult, product: Product, windows: Sequence[Window], counts: Callable[[DatedLine], bool]
) -> IntArray:
    """What lines without end at the end of the strict order, one for each window, would get of a product.

    Args:
        result: a match.
        product: the product, all lengths together.
        windows: the windows in the order in which they are served.
        counts: whether a line keeps what it was given; what the others were given is left over too.

    Returns:
        Stems, shape (windows, seasons). They add up over the windows: no stem is counted twice.

    Source: the rule of the match (docs/engineer/model.md), the lines being asked for more than there is.
    """
    found = np.zeros((len(windows), result.supply.seasons), np.int32)
    for pool in result.supply.by_product.get(product, ()):
        _add_pool(result, pool, windows, counts, found)
    return found


def _add_pool(
    result: MatchResult, pool: int, windows: Sequence[Window], counts: Callable[[DatedLine], bool], found: IntArray
) -> None:
    """Add what one pool has left, in place."""
    takers = [
        (window_of(result.lines[line]), stems)
        for line, stems in result.takers.get(pool, ())
        if counts(result.lines[line])
    ]
    acceptance = result.candidates.acceptance
    asked = sorted(dict.fromkeys((*(window for window, _ in takers), *windows)), key=lambda window: window.due)
    view = pool_view(result.supply.pools[pool], [acceptance.mask(pool, window) for window in asked])
    place = dict(zip(asked, view.place, strict=True))
    count = Count(view)
    for window, stems in takers:
        count.give(place[window], stems)
    emptied: set[int] = set()
    for row, window in enumerate(windows):
        where = place[window]
        if where < 0 or where in emptied:
            continue
        stems = count.most(where)
        found[row] += stems
        count.give(where, stems)
        emptied.add(where)
