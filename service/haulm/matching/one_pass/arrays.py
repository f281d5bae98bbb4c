"""The arrays that the pass reads and writes; see `down_the_order.py`.

Numbers that the pass looks at one by one are arrays for the compiler and lists without one, which are quicker there.
"""

from __future__ import annotations

from itertools import pairwise
from typing import Any, NamedTuple, Protocol

import numpy as np
import numpy.typing as npt

from haulm.matching.one_pass.compiler import IS_COMPILED
from haulm.matching.supply import BoolArray, IndexArray, StemArray

StemKind = type[np.signedinteger[Any]]
PlaceArray = npt.NDArray[np.int64]

MOST_IN_FEW_BYTES = 2**15
"""Fewer stems than this fit into two bytes."""
_LANES = 1000 if IS_COMPILED else None
"""About so many seasons to a block: compiled, they are served side by side; numpy wants them all at once."""


class Numbers(Protocol):
    """A list, or an array of one axis."""

    def __getitem__(self, place: int, /) -> int:
        """The number at a place."""
        ...

    def __setitem__(self, place: int, number: int, /) -> None:
        """Put a number at a place."""
        ...

    def __len__(self) -> int:
        """How many numbers."""
        ...


class Rows(Protocol):
    """Rows of stems, shape (lanes,): an array, or a list, in which a row of shape (1,) says the same of all lanes."""

    def __getitem__(self, place: int, /) -> StemArray:
        """The row at a place."""
        ...


class Windows(NamedTuple):
    """The windows of all pools, each with the layers that count it; see `layout.py`.

    Attributes:
        first: where the layers of each window begin, with one more for the end, shape (windows + 1,).
        held, freed: per layer of a window its rows of F and of G.
        top, middle, bottom: per layer of a window where the layer's rows of F begin, those of G, and where these end.
    """

    first: Numbers
    held: Numbers
    freed: Numbers
    top: Numbers
    middle: Numbers
    bottom: Numbers


class Entries(NamedTuple):
    """All pools and their windows.

    Attributes:
        windows: the windows, pool after pool.
        top, middle, bottom: where the rows of F of each layer begin, those of G, and where these end.
        pool_rows: where the rows of each pool begin, with one more for the end, shape (pools + 1,).
        pool_bands: where the layers of each pool begin, with one more for the end; same shape.
        source: the row of the pool's table that each row begins with, shape (rows,).
        is_more: whether a pool's table is among those made since the others, shape (pools,).
        groups: groups of a pool that is counted by flow, 0 for others; same shape.
        pool_first: the first window of each pool, with one more for the end, shape (pools + 1,).
        accept_first: where in `accept` each pool begins; same shape.
        accept: whether each window accepts each group, window after window, of pools counted by flow.
    """

    windows: Windows
    top: Numbers
    middle: Numbers
    bottom: Numbers
    pool_rows: Numbers
    pool_bands: Numbers
    source: PlaceArray
    is_more: Numbers
    groups: Numbers
    pool_first: Numbers
    accept_first: Numbers
    accept: Numbers


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
        asker: the lines of those steps; same shape.
        pool_first: where the steps of each pool begin there, with one more for the end, shape (pools + 1,).
    """

    first: Numbers
    stems: Numbers
    most_each: Numbers
    minimum: Numbers
    entry: Numbers
    pool: Numbers
    is_next: Numbers
    by_pool: Numbers
    claimant: Numbers
    pool_first: Numbers


class Dirty(NamedTuple):
    """What differs from an earlier match; without one every line is new.

    Attributes:
        known_row: the take then of each step, -1 where it took nothing, shape (steps,).
        is_new: whether a line is new, or may take of other pools than then, shape (lines,).
        turns_at: the first line for which each pool is another than then, the number of lines for none, shape (pools,).
    """

    known_row: Numbers
    is_new: Numbers
    dirty_from: Numbers


class SeasonBlock(NamedTuple):
    """Some seasons, each a lane.

    Attributes:
        base, more: the tables of pools with nothing given, shape (rows of tables, lanes) [stems].
        before: what lines took in the earlier match, shape (takes, lanes).
        out: filled in: what steps take, where that is otherwise than before; else anything, shape (steps, lanes).
        is_other: filled in: whether a step takes otherwise than before in any of the seasons, shape (steps,).
    """

    base: StemArray
    more: StemArray
    before: Rows
    out: StemArray
    is_other: Numbers


class Workspace(NamedTuple):
    """What a pass over a block reckons with.

    Attributes:
        levels: rows of all pools as they stand, shape (rows, lanes).
        want: what a line still wants, shape (lanes,).
        room: what it may still take of a product, shape (lanes,).
        limit: what it may take in a step, shape (lanes,).
        turns_at: as in `Dirty`, kept up, shape (pools,).
        is_live: whether the levels of a pool are kept up, shape (pools,).
        is_met: whether a line is looked at, shape (lines,).
    """

    levels: StemArray
    want: StemArray
    room: StemArray
    limit: StemArray
    dirty_from: Numbers
    is_live: Numbers
    is_visited: Numbers


class Pass(NamedTuple):
    """All that a pass over the lines reads and writes."""

    entries: Entries
    asks: Asks
    change: Dirty
    block: SeasonBlock
    desk: Workspace


def in_blocks(seasons: int) -> list[slice]:
    """The seasons in blocks, to be served side by side."""
    blocks = 1 if _LANES is None else max(1, seasons // _LANES)
    bounds = np.linspace(0, seasons, blocks + 1, dtype=int).tolist()
    return [slice(start, stop) for start, stop in pairwise(bounds)]


def kind_for(most: int) -> StemKind:
    """The smallest type in which numbers of stems up to the most are kept."""
    return np.int16 if most < MOST_IN_FEW_BYTES else np.int32


def numbers(found: IndexArray | list[int]) -> Numbers:
    """Numbers, shape (numbers,), as the pass wants them."""
    if IS_COMPILED:
        return np.ascontiguousarray(found, np.int64)
    return found if isinstance(found, list) else found.tolist()


def flags(found: BoolArray) -> Numbers:
    """Booleans, shape (flags,), as the pass wants them, a copy."""
    return found.copy() if IS_COMPILED else bytearray(found.tobytes())
