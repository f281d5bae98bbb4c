"""The whole pass down the strict order as plain loops over some seasons at a time, for a compiler.

The same rules as `serve.py` and the same counts as `levels.py`, written for the other end: every number of a block of
seasons stays near the processor, and a gift touches only what it changes. For that, F and G of windows that are sorted
both ways are kept from one row to the next, with X the stems given in a window itself:

    F(e) = min(A(e), F(e + 1) - X(e + 1))    G(e) = max(B(e), G(e - 1) + X(e - 1))    left = F(d) - X(d) - G(d)

A gift at d can lower F before d and raise G after d, each until a row stays as it is in every season. These are F and G
of `levels.py` plus the stems given up to there; rows of nested windows are kept as they are there.

Loops are short on purpose: what a processor does to many numbers at once is one operation on numbers of one width. What
is called for every step is given the few arrays it needs, since every array handed over costs as much as ten lanes. The
functions are all in this file so that none outlives a change of another (`compiler.py`). Without a compiler they are
ordinary Python: right, and slow.
"""

from __future__ import annotations

from collections.abc import Sequence
from concurrent.futures import ThreadPoolExecutor
from itertools import pairwise
from typing import NamedTuple

import numpy as np

from haulm.matching.compiler import compiled
from haulm.matching.pass_arrays import Asks, Change, Entries, Found, PlaceArray, StemArray, TakeTable
from haulm.matching.supply import BoolArray

_HELD, _FREED, _HELD_FIRST, _HELD_STOP, _FREED_STOP = range(5)
"""Columns of `Entries.layers`."""


class _Block(NamedTuple):
    """Some seasons, each a lane; the last axis of every array of stems is that of lanes.

    Attributes:
        start, stop: the seasons.
        levels: F and G of every layer as they stand, shape (rows, lanes).
        given: X: stems given in the window of a row of F, where rows are local, shape (rows, lanes).
        taken: what the steps of a line take, shape (most steps of a line, lanes).
        want: what a line still wants, shape (lanes,).
        room: what it may still take of a product, shape (lanes,).
        spare: to reckon in, shape (lanes,).
        is_live: whether the levels of a pool are kept up, shape (pools,).
        has_turned: whether a pool is another, or an earlier line takes otherwise of it, shape (pools,).
        is_same: whether the steps of a line take what they took before, shape (most steps of a line,).
        is_other: whether a step takes otherwise than before, filled in, shape (steps,).
    """

    start: int
    stop: int
    levels: StemArray
    given: StemArray
    taken: StemArray
    want: StemArray
    room: StemArray
    spare: StemArray
    is_live: BoolArray
    has_turned: BoolArray
    is_same: BoolArray
    is_other: BoolArray


class _Pass(NamedTuple):
    """All that a pass over the lines reads and writes."""

    base: StemArray
    entries: Entries
    asks: Asks
    change: Change
    stems: StemArray
    block: _Block


def serve(base: StemArray, entries: Entries, asks: Asks, change: Change, found: Found, bounds: Sequence[int]) -> None:
    """Serve all lines in all seasons, those that the change does not reach by what they took before.

    Args:
        base: F and G of every layer with nothing given, shape (rows, seasons) [stems].
        entries: the windows.
        asks: the lines.
        change: what differs from before.
        found: filled in.
        bounds: where the blocks of seasons begin that are served side by side, with one more for the end.
    """
    steps = int(np.diff(asks.first).max(initial=1))

    def serve_block(place: int, start: int, stop: int) -> None:
        lanes = stop - start
        shapes = ((len(base), lanes), (len(base), lanes), (steps, lanes), lanes, lanes, lanes)
        levels, given, taken, want, room, spare = (np.empty(shape, base.dtype) for shape in shapes)
        is_live, has_turned = np.zeros((2, len(change.is_other)), np.bool_)
        flags = (is_live, has_turned, np.zeros(steps, np.bool_), found.is_other[place])
        block = _Block(start, stop, levels, given, taken, want, room, spare, *flags)
        _serve_block(_Pass(base, entries, asks, change, found.stems, block))

    with ThreadPoolExecutor(len(bounds)) as side_by_side:
        for served in [side_by_side.submit(serve_block, *block) for block in _blocks(bounds)]:
            served.result()


