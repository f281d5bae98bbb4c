"""The whole pass down the strict order as plain loops over a few seasons at a time, for a compiler.

The same rules as `serve.py` and the same counts as `levels.py`, written for the other end: every number of a block of
seasons stays near the processor, and a gift touches only what it changes. For that, F and G of windows that are sorted
both ways are kept from one row to the next, with X the stems given in a window itself:

    F(e) = min(A(e), F(e + 1) - X(e + 1))    G(e) = max(B(e), G(e - 1) + X(e - 1))    left = F(d) - X(d) - G(d)

A gift at d can lower F before d and raise G after d, each until a row stays as it is in every season. These are F and G
of `levels.py` plus the stems given up to there; rows of nested windows are kept as they are there.

Loops are short on purpose: what a processor does to many numbers at once is one operation on numbers of one width. The
functions are all in this file so that none outlives a change of another (`compiler.py`). Without a compiler they are
ordinary Python: right, and slow.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from haulm.matching.compiler import compiled
from haulm.matching.pass_arrays import Asks, Change, Entries, Found, PlaceArray, StemArray, TakeTable
from haulm.matching.supply import BoolArray


class _Block(NamedTuple):
    """Some seasons, each a lane; the last axis of every array of stems is that of lanes.

    Attributes:
        levels: F and G of every layer as they stand, shape (rows, lanes).
        given: X: stems given in the window of a row of F, where rows are local, shape (rows, lanes).
        taken: what the steps of a line take, shape (most steps of a line, lanes).
        want: what a line still wants, shape (lanes,).
        room: what it may still take of a product, shape (lanes,).
        spare: to reckon in, shape (lanes,).
        is_live: whether the levels of a pool are kept up, shape (pools,).
        has_turned: whether a pool is another, or an earlier line takes otherwise of it, shape (pools,).
        start: the first season, shape (1,).
    """

    levels: StemArray
    given: StemArray
    taken: StemArray
    want: StemArray
    room: StemArray
    spare: StemArray
    is_live: BoolArray
    has_turned: BoolArray
    start: PlaceArray


class _Pass(NamedTuple):
    """All that a pass over the lines reads and writes."""

    base: StemArray
    entries: Entries
    asks: Asks
    change: Change
    found: Found
    block: _Block


def serve(base: StemArray, entries: Entries, asks: Asks, change: Change, found: Found, lanes: int) -> None:
    """Serve all lines in all seasons, those that the change does not reach by what they took before.

    Args:
        base: F and G of every layer with nothing given, shape (rows, seasons) [stems].
        entries: the windows.
        asks: the lines.
        change: what differs from before.
        found: filled in; its known rows are read.
        lanes: seasons at a time, a multiple of eight.
    """
    steps = int(np.diff(asks.first).max(initial=1))
    shapes = ((len(base), lanes), (len(base), lanes), (steps, lanes), lanes, lanes, lanes)
    levels, given, taken, want, room, spare = (np.empty(shape, base.dtype) for shape in shapes)
    is_live, has_turned = np.empty((2, len(change.is_other)), np.bool_)
    block = _Block(levels, given, taken, want, room, spare, is_live, has_turned, np.zeros(1, np.int64))
    for start in range(0, base.shape[1], lanes):
        block.start[0] = start
        _serve_block(_Pass(base, entries, asks, change, found, block))


@compiled
def _serve_block(run: _Pass) -> None:
    """Serve all lines in one block of seasons."""
    asks, change, block = run.asks, run.change, run.block
    block.is_live[:] = False
    block.has_turned[:] = change.is_other
    for line in range(asks.stems.size):
        for gone in range(change.gone_first[line], change.gone_first[line + 1]):
            _turn_gone(block, change.before, change.gone[gone])
        if change.is_new[line] or _has_turned(asks, block, line):
            _serve_line(run, line)
        else:
            _take_as_before(run, line)


@compiled
def _turn_gone(block: _Block, before: TakeTable, line: int) -> None:
    """Note the pools of which a line took that is gone."""
    for take in range(before.first[line], before.first[line + 1]):
        block.has_turned[before.pool[take]] = True


@compiled
def _has_turned(asks: Asks, block: _Block, line: int) -> bool:
    """Whether a pool has turned of which a line may take."""
    for step in range(asks.first[line], asks.first[line + 1]):  # noqa: SIM110 - a plain loop is what the compiler knows
        if block.has_turned[asks.pool[step]]:
            return True
    return False


@compiled
def _take_as_before(run: _Pass, line: int) -> None:
    """Tell the levels that are kept up what a line takes."""
    asks, block = run.asks, run.block
    for step in range(asks.first[line], asks.first[line + 1]):
        if run.found.known_row[step] >= 0 and block.is_live[asks.pool[step]]:
            stems = block.taken[0]
            _recall(run, step, stems)
            _give(block, run.entries, int(asks.entry[step]), stems)


@compiled
def _recall(run: _Pass, step: int, stems: StemArray) -> None:
    """What a step took in the earlier match, or takes in this one where that is found already."""
    row, known = run.found.row[step], run.found.known_row[step]
    if row >= 0:
        _fill(stems, run.found.stems[row], run.block.start[0])
    elif known >= 0:
        _fill(stems, run.change.before.stems[known], run.block.start[0])
    else:
        stems[:] = 0


@compiled
def _fill(lanes: StemArray, seasons: StemArray, start: int) -> None:
    """Put seasons from one on into lanes; lanes beyond the last season hold no stems."""
    part = seasons[start : start + lanes.size]
    for lane in range(part.size):
        lanes[lane] = part[lane]
    for lane in range(part.size, lanes.size):
        lanes[lane] = 0


@compiled
def _serve_line(run: _Pass, line: int) -> None:
    """Serve one line."""
    asks, block = run.asks, run.block
    first = asks.first[line]
    steps = _ask_all(run, line)
    if asks.minimum[line] > 0:
        _drop_too_few(block, asks.stems[line], asks.minimum[line], steps)
    for step in range(asks.first[line + 1] - first):
        stems = block.taken[step]
        if step >= steps:
            stems[:] = 0
        if _note(run, first + step, stems):
            block.has_turned[asks.pool[first + step]] = True
        if block.is_live[asks.pool[first + step]] and _any(stems):
            _give(block, run.entries, int(asks.entry[first + step]), stems)


@compiled
def _ask_all(run: _Pass, line: int) -> int:
    """What each step of a line takes, put into `taken`; the number of steps until nobody wants more.

    Of a pool that has not turned it takes what it took before, as long as it has taken the same so far; not where there
    is a minimum: what a line would have taken, had it been worth sending, is not known any more.
    """
    asks, block = run.asks, run.block
    first = asks.first[line]
    is_same = not run.change.is_new[line] and asks.minimum[line] == 0
    block.want[:] = asks.stems[line]
    for step in range(asks.first[line + 1] - first):
        stems = block.taken[step]
        is_known = is_same and not block.has_turned[asks.pool[first + step]]
        if is_known:
            _recall(run, first + step, stems)
        else:
            _make_live(run, line, int(asks.pool[first + step]))
            _ask(block, run.entries, int(asks.entry[first + step]), stems)
        _limit(asks, block, line, first + step, stems)
        if is_same and not is_known:
            is_same = _is_as_before(run, first + step, stems)
        for lane in range(stems.size):
            block.want[lane] -= stems[lane]
        if not _any(block.want):
            return step + 1
    return int(asks.first[line + 1] - first)


@compiled
def _limit(asks: Asks, block: _Block, line: int, step: int, stems: StemArray) -> None:
    """Take at most as much of a product as a line may."""
    room = block.room
    if asks.most_each[line] < 0:
        return
    if asks.is_next[step]:
        room[:] = asks.most_each[line]
    for lane in range(stems.size):
        stems[lane] = min(stems[lane], room[lane])
    for lane in range(stems.size):
        room[lane] -= stems[lane]


@compiled
def _make_live(run: _Pass, line: int, pool: int) -> None:
    """Bring the levels of a pool to where the lines before one leave them, and keep them up from then on."""
    asks, block = run.asks, run.block
    if block.is_live[pool]:
        return
    block.is_live[pool] = True
    for row in range(run.entries.pool_rows[pool, 0], run.entries.pool_rows[pool, 1]):
        _fill(block.levels[row], run.base[row], block.start[0])
        block.given[row] = 0
    stems = block.room.copy()
    for place in range(asks.pool_first[pool], asks.pool_first[pool + 1]):
        step = asks.by_pool[place]
        if step >= asks.first[line]:
            return
        if run.found.row[step] >= 0 or run.found.known_row[step] >= 0:
            _recall(run, step, stems)
            _give(block, run.entries, int(asks.entry[step]), stems)


@compiled
def _is_as_before(run: _Pass, step: int, stems: StemArray) -> bool:
    """Whether a step takes what it took in the earlier match."""
    known, change = run.found.known_row[step], run.block.spare
    if known < 0:
        return not _any(stems)
    _fill(change, run.change.before.stems[known], run.block.start[0])
    for lane in range(stems.size):
        change[lane] -= stems[lane]
    return not _any(change)


@compiled
def _drop_too_few(block: _Block, wanted: int, minimum: int, steps: int) -> None:
    """Take nothing in the lanes in which less comes together than is worth sending."""
    for step in range(steps):
        for lane in range(block.want.size):
            if wanted - block.want[lane] < minimum:
                block.taken[step, lane] = 0


@compiled
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


@compiled
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


@compiled
def _lower_before(levels: StemArray, given: StemArray, held: int, first: int, change: StemArray) -> None:
    """F of the rows before one in which stems were given, until a row stays as it is."""
    for row in range(held - 1, first - 1, -1):
        for lane in range(change.size):
            change[lane] = levels[row, lane] - (levels[row + 1, lane] - given[row + 1, lane])
        if not _keep_rises(change):
            return
        for lane in range(change.size):
            levels[row, lane] -= change[lane]


@compiled
def _raise_after(freed: StemArray, given: StemArray, change: StemArray) -> None:
    """G of the rows after the first, in which stems were given, until a row stays as it is; X of the same rows."""
    for row in range(1, freed.shape[0]):
        for lane in range(change.size):
            change[lane] = freed[row - 1, lane] + given[row - 1, lane] - freed[row, lane]
        if not _keep_rises(change):
            return
        for lane in range(change.size):
            freed[row, lane] += change[lane]


@compiled
def _keep_rises(change: StemArray) -> bool:
    """Put nought for what is below it; whether anything is above."""
    for lane in range(change.size):
        change[lane] = change[lane] if change[lane] > 0 else 0
    return _any(change)


@compiled
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


@compiled
def _free_less(levels: StemArray, freed: int, stop: int, stems: StemArray, spare: StemArray) -> None:
    """G of a layer, its rows up to stop, in which stems are given that start at a row."""
    for lane in range(stems.size):
        spare[lane] = levels[freed, lane]
    for row in range(freed + 1, stop):
        for lane in range(stems.size):
            levels[row, lane] -= stems[lane]
        for lane in range(stems.size):
            levels[row, lane] = max(levels[row, lane], spare[lane])


@compiled
def _any(stems: StemArray) -> bool:
    """Whether there are stems in any lane; eight bytes at a time."""
    words = stems.view(np.int64)
    found = np.int64(0)
    for place in range(words.size):
        found |= words[place]
    return bool(found != 0)


@compiled
def _note(run: _Pass, step: int, stems: StemArray) -> bool:
    """Write down what a step takes in a block of seasons, from the first block on in which that is something new.

    Returns:
        Whether it is something new in this block.
    """
    found = run.found
    is_new = not _is_as_before(run, step, stems)
    row, known = found.row[step], found.known_row[step]
    if is_new and row < 0:
        row = found.used[0]
        found.used[0] += 1
        found.row[step] = row
        found.stems[row] = 0
        if known >= 0:
            found.stems[row] = run.change.before.stems[known]
    if is_new:
        part = found.stems[row, run.block.start[0] :][: stems.size]
        for lane in range(part.size):
            part[lane] = stems[lane]
    return is_new
