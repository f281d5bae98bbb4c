"""The whole pass down the strict order as plain loops over a few seasons at a time, for a compiler.

The same rules as `serve.py` and the same counts as `levels.py`, written for the other end: every number of a block of
seasons stays near the processor, and a gift touches only what it changes. For that, F and G of windows that are sorted
both ways are kept from one row to the next, with X the stems given in a window itself:

    F(e) = min(A(e), F(e + 1) - X(e + 1))    G(e) = max(B(e), G(e - 1) + X(e - 1))    left = F(d) - X(d) - G(d)

A gift at d can lower F before d and raise G after d, each until a row stays as it is in every season. These are F and G
of `levels.py` plus the stems given up to there; rows of nested windows are kept as they are there.

Loops are short on purpose: what a processor does to many numbers at once is one operation on numbers of one width.
Without a compiler the functions are ordinary Python: right, and slow.
"""

from __future__ import annotations

from collections.abc import Callable
from importlib import import_module
from importlib.util import find_spec
from typing import Any, NamedTuple, ParamSpec, TypeVar

import numpy as np
import numpy.typing as npt

from haulm.matching.supply import BoolArray

P = ParamSpec("P")
R = TypeVar("R")
StemArray = npt.NDArray[np.signedinteger[Any]]
PlaceArray = npt.NDArray[np.int64]

IS_COMPILED = find_spec("numba") is not None
"""Whether the compiler is there: the `fast` extra."""


def _compiled(function: Callable[P, R]) -> Callable[P, R]:
    """The function, compiled when it is first called and kept on disk; as it is where there is no compiler."""
    if not IS_COMPILED:
        return function
    njit = import_module("numba").njit
    compiled: Callable[P, R]
    try:
        compiled = njit(cache=True, nogil=True)(function)
    except RuntimeError:  # no folder to keep it in
        compiled = njit(nogil=True)(function)
    return compiled


class Entries(NamedTuple):
    """The windows of all pools, each with the layers that count it.

    Attributes:
        first: where the layers of each window begin, with one more for the end, shape (windows + 1,).
        is_local: whether rows hold F, G and X from row to row, shape (windows,); such a window has one layer.
        held, freed: rows of F and of G, per layer of a window, shape (layers,).
        held_first, held_stop, freed_stop: where the layer's rows of F begin and end, and those of G end; same shape.
    """

    first: PlaceArray
    is_local: BoolArray
    held: PlaceArray
    freed: PlaceArray
    held_first: PlaceArray
    held_stop: PlaceArray
    freed_stop: PlaceArray


class Asks(NamedTuple):
    """The lines in the strict order, and the steps of each.

    Attributes:
        first: where the steps of each line begin, with one more for the end, shape (lines + 1,).
        stems: stems wanted, shape (lines,).
        most_each: the most stems of one product, -1 for no limit; same shape.
        minimum: the least worth sending, 0 for any; same shape.
        entry: the window of each step, shape (steps,).
        is_next: whether a step begins another product, shape (steps,).
    """

    first: PlaceArray
    stems: PlaceArray
    most_each: PlaceArray
    minimum: PlaceArray
    entry: PlaceArray
    is_next: BoolArray


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


class Found(NamedTuple):
    """What is found beside what was known before, written to by `serve`.

    Attributes:
        stems: what steps take, a row each; only rows in use hold anything, shape (steps, seasons).
        row: the row of each step; -1 where it takes what it took before, or as before nothing, shape (steps,).
        used: the number of rows in use, shape (1,).
        known: what was taken before, shape (takes, seasons).
        known_row: the take before of each step, -1 where it took nothing, shape (steps,).
    """

    stems: StemArray
    row: PlaceArray
    used: PlaceArray
    known: StemArray
    known_row: PlaceArray


class _Block(NamedTuple):
    """Some seasons, each a lane; the last axis of every array is that of lanes.

    Attributes:
        levels: F and G of every layer as they stand, shape (rows, lanes).
        given: X: stems given in the window of a row of F, where rows are local, shape (rows, lanes).
        taken: what the steps of a line take, shape (most steps of a line, lanes).
        want: what a line still wants, shape (lanes,).
        room: what it may still take of a product, shape (lanes,).
        spare: to reckon in, shape (lanes,).
    """

    levels: StemArray
    given: StemArray
    taken: StemArray
    want: StemArray
    room: StemArray
    spare: StemArray