def _blocks(bounds: Sequence[int]) -> list[tuple[int, int, int]]:
    return [(place, *block) for place, block in enumerate(pairwise(bounds))]


@compiled
def _serve_block(run: _Pass) -> None:
    """Serve all lines in one block of seasons."""
    asks, change, block = run.asks, run.change, run.block
    first, pool, has_turned = asks.first, asks.pool, block.has_turned
    has_turned[:] = change.is_other
    for line in range(asks.stems.size):
        for gone in range(change.gone_first[line], change.gone_first[line + 1]):
            _turn_gone(has_turned, change.before, change.gone[gone])
        if change.is_new[line] or _is_any(has_turned, pool[first[line] : first[line + 1]]):
            _serve_line(run, line)
        elif _is_any(block.is_live, pool[first[line] : first[line + 1]]):
            _take_as_before(run, line)


@compiled
def _turn_gone(has_turned: BoolArray, before: TakeTable, line: int) -> None:
    """Note the pools of which a line took that is gone."""
    for take in range(before.first[line], before.first[line + 1]):
        has_turned[before.pool[take]] = True


@compiled
def _is_any(flags: BoolArray, pools: PlaceArray) -> bool:
    """Whether a flag is up at any of some pools."""
    for pool in pools:  # noqa: SIM110 - a plain loop is what the compiler knows
        if flags[pool]:
            return True
    return False


@compiled
def _take_as_before(run: _Pass, line: int) -> None:
    """Tell the levels that are kept up what a line takes."""
    asks, block, entries = run.asks, run.block, run.entries
    levels, given, spare, stems = block.levels, block.given, block.spare, block.taken[0]
    before, known_row, entry = run.change.before.stems, run.change.known_row, asks.entry
    for step in range(asks.first[line], asks.first[line + 1]):
        if known_row[step] >= 0 and block.is_live[asks.pool[step]]:
            _recall(stems, before, known_row[step], block.start)
            _give(levels, given, spare, entries, entry[step], stems)


@compiled
def _recall(stems: StemArray, table: StemArray, row: int, start: int) -> None:
    """Put a row of a table into lanes, from a season on; nothing where there is no such row."""
    if row < 0:
        stems[:] = 0
        return
    _copy(stems, table[row, start : start + stems.size])


@compiled
def _copy(stems: StemArray, others: StemArray) -> None:
    for lane in range(stems.size):
        stems[lane] = others[lane]


@compiled
def _serve_line(run: _Pass, line: int) -> None:
    """Serve one line."""
    first, stop, minimum = run.asks.first[line], run.asks.first[line + 1], run.asks.minimum[line]
    _ask_all(run, line)
    if minimum > 0:
        before, known_row, block = run.change.before.stems, run.change.known_row, run.block
        _drop_too_few(block.taken[: stop - first], block.want, run.asks.stems[line], minimum)
        for step in range(first, stop):
            is_same = _is_as_before(block.taken[step - first], before, known_row[step], block.start, block.spare)
            block.is_same[step - first] = is_same
    _give_all(run, line)


