"""Free to promise: stems left over for a due date, every line keeping its fill and its sources."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

import numpy as np

from haulm.farm.products import Product
from haulm.matching.confidence import TOLERANCE
from haulm.matching.counting import exact_count
from haulm.matching.grouping import pool_view
from haulm.matching.result import MatchResult
from haulm.matching.supply import FloatArray, IntArray
from haulm.matching.windows import Acceptance, Window, window_of


def free_to_promise(result: MatchResult, product: Product, due: date, p: float) -> int:
    """The largest number of stems that seasons weighing at least p have left over for a due date.

    Args:
        result: a match.
        product: the product.
        due: the due date of a plain line: any length, any stage, any age.
        p: confidence asked, 0 to 1.

    Returns:
        Stems, 0 or more. Numbers of several dates or products don't add up: they may be the same stems.
    """
    return int(free_table(result, (product,), (due,), p)[0, 0])


def free_table(result: MatchResult, products: Sequence[Product], dues: Sequence[date], p: float) -> IntArray:
    """Free to promise for many products and due dates.

    Args:
        result: a match.
        products: the products.
        dues: due dates of plain lines.
        p: confidence asked, 0 to 1.

    Returns:
        Stems, shape (products, dues).
    """
    windows = [Window(due) for due in dues]
    found = np.zeros((len(products), len(dues)), np.int32)
    for row, product in enumerate(products):
        found[row] = sure_stems(leftover(result, product, windows), result.supply.weights, p)
    return found


def leftover(result: MatchResult, product: Product, windows: Sequence[Window], min_length_cm: int = 0) -> IntArray:
    """Stems of a product left over for each window, season by season, each window asked alone.

    Args:
        result: a match.
        product: the product.
        windows: due date, stage and greatest age asked.
        min_length_cm: the least length asked [cm], 0 for any.

    Returns:
        Stems over all lengths that are long enough, shape (windows, seasons).
    """
    found = np.zeros((len(windows), result.supply.seasons), np.int32)
    acceptance = Acceptance(result.supply.pools, result.keeping)
    for pool in result.supply.by_product.get(product, ()):
        if result.supply.pools[pool].length_cm >= min_length_cm:
            found += _pool_leftover(result, pool, windows, acceptance)
    return found


def sure_stems(stems: IntArray, weights: FloatArray, p: float) -> IntArray:
    """Per row, the largest number that seasons weighing at least p reach.

    Args:
        stems: shape (rows, seasons), or (rows, 1) where all seasons are alike.
        weights: shape (seasons,), adding up to 1.
        p: confidence asked, 0 to 1; compared with a tolerance of 1e-9.

    Returns:
        Shape (rows,).
    """
    if stems.shape[1] == 1:
        return np.asarray(stems[:, 0])
    order = np.argsort(stems, axis=1)[:, ::-1]
    weight = np.cumsum(weights[order], axis=1)
    place = np.minimum((weight < p - TOLERANCE).sum(axis=1), stems.shape[1] - 1)
    return np.asarray(stems[np.arange(len(stems)), order[np.arange(len(stems)), place]])


def _pool_leftover(result: MatchResult, pool: int, windows: Sequence[Window], acceptance: Acceptance) -> IntArray:
    """Stems left in one pool, shape (windows, seasons) or (windows, 1)."""
    takers = result.takers.get(pool, [])
    asked = dict.fromkeys((*(window_of(result.lines[line]) for line, _ in takers), *windows))
    ordered = sorted(asked, key=lambda window: window.due)
    view = pool_view(result.supply.pools[pool], [acceptance.mask(pool, window) for window in ordered])
    place = dict(zip(ordered, view.place, strict=True))
    width = max((stems.size for _, stems in takers), default=1)
    given = np.zeros((len(view.accept), width), np.int32)
    for line, stems in takers:
        given[place[window_of(result.lines[line])]] += stems
    used = [row for row, window in enumerate(windows) if place[window] >= 0]
    found = np.zeros((len(windows), max(width, view.stems.shape[1])), np.int32)
    if used:
        found[used] = exact_count(view).left(given, [place[windows[row]] for row in used])
    return found