def serve(base: StemArray, entries: Entries, asks: Asks, found: Found, lanes: int) -> None:
    """Serve all lines in all seasons.

    Args:
        base: F and G of every layer with nothing given, shape (rows, seasons).
        entries: the windows.
        asks: the lines.
        found: filled in.
        lanes: seasons at a time, a multiple of eight.
    """
    steps = int(np.diff(asks.first).max(initial=1))
    shapes = ((len(base), lanes), (len(base), lanes), (steps, lanes), lanes, lanes, lanes)
    block = _Block(*(np.empty(shape, base.dtype) for shape in shapes))
    for start in range(0, base.shape[1], lanes):
        part = base[:, start : start + lanes]
        block.levels[:, : part.shape[1]] = part
        block.levels[:, part.shape[1] :] = 0  # lanes beyond the last season hold no stems
        block.given.fill(0)
        _serve_block(entries, asks, found, block, start)


@_compiled
def _serve_block(entries: Entries, asks: Asks, found: Found, block: _Block, start: int) -> None:
    """Serve all lines in the seasons from one on."""
    for line in range(asks.stems.size):
        first = asks.first[line]
        steps = _ask_all(entries, asks, block, line)
        if asks.minimum[line] > 0:
            _drop_too_few(block, asks.stems[line], asks.minimum[line], steps)
        for step in range(asks.first[line + 1] - first):
            stems = block.taken[step]
            if step >= steps:
                stems[:] = 0
            takes_any = _any(stems)
            _note(found, first + step, stems, start, takes_any)
            if takes_any:
                _give(block, entries, int(asks.entry[first + step]), stems)


@_compiled
def _ask_all(entries: Entries, asks: Asks, block: _Block, line: int) -> int:
    """What each step of a line takes, put into `taken`; the number of steps until nobody wants more."""
    first = asks.first[line]
    block.want[:] = asks.stems[line]
    for step in range(asks.first[line + 1] - first):
        stems = block.taken[step]
        _ask(block, entries, int(asks.entry[first + step]), stems)
        if asks.most_each[line] >= 0:
            if asks.is_next[first + step]:
                block.room[:] = asks.most_each[line]
            _limit(stems, block.room)
        for lane in range(stems.size):
            block.want[lane] -= stems[lane]
        if not _any(block.want):
            return step + 1
    return int(asks.first[line + 1] - first)


@_compiled
def _drop_too_few(block: _Block, wanted: int, minimum: int, steps: int) -> None:
    """Take nothing in the lanes in which less comes together than is worth sending."""
    for step in range(steps):
        for lane in range(block.want.size):
            if wanted - block.want[lane] < minimum:
                block.taken[step, lane] = 0


@_compiled
def _ask(block: _Block, entries: Entries, entry: int, stems: StemArray) -> None:
    """The stems of a window that can be given, at most as many as are wanted."""
    levels, given, spare, want = block.levels, block.given, block.spare, block.want
    layer = entries.first[entry]
    held, freed = entries.held[layer], entries.freed[layer]
    for lane in range(stems.size):
        stems[lane] = levels[held, lane] - levels[freed, lane]
    if entries.is_local[entry]:
        for lane in range(stems.size):
            stems[lane] -= given[held, lane]
    for outer in range(layer + 1, entries.first[entry + 1]):
        held, freed = entries.held[outer], entries.freed[outer]
        for lane in range(stems.size):
            spare[lane] = levels[held, lane] - levels[freed, lane]
        for lane in range(stems.size):
            stems[lane] = min(stems[lane], spare[lane])
    for lane in range(stems.size):
        stems[lane] = min(stems[lane], want[lane])


@_compiled
def _give(block: _Block, entries: Entries, entry: int, stems: StemArray) -> None:
    """Give stems in a window, in every layer around it."""
    levels, given, spare = block.levels, block.given, block.spare
    for layer in range(entries.first[entry], entries.first[entry + 1]):
        held, freed = entries.held[layer], entries.freed[layer]
        if entries.is_local[entry]:
            for lane in range(stems.size):
                given[held, lane] += stems[lane]
            _lower_before(levels, given, held, entries.held_first[layer], spare)
            _raise_after(levels[freed : entries.freed_stop[layer]], given[held : entries.held_stop[layer]], spare)
        else:
            _hold_less(levels, held, entries.held_first[layer], entries.held_stop[layer], stems, spare)
            _free_less(levels, freed, entries.freed_stop[layer], stems, spare)


@_compiled
def _lower_before(levels: StemArray, given: StemArray, held: int, first: int, change: StemArray) -> None:
    """F of the rows before one in which stems were given, until a row stays as it is."""
    for row in range(held - 1, first - 1, -1):
        for lane in range(change.size):
            change[lane] = levels[row + 1, lane] - given[row + 1, lane]
        for lane in range(change.size):
            change[lane] = min(change[lane], levels[row, lane])
        for lane in range(change.size):
            change[lane] = levels[row, lane] - change[lane]
        for lane in range(change.size):
            levels[row, lane] -= change[lane]
        if not _any(change):
            return