@compiled
def _ask_all(run: _Pass, line: int) -> None:
    """What each step of a line takes, put into `taken`, and whether that is as before.

    Of a pool that has not turned it takes what it took before, as long as it has taken the same so far; not where there
    is a minimum: what a line would have taken, had it been worth sending, is not known any more.
    """
    asks, block, entries = run.asks, run.block, run.entries
    pools, entry, is_next, most_each = asks.pool, asks.entry, asks.is_next, asks.most_each[line]
    levels, given, want, room, spare = block.levels, block.given, block.want, block.room, block.spare
    before, known_row, first = run.change.before.stems, run.change.known_row, asks.first[line]
    is_same = not run.change.is_new[line] and asks.minimum[line] == 0
    want[:] = asks.stems[line]
    for step in range(first, asks.first[line + 1]):
        stems, is_wanting = block.taken[step - first], _most(want) > 0
        is_known = is_wanting and is_same and not block.has_turned[pools[step]]
        if is_known:
            _recall(stems, before, known_row[step], block.start)
        elif is_wanting:
            if not block.is_live[pools[step]]:
                _make_live(run, line, pools[step])
            _ask(levels, given, spare, entries, entry[step], stems)
            _lower(stems, want)
        else:
            stems[:] = 0
        if is_wanting and most_each >= 0:
            _limit(stems, room, most_each, is_next[step])
        _subtract(want, stems)
        if asks.minimum[line] == 0:
            block.is_same[step - first] = is_known or _is_as_before(stems, before, known_row[step], block.start, spare)
            is_same = is_same and block.is_same[step - first]


@compiled
def _limit(stems: StemArray, room: StemArray, most_each: int, is_next: bool) -> None:
    """Take at most as much of a product as a line may."""
    if is_next:
        room[:] = most_each
    _lower(stems, room)
    _subtract(room, stems)


@compiled
def _is_as_before(stems: StemArray, before: StemArray, known: int, start: int, change: StemArray) -> bool:
    """Whether lanes hold a row of an earlier table, from a season on; whether they hold nothing, without such a row."""
    if known < 0:
        return bool(_most(stems) <= 0)
    _recall(change, before, known, start)
    _subtract(change, stems)
    return bool(_most(change) <= 0 and _least(change) >= 0)


@compiled
def _give_all(run: _Pass, line: int) -> None:
    """Give what the steps of a line take, and write down what is new."""
    asks, block, entries = run.asks, run.block, run.entries
    levels, given, spare, entry, first = block.levels, block.given, block.spare, asks.entry, asks.first[line]
    for step in range(first, asks.first[line + 1]):
        stems, pool = block.taken[step - first], asks.pool[step]
        if not block.is_same[step - first]:
            block.is_other[step] = block.has_turned[pool] = True
            _copy(run.stems[step, block.start : block.stop], stems)
        if block.is_live[pool] and _most(stems) > 0:
            _give(levels, given, spare, entries, entry[step], stems)


@compiled
def _make_live(run: _Pass, line: int, pool: int) -> None:
    """Bring the levels of a pool to where the lines before one leave them, and keep them up from then on."""
    asks, block, known_row = run.asks, run.block, run.change.known_row
    block.is_live[pool] = True
    for row in range(run.entries.pool_rows[pool, 0], run.entries.pool_rows[pool, 1]):
        _recall(block.levels[row], run.base, row, block.start)
        block.given[row] = 0
    stems = block.spare.copy()
    for place in range(asks.pool_first[pool], asks.pool_first[pool + 1]):
        step = int(asks.by_pool[place])
        if step >= asks.first[line]:
            return
        if block.is_other[step]:
            _recall(stems, run.stems, step, block.start)
        else:
            _recall(stems, run.change.before.stems, known_row[step], block.start)
        if _most(stems) > 0:
            _give(block.levels, block.given, block.spare, run.entries, asks.entry[step], stems)


@compiled
def _drop_too_few(taken: StemArray, want: StemArray, wanted: int, minimum: int) -> None:
    """Take nothing in the lanes in which less comes together than is worth sending."""
    for step in range(taken.shape[0]):
        for lane in range(want.size):
            if wanted - want[lane] < minimum:
                taken[step, lane] = 0


@compiled
def _ask(levels: StemArray, given: StemArray, spare: StemArray, entries: Entries, entry: int, stems: StemArray) -> None:
    """The stems of a window that can still be given."""
    layers, layer = entries.layers, entries.first[entry]
    held, freed = layers[layer, _HELD], layers[layer, _FREED]
    for lane in range(stems.size):
        stems[lane] = levels[held, lane] - levels[freed, lane]
    if entries.is_local[entry]:
        _subtract(stems, given[held])
    for outer in range(layer + 1, entries.first[entry + 1]):
        held, freed = layers[outer, _HELD], layers[outer, _FREED]
        for lane in range(stems.size):
            spare[lane] = levels[held, lane] - levels[freed, lane]
        _lower(stems, spare)


