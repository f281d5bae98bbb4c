"""The arrays that the compiled pass reads and writes; see `kernel.py`."""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np
import numpy.typing as npt

from haulm.matching.supply import BoolArray

StemArray = npt.NDArray[np.signedinteger[Any]]
PlaceArray = npt.NDArray[np.int64]


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
        stems: shape (takes, seasons), or (takes, 1) where all seasons are alike.
    """

    first: PlaceArray
    pool: PlaceArray
    stems: StemArray


class Change(NamedTuple):
    """What differs from an earlier match; without one every line is new.

    Attributes:
        before: what lines took then.
        known_row: the take then of each step, -1 where it took nothing, shape (steps,).
        is_new: whether a line is new, or may take of other pools than then, shape (lines,).
        is_other: whether a pool is another than then, shape (pools,).
        gone_first: where the lines that are gone before each line begin in `gone`, with one more, shape (lines + 1,).
        gone: their places in the earlier table, shape (lines gone,).
    """

    before: TakeTable
    known_row: PlaceArray
    is_new: BoolArray
    is_other: BoolArray
    gone_first: PlaceArray
    gone: PlaceArray


class Found(NamedTuple):
    """What is found, written to by `serve`.

    Attributes:
        stems: what steps take, where that is otherwise than before; else it holds nothing, shape (steps, seasons).
        is_other: whether a step takes otherwise than before in any of some seasons, shape (blocks, steps).
    """

    stems: StemArray
    is_other: BoolArray