@_compiled
def _raise_after(freed: StemArray, given: StemArray, change: StemArray) -> None:
    """G of the rows after the first, in which stems were given, until a row stays as it is; X of the same rows."""
    for row in range(1, freed.shape[0]):
        for lane in range(change.size):
            change[lane] = freed[row - 1, lane] + given[row - 1, lane]
        for lane in range(change.size):
            change[lane] = max(change[lane], freed[row, lane])
        for lane in range(change.size):
            change[lane] = change[lane] - freed[row, lane]
        for lane in range(change.size):
            freed[row, lane] += change[lane]
        if not _any(change):
            return


@_compiled
def _hold_less(levels: StemArray, held: int, first: int, stop: int, stems: StemArray, spare: StemArray) -> None:
    """F of a layer, its rows from first to stop, in which stems are given that end at a row."""
    for row in range(held, stop):
        for lane in range(stems.size):
            levels[row, lane] -= stems[lane]
    for lane in range(stems.size):
        spare[lane] = levels[held, lane]
    for row in range(first, held):
        for lane in range(stems.size):
            levels[row, lane] = min(levels[row, lane], spare[lane])


@_compiled
def _free_less(levels: StemArray, freed: int, stop: int, stems: StemArray, spare: StemArray) -> None:
    """G of a layer, its rows up to stop, in which stems are given that start at a row."""
    for lane in range(stems.size):
        spare[lane] = levels[freed, lane]
    for row in range(freed + 1, stop):
        for lane in range(stems.size):
            levels[row, lane] -= stems[lane]
        for lane in range(stems.size):
            levels[row, lane] = max(levels[row, lane], spare[lane])


@_compiled
def _limit(stems: StemArray, room: StemArray) -> None:
    """At most as many stems of a product as there is room for."""
    for lane in range(stems.size):
        stems[lane] = min(stems[lane], room[lane])
    for lane in range(stems.size):
        room[lane] -= stems[lane]


@_compiled
def _any(stems: StemArray) -> bool:
    """Whether there are stems in any lane; eight bytes at a time."""
    words = stems.view(np.int64)
    found = np.int64(0)
    for place in range(words.size):
        found |= words[place]
    return bool(found != 0)


@_compiled
def _note(found: Found, step: int, stems: StemArray, start: int, takes_any: bool) -> None:
    """Write down what a step takes in a block of seasons, from the first block on in which that is something new."""
    there = min(stems.size, found.stems.shape[1] - start)
    row, known = found.row[step], found.known_row[step]
    if row < 0:
        if known < 0 and not takes_any:
            return
        if known >= 0 and _alike(stems[:there], found.known[known, start : start + there]):
            return
        row = found.used[0]
        found.used[0] += 1
        found.row[step] = row
        found.stems[row] = 0
        if known >= 0:
            found.stems[row] = found.known[known]
    found.stems[row, start : start + there] = stems[:there]


@_compiled
def _alike(stems: StemArray, known: StemArray) -> bool:
    """Whether stems are the same in every season."""
    for season in range(stems.size):  # noqa: SIM110 - a plain loop is what the compiler knows
        if stems[season] != known[season]:
            return False
    return True


@_compiled
def find_known(asks: Asks, pools: PlaceArray, before: PlaceArray, known: TakeTable, known_row: PlaceArray) -> None:
    """Find the earlier take of each step.

    Args:
        asks: the lines.
        pools: the pool of each step, shape (steps,).
        before: the place of each line in the earlier table, -1 for a new one, shape (lines,).
        known: the earlier table.
        known_row: filled in, -1 where there is none, shape (steps,).
    """
    for line in range(before.size):
        for step in range(asks.first[line], asks.first[line + 1]):
            known_row[step] = -1
            if before[line] >= 0:
                for take in range(known.first[before[line]], known.first[before[line] + 1]):
                    if known.pool[take] == pools[step]:
                        known_row[step] = take


@_compiled
def mark_same(asks: Asks, found: Found, before: PlaceArray, known: TakeTable, same: BoolArray) -> None:
    """Mark the lines that take what they took before, in the same order; shapes as in `find_known`."""
    for line in range(before.size):
        same[line] = before[line] >= 0
        if before[line] >= 0:
            take = known.first[before[line]]
            for step in range(asks.first[line], asks.first[line + 1]):
                if found.row[step] >= 0 or (found.known_row[step] >= 0 and found.known_row[step] != take):
                    same[line] = False
                    break
                if found.known_row[step] >= 0:
                    take += 1
            if take != known.first[before[line] + 1]:
                same[line] = False
