"""How the rows of a pool are laid out, so that what can still be given in a window is a matter of a few of them.

Windows that are intervals of groups are counted by F and G. A(y): stems in the groups up to an end y. B(x): stems
before a start x. E(y): stems given in windows that end at y or before. D(x): stems given in windows that start before
x. What can still be given from start a to end b is F(b) - G(a), F(b) = min over y >= b of A(y) - E(y), G(a) = max over
x <= a of B(x) - D(x).

A window lies in the layer below every window that begins before it and ends after it; a layer counts what is given in
it and in those inside it. What can be given is the least of what a window's layer and those around it say. Source:
Hall's theorem; that layers are enough is proved in docs/engineer/match.md.

All other windows are counted by flow (`flow_rows.py`).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from haulm.matching.one_pass.arrays import PlaceArray
from haulm.matching.pools.intervals import IntervalOrder
from haulm.matching.supply import BoolArray, IndexArray

_NOTHING = np.zeros(0, np.int64)


@dataclass(frozen=True, eq=False)
class Layout:
    """The rows of one pool, counted from its first.

    Attributes:
        first: where the layers of each window begin, with one more for the end, shape (windows + 1,).
        layers: per layer of a window its row of F, its row of G, and the layer's band, shape (layers, 5).
        bands: where the rows of F of each band begin, where those of G do, and where these end, shape (bands, 3).
        source: the row of the pool's table that each row begins with, shape (rows,).
        accept: whether each window accepts each group, shape (windows, groups); only where it is counted by flow.
    """

    first: PlaceArray
    layers: PlaceArray
    bands: PlaceArray
    source: PlaceArray
    accept: BoolArray | None = None


def nested_layout(order: IntervalOrder) -> Layout:
    """The layout of windows that are intervals; its table are the stems before each group, with one more for all."""
    back = np.argsort(order.windows)
    begins, finishes = order.first[back], order.last[back]
    layers: list[list[tuple[int, ...]]] = [[] for _ in range(back.size)]
    bands: list[tuple[int, int, int]] = []
    sources: list[IndexArray] = []
    windows: IndexArray = np.arange(back.size, dtype=np.intp)
    row = 0
    while windows.size:
        ends, end = np.unique(finishes[windows], return_inverse=True)
        starts, start = np.unique(begins[windows], return_inverse=True)
        middle, bottom = row + ends.size, row + ends.size + starts.size
        of_each: list[list[int]] = np.array((windows, end, start)).T.tolist()
        for window, held, freed in of_each:
            layers[window].append((row + held, middle + freed, row, middle, bottom))
        bands.append((row, middle, bottom))
        sources += (ends + 1, starts)
        row = bottom
        windows = windows[_is_inside(begins[windows], finishes[windows])]
    flat = [layer for own in layers for layer in own]
    return Layout(
        np.cumsum([0, *map(len, layers)], dtype=np.int64),
        np.array(flat, np.int64).reshape(-1, 5),
        np.array(bands, np.int64).reshape(-1, 3),
        np.concatenate([_NOTHING, *sources]),
    )


def flow_layout(accept: BoolArray) -> Layout:
    """The layout of any windows, by what they accept, shape (windows, groups); its table are the groups' stems."""
    windows, groups = accept.shape
    source = np.zeros(groups * (windows + 1), np.int64)
    source[:groups] = np.arange(groups)
    first, layers, bands = np.zeros(windows + 1, np.int64), np.zeros((0, 5), np.int64), np.zeros((0, 3), np.int64)
    return Layout(first, layers, bands, source, accept)


def _is_inside(begins: IndexArray, finishes: IndexArray) -> BoolArray:
    """Which windows some other one begins before and ends after, shape (windows,)."""
    around = (begins[:, None] < begins) & (finishes[:, None] > finishes)
    return np.asarray(around.any(axis=0))