@compiled
def _give(
    levels: StemArray, given: StemArray, spare: StemArray, entries: Entries, entry: int, stems: StemArray
) -> None:
    """Give stems in a window, in every layer around it."""
    layers = entries.layers
    for layer in range(entries.first[entry], entries.first[entry + 1]):
        held, freed = layers[layer, _HELD], layers[layer, _FREED]
        held_first, held_stop, freed_stop = (
            layers[layer, _HELD_FIRST],
            layers[layer, _HELD_STOP],
            layers[layer, _FREED_STOP],
        )
        if entries.is_local[entry]:
            for lane in range(stems.size):
                given[held, lane] += stems[lane]
            _lower_before(levels[held_first : held + 1], given[held_first : held + 1], spare)
            _raise_after(levels[freed:freed_stop], given[held:held_stop], spare)
        else:
            _hold_less(levels[held_first:held_stop], held - held_first, stems, spare)
            _free_less(levels[freed:freed_stop], stems, spare)


@compiled
def _lower_before(held: StemArray, given: StemArray, change: StemArray) -> None:
    """F of the rows before the last, in which stems were given, until a row stays as it is; X of the same rows."""
    for row in range(held.shape[0] - 2, -1, -1):
        for lane in range(change.size):
            change[lane] = held[row, lane] - (held[row + 1, lane] - given[row + 1, lane])
        if _most(change) <= 0:
            return
        _keep_rises(change)
        _subtract(held[row], change)


@compiled
def _raise_after(freed: StemArray, given: StemArray, change: StemArray) -> None:
    """G of the rows after the first, in which stems were given, until a row stays as it is; X of the same rows."""
    for row in range(1, freed.shape[0]):
        for lane in range(change.size):
            change[lane] = freed[row - 1, lane] + given[row - 1, lane] - freed[row, lane]
        if _most(change) <= 0:
            return
        _keep_rises(change)
        for lane in range(change.size):
            freed[row, lane] += change[lane]


@compiled
def _keep_rises(change: StemArray) -> None:
    """Nought for what is below it."""
    for lane in range(change.size):
        change[lane] = change[lane] if change[lane] > 0 else 0


@compiled
def _hold_less(held: StemArray, place: int, stems: StemArray, spare: StemArray) -> None:
    """F of a layer in which stems are given that end at a row."""
    for row in range(place, held.shape[0]):
        _subtract(held[row], stems)
    _copy(spare, held[place])
    for row in range(place):
        _lower(held[row], spare)


@compiled
def _free_less(freed: StemArray, stems: StemArray, spare: StemArray) -> None:
    """G of a layer from the row on at which stems start that are given."""
    _copy(spare, freed[0])
    for row in range(1, freed.shape[0]):
        _subtract(freed[row], stems)
        for lane in range(stems.size):
            freed[row, lane] = max(freed[row, lane], spare[lane])


@compiled
def _lower(stems: StemArray, limit: StemArray) -> None:
    """No more than a limit."""
    for lane in range(stems.size):
        stems[lane] = min(stems[lane], limit[lane])


@compiled
def _subtract(stems: StemArray, less: StemArray) -> None:
    for lane in range(stems.size):
        stems[lane] -= less[lane]


@compiled
def _most(stems: StemArray) -> int:
    """The most in any lane."""
    found = stems[0]
    for lane in range(1, stems.size):
        found = max(found, stems[lane])
    return found  # type: ignore[no-any-return]


@compiled
def _least(stems: StemArray) -> int:
    """The least in any lane."""
    found = stems[0]
    for lane in range(1, stems.size):
        found = min(found, stems[lane])
    return found  # type: ignore[no-any-return]
