"""The arrays that the compiled pass reads and writes; see `kernel.py`."""

from __future__ import annotations

from itertools import pairwise
from typing import Any, NamedTuple

import numpy as np
import numpy.typing as npt

from haulm.matching.supply import BoolArray

StemArray = npt.NDArray[np.signedinteger[Any]]
PlaceArray = npt.NDArray[np.int64]

_LANES = 1000
"""About so many seasons to a block: loops over fewer of them end before they pay."""


class Entries(NamedTuple):
    """The windows of all pools, each with the layers that count it.

    Attributes:
        first: where the layers of each window begin, with one more for the end, shape (windows + 1,).
        is_local: whether rows hold F, G and X from row to row, shape (windows,); such a window has one layer.
        layers: per layer of a window its rows of F and of G, where the layer's rows of F begin and end, and where those
            of G end, shape (layers, 5).
        pool_rows: where the rows of each pool of the supply begin and end, shape (pools, 2).
    """

    first: PlaceArray
    is_local: BoolArray
    layers: PlaceArray
    pool_rows: PlaceArray


class Asks(NamedTuple):
    """The lines in the strict order, and the steps of each.

    Attributes:
        first: where the steps of each line begin, with one more for the end, shape (lines + 1,).
        stems: stems wanted, shape (lines,).
        most_each: the most stems of one product, -1 for no limit; same shape.
        minimum: the least worth sending, 0 for any; same shape.
        entry: the window of each step, shape (steps,).
        pool: the pool of each step; same shape.
        is_next: whether a step begins another product; same shape.
        by_pool: the steps pool by pool, in order; same shape.
        pool_first: where the steps of each pool begin there, with one more for the end, shape (pools + 1,).
    """

    first: PlaceArray
    stems: PlaceArray
    most_each: PlaceArray
    minimum: PlaceArray
    entry: PlaceArray
    pool: PlaceArray
    is_next: BoolArray
    by_pool: PlaceArray
    pool_first: PlaceArray


class TakeTable(NamedTuple):
    """What lines take, as one table.

    Attributes:
        first: where the takes of each line begin, with one more for the end, shape (lines + 1,).
        pool: the pool of each take, shape (takes,).
        stems: per block of seasons, shape (takes, lanes), or (takes, 1) where all seasons are alike.
    """

    first: PlaceArray
    pool: PlaceArray
    stems: tuple[StemArray, ...]


class Change(NamedTuple):
    """What differs from an earlier match; without one every line is new.

    Attributes:
        first, pool: of the table of what lines took then.
        known_row: the take then of each step, -1 where it took nothing, shape (steps,).
        is_new: whether a line is new, or may take of other pools than then, shape (lines,).
        is_other: whether a pool is another than then, shape (pools,).
        gone_first: where the lines that are gone before each line begin in `gone`, with one more, shape (lines + 1,).
        gone: their places in the earlier table, shape (lines gone,).
    """

    first: PlaceArray
    pool: PlaceArray
    known_row: PlaceArray
    is_new: BoolArray
    is_other: BoolArray
    gone_first: PlaceArray
    gone: PlaceArray


class Block(NamedTuple):
    """Some seasons, each a lane.

    Attributes:
        base: F and G of every layer with nothing given, shape (rows, lanes) [stems].
        before: what lines took in the earlier match, shape (takes, lanes).
        stems: filled in: what steps take, where that is otherwise than before; else anything, shape (steps, lanes).
        is_other: filled in: whether a step takes otherwise than before in any of the seasons, shape (steps,).
    """

    base: StemArray
    before: StemArray
    stems: StemArray
    is_other: BoolArray


def in_blocks(seasons: int) -> list[slice]:
    """The seasons in blocks, to be served side by side."""
    bounds = np.linspace(0, seasons, max(1, seasons // _LANES) + 1, dtype=int).tolist()
    return [slice(start, stop) for start, stop in pairwise(bounds)]
