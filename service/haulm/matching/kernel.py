"""The whole pass down the strict order as plain loops over some seasons at a time, for a compiler.

The same rules as `serve.py` and the same counts as `levels.py`, written for the other end: every number of a block of
seasons stays near the processor, and a gift touches only what it changes. For that, F and G of windows that are sorted
both ways are kept from one row to the next, with X the stems given in a window itself:

    F(e) = min(A(e), F(e + 1) - X(e + 1))    G(e) = max(B(e), G(e - 1) + X(e - 1))    left = F(d) - X(d) - G(d)

A gift at d can lower F before d and raise G after d, each until a row stays as it is in every season. These are F and G
of `levels.py` plus the stems given up to there; rows of nested windows are kept as they are there.

Loops are short on purpose: what a processor does to many numbers at once is one operation on numbers of one width. What
is called for every step is given the few arrays it needs: the compiler counts who holds an array, and one array handed
over costs as much as some hundred lanes. The functions are all in this file so that none outlives a change of another
(`compiler.py`). Without a compiler they are ordinary Python: right, and slow.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from haulm.matching.compiler import compiled
from haulm.matching.pass_arrays import Asks, Block, Change, Entries, PlaceArray, StemArray
from haulm.matching.supply import BoolArray

_HELD, _FREED, _HELD_FIRST, _HELD_STOP, _FREED_STOP = range(5)
"""Columns of `Entries.layers`."""


class _Desk(NamedTuple):
    """What a pass reckons with; the last axis of every array of stems is that of lanes, each a season.

    Attributes:
        levels: F and G of every layer as they stand, shape (rows, lanes).
        given: X: stems given in the window of a row of F, where rows are local, shape (rows, lanes).
        taken: what the steps of a line take, shape (most steps of a line, lanes).
        want: what a line still wants, shape (lanes,).
        room: what it may still take of a product, shape (lanes,).
        spare: to reckon in, shape (lanes,).
        is_live: whether the levels of a pool are kept up, shape (pools,).
        has_turned: whether a pool is another, or an earlier line takes otherwise of it, shape (pools,).
        is_same: whether the steps of a line take what they took before, shape (most steps of a line,).
    """

    levels: StemArray
    given: StemArray
    taken: StemArray
    want: StemArray
    room: StemArray
    spare: StemArray
    is_live: BoolArray
    has_turned: BoolArray
    is_same: BoolArray


class _Pass(NamedTuple):
    """All that a pass over the lines reads and writes."""

    entries: Entries
    asks: Asks
    change: Change
    block: Block
    desk: _Desk


def serve(entries: Entries, asks: Asks, change: Change, block: Block) -> None:
    """Serve all lines in some seasons, those that the change does not reach by what they took before.

    Args:
        entries: the windows.
        asks: the lines.
        change: what differs from before.
        block: the seasons; what is found is filled in.
    """
    steps, rows, lanes = int(np.diff(asks.first).max(initial=1)), *block.base.shape
    shapes = ((rows, lanes), (rows, lanes), (steps, lanes), lanes, lanes, lanes)
    levels, given, taken, want, room, spare = (np.empty(shape, block.base.dtype) for shape in shapes)
    is_live, has_turned = np.zeros((2, len(change.is_other)), np.bool_)
    desk = _Desk(levels, given, taken, want, room, spare, is_live, has_turned, np.zeros(steps, np.bool_))
    _serve_all(_Pass(entries, asks, change, block, desk))


@compiled
def _serve_all(run: _Pass) -> None:
    """Serve all lines."""
    asks, change, desk = run.asks, run.change, run.desk
    first, pool, has_turned = asks.first, asks.pool, desk.has_turned
    has_turned[:] = change.is_other
    for line in range(asks.stems.size):
        for gone in range(change.gone_first[line], change.gone_first[line + 1]):
            _turn_gone(has_turned, change, change.gone[gone])
        if change.is_new[line] or _is_any(has_turned, pool[first[line] : first[line + 1]]):
            _serve_line(run, line)
        elif _is_any(desk.is_live, pool[first[line] : first[line + 1]]):
            _take_as_before(run, line)


@compiled
def _turn_gone(has_turned: BoolArray, change: Change, line: int) -> None:
    """Note the pools of which a line took that is gone."""
    for take in range(change.first[line], change.first[line + 1]):
        has_turned[change.pool[take]] = True


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
    asks, desk, entries = run.asks, run.desk, run.entries
    levels, given, spare, stems = desk.levels, desk.given, desk.spare, desk.taken[0]
    before, known_row, entry = run.block.before, run.change.known_row, asks.entry
    for step in range(asks.first[line], asks.first[line + 1]):
        if known_row[step] >= 0 and desk.is_live[asks.pool[step]]:
            _recall(stems, before, known_row[step])
            _give(levels, given, spare, entries, entry[step], stems)


@compiled
def _recall(stems: StemArray, table: StemArray, row: int) -> None:
    """What a row of a table says; nothing where there is no such row."""
    if row < 0:
        stems[:] = 0
        return
    for lane in range(stems.size):
        stems[lane] = table[row, lane]


@compiled
def _serve_line(run: _Pass, line: int) -> None:
    """Serve one line."""
    first, stop, minimum = run.asks.first[line], run.asks.first[line + 1], run.asks.minimum[line]
    _ask_all(run, line)
    if minimum > 0:
        desk = run.desk
        _drop_too_few(desk.taken[: stop - first], desk.want, run.asks.stems[line], minimum)
        for step in range(first, stop):
            stems, known = desk.taken[step - first], run.change.known_row[step]
            desk.is_same[step - first] = _is_as_before(stems, run.block.before, known, desk.spare)
    _give_all(run, line)


@compiled
def _ask_all(run: _Pass, line: int) -> None:
    """What each step of a line takes, put into `taken`, and whether that is as before.

    Of a pool that has not turned it takes what it took before, as long as it has taken the same so far; not where there
    is a minimum: what a line would have taken, had it been worth sending, is not known any more.
    """
    asks, desk, entries = run.asks, run.desk, run.entries
    pools, entry, is_next, most_each = asks.pool, asks.entry, asks.is_next, asks.most_each[line]
    levels, given, want, room, spare = desk.levels, desk.given, desk.want, desk.room, desk.spare
    before, known_row, first = run.block.before, run.change.known_row, asks.first[line]
    is_same = not run.change.is_new[line] and asks.minimum[line] == 0
    want[:] = asks.stems[line]
    for step in range(first, asks.first[line + 1]):
        stems, is_wanting = desk.taken[step - first], _most(want) > 0
        is_known = is_wanting and is_same and not desk.has_turned[pools[step]]
        if is_known:
            _recall(stems, before, known_row[step])
        elif is_wanting:
            if not desk.is_live[pools[step]]:
                _make_live(run, line, pools[step])
            _ask(levels, given, spare, entries, entry[step], stems)
            _lower(stems, want)
        else:
            stems[:] = 0
        if is_wanting and most_each >= 0:
            _limit(stems, room, most_each, is_next[step])
        _subtract(want, stems)
        if asks.minimum[line] == 0:
            desk.is_same[step - first] = is_known or _is_as_before(stems, before, known_row[step], spare)
            is_same = is_same and desk.is_same[step - first]


@compiled
def _limit(stems: StemArray, room: StemArray, most_each: int, is_next: bool) -> None:
    """Take at most as much of a product as a line may."""
    if is_next:
        room[:] = most_each
    _lower(stems, room)
    _subtract(room, stems)


@compiled
def _is_as_before(stems: StemArray, before: StemArray, known: int, change: StemArray) -> bool:
    """Whether stems are those of a row of the earlier table; whether they are none, without such a row."""
    if known < 0:
        return bool(_most(stems) <= 0)
    for lane in range(stems.size):
        change[lane] = before[known, lane] - stems[lane]
    return bool(_most(change) <= 0 and _least(change) >= 0)


@compiled
def _give_all(run: _Pass, line: int) -> None:
    """Give what the steps of a line take, and write down what is new."""
    asks, block, desk, entries = run.asks, run.block, run.desk, run.entries
    levels, given, spare, entry, first = desk.levels, desk.given, desk.spare, asks.entry, asks.first[line]
    for step in range(first, asks.first[line + 1]):
        stems, pool = desk.taken[step - first], asks.pool[step]
        if not desk.is_same[step - first]:
            block.is_other[step] = desk.has_turned[pool] = True
            for lane in range(stems.size):
                block.stems[step, lane] = stems[lane]
        if desk.is_live[pool] and _most(stems) > 0:
            _give(levels, given, spare, entries, entry[step], stems)


@compiled
def _make_live(run: _Pass, line: int, pool: int) -> None:
    """Bring the levels of a pool to where the lines before one leave them, and keep them up from then on."""
    asks, block, desk, entries = run.asks, run.block, run.desk, run.entries
    desk.is_live[pool] = True
    for row in range(entries.pool_rows[pool, 0], entries.pool_rows[pool, 1]):
        _recall(desk.levels[row], block.base, row)
        desk.given[row] = 0
    stems = desk.spare.copy()
    for place in range(asks.pool_first[pool], asks.pool_first[pool + 1]):
        step = int(asks.by_pool[place])
        if step >= asks.first[line]:
            return
        if block.is_other[step]:
            _recall(stems, block.stems, step)
        else:
            _recall(stems, block.before, int(run.change.known_row[step]))
        if _most(stems) > 0:
            _give(desk.levels, desk.given, desk.spare, entries, int(asks.entry[step]), stems)


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
        for lane in range(stems.size):
            stems[lane] -= given[held, lane]
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
        if entries.is_local[entry]:
            for lane in range(stems.size):
                given[held, lane] += stems[lane]
            _lower_before(levels, given, held, layers[layer, _HELD_FIRST], spare)
            _raise_after(levels, given, freed, layers[layer, _FREED_STOP], held - freed, spare)
        else:
            _hold_less(levels, held, layers[layer, _HELD_FIRST], layers[layer, _HELD_STOP], stems)
            _free_less(levels, freed, layers[layer, _FREED_STOP], stems)


@compiled
def _lower_before(levels: StemArray, given: StemArray, held: int, first: int, change: StemArray) -> None:
    """F of the rows before one in which stems were given, until a row stays as it is."""
    for row in range(held - 1, first - 1, -1):
        for lane in range(change.size):
            change[lane] = levels[row, lane] - (levels[row + 1, lane] - given[row + 1, lane])
        if _most(change) <= 0:
            return
        _keep_rises(change)
        for lane in range(change.size):
            levels[row, lane] -= change[lane]


@compiled
def _raise_after(levels: StemArray, given: StemArray, freed: int, stop: int, ahead: int, change: StemArray) -> None:
    """G of the rows after one in which stems were given, until a row stays as it is; X stands so many rows ahead."""
    for row in range(freed + 1, stop):
        for lane in range(change.size):
            change[lane] = levels[row - 1, lane] + given[row - 1 + ahead, lane] - levels[row, lane]
        if _most(change) <= 0:
            return
        _keep_rises(change)
        for lane in range(change.size):
            levels[row, lane] += change[lane]


@compiled
def _keep_rises(change: StemArray) -> None:
    """Nought for what is below it."""
    for lane in range(change.size):
        change[lane] = change[lane] if change[lane] > 0 else 0


@compiled
def _hold_less(levels: StemArray, held: int, first: int, stop: int, stems: StemArray) -> None:
    """F of a layer, its rows from first to stop, in which stems are given that end at a row."""
    for row in range(held, stop):
        for lane in range(stems.size):
            levels[row, lane] -= stems[lane]
    for row in range(first, held):
        for lane in range(stems.size):
            levels[row, lane] = min(levels[row, lane], levels[held, lane])


@compiled
def _free_less(levels: StemArray, freed: int, stop: int, stems: StemArray) -> None:
    """G of a layer, its rows up to stop, in which stems are given that start at a row."""
    for row in range(freed + 1, stop):
        for lane in range(stems.size):
            levels[row, lane] -= stems[lane]
        for lane in range(stems.size):
            levels[row, lane] = max(levels[row, lane], levels[freed, lane])


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
