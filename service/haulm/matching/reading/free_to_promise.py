"""Free to promise: stems left over for a due date, every line keeping its fill and its sources."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

import numpy as np

from haulm.farm.products import Product
from haulm.farm.quantities import HAIR, reaches
from haulm.matching.allocation.result import MatchResult
from haulm.matching.pools.counting import Count
from haulm.matching.pools.grouping import pool_view
from haulm.matching.supply import FloatArray, IntArray
from haulm.matching.windows import Window, window_of

_HOPE, _LOW_HOPE, _LOW_PROMISE = 0.6, 0.5, 0.65


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
    return np.asarray(free_tables(result, products, dues, (p,))[0])


def free_tables(
    result: MatchResult, products: Sequence[Product], dues: Sequence[date], levels: Sequence[float]
) -> IntArray:
    """Free to promise for many products and due dates at several levels; what is left over is counted once.

    Args:
        result: a match.
        products: the products.
        dues: due dates of plain lines.
        levels: confidences asked, 0 to 1.

    Returns:
        Stems, shape (levels, products, dues).
    """
    windows = [Window(due) for due in dues]
    found = np.zeros((len(levels), len(products), len(dues)), np.int32)
    for row, product in enumerate(products):
        found[:, row] = free_for_line([still_free(result, product, windows)], None, result.supply.weights, levels)
    return found


def hope_level(level: float) -> float:
    """The level of what one may hope to offer beside what is promised at a level, both 0-1; never above it.

    Source: the project's own: 60 %, or 50 % beside a promise at 65 % or less.
    """
    return min(level, _LOW_HOPE if reaches(_LOW_PROMISE, level) else _HOPE)


def still_free(result: MatchResult, product: Product, windows: Sequence[Window], min_length_cm: int = 0) -> IntArray:
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
    for pool in result.supply.by_product.get(product, ()):
        if result.supply.pools[pool].length_cm >= min_length_cm:
            found += _pool_leftover(result, pool, windows)
    return found


def free_for_line(
    left: Sequence[IntArray], most_each: int | None, weights: FloatArray, levels: Sequence[float]
) -> IntArray:
    """Stems free for a line, the one way in which they are found: what seasons of enough weight have left for it.

    Args:
        left: per product that it may take, the stems left over for its windows, shape (windows, seasons).
        most_each: the most stems of one product that it takes, or None for no such limit.
        weights: of all seasons, adding up to 1, shape (seasons,).
        levels: confidences asked, 0 to 1; compared with a tolerance of 1e-9.

    Returns:
        Stems, shape (levels, windows); one window of none where there is no product.
    """
    each = [of_one if most_each is None else np.minimum(of_one, np.int32(most_each)) for of_one in left]
    total: IntArray = sum(each[1:], each[0]) if each else np.zeros((1, weights.size), np.int32)
    return sure_at(total, weights, levels)


def sure_stems(stems: IntArray, weights: FloatArray, p: float) -> IntArray:
    """Per row, the largest number that seasons weighing at least p reach.

    Args:
        stems: shape (rows, seasons), or (rows, 1) where all seasons are alike.
        weights: shape (seasons,), adding up to 1.
        p: confidence asked, 0 to 1; compared with a tolerance of 1e-9.

    Returns:
        Shape (rows,).
    """
    return np.asarray(sure_at(stems, weights, (p,))[0])


def sure_at(stems: IntArray, weights: FloatArray, levels: Sequence[float]) -> IntArray:
    """As `sure_stems`, at several levels.

    Args:
        stems: shape (rows, seasons), or (rows, 1) where all seasons are alike.
        weights: shape (seasons,), adding up to 1.
        levels: confidences asked, 0 to 1; compared with a tolerance of 1e-9.

    Returns:
        Shape (levels, rows).
    """
    rows = np.arange(len(stems))
    found = np.zeros((len(levels), len(stems)), np.int32)
    if stems.shape[1] == 1:
        found[:] = stems[:, 0]
        return found
    some = np.flatnonzero(stems.any(axis=1))
    order = np.argsort(stems[some], axis=1)[:, ::-1]
    weight = np.cumsum(weights[order], axis=1)
    for row, p in enumerate(levels):
        place = np.minimum((weight < p - HAIR).sum(axis=1), stems.shape[1] - 1)
        found[row, some] = stems[some, order[rows[: some.size], place]]
    return found


def _pool_leftover(result: MatchResult, pool: int, windows: Sequence[Window]) -> IntArray:
    """Stems left in one pool, shape (windows, seasons) or (windows, 1)."""
    acceptance = result.candidates.acceptance
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
        found[used] = Count(view, given).left([place[windows[row]] for row in used])
    return found
