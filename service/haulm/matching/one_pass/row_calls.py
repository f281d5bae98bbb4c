"""The pass's operations on rows of seasons, by numpy; `row_loops.py` has the same for the compiler.

A row has the shape (lanes,). What a row of a list says in one number holds for all lanes.
"""

from __future__ import annotations

import numpy as np

from haulm.matching.one_pass.arrays import Numbers, PlaceArray, Rows
from haulm.matching.one_pass.running_sums import run_down
from haulm.matching.supply import StemArray


def next_visited(is_visited: Numbers, line: int) -> int:
    """The first line from one on that is met; the number of lines if none is."""
    assert isinstance(is_visited, bytearray), "flags of lines are bytes without a compiler"
    found = is_visited.find(1, line)
    return len(is_visited) if found < 0 else found


def fill(row: StemArray, stems: int) -> None:
    """The same number in every lane of a row, shape (lanes,)."""
    row.fill(stems)


def put(row: StemArray, table: Rows, place: int) -> None:
    """What a row of a table says, each of shape (lanes,) [stems]."""
    row[:] = table[place]


def is_any(row: StemArray) -> bool:
    """Whether any lane of a row has stems, shape (lanes,)."""
    return bool(np.count_nonzero(row))


def least(row: StemArray, one: StemArray, other: StemArray) -> None:
    """The smaller of two rows, each of shape (lanes,) [stems]."""
    np.minimum(one, other, out=row)


def subtract(row: StemArray, table: Rows, place: int) -> None:
    """Less what a row of a table says, each of shape (lanes,) [stems]."""
    row -= table[place]


def is_same(row: StemArray, table: Rows, place: int) -> bool:
    """Whether a row, shape (lanes,), is that of a table; bytes compare quicker than numbers."""
    then = table[place]
    if then.size == row.size:
        return row.tobytes() == then.tobytes()
    return bool((row == then).all())


def drop_too_few(out: StemArray, first: int, stop: int, want: StemArray, most: int) -> None:
    """Nothing in rows of shape (rows, lanes) where more than the most is still wanted, shape (lanes,) [stems]."""
    out[first:stop, want > most] = 0


def ask(row: StemArray, limit: StemArray, levels: StemArray, held: int, freed: int) -> None:
    """Stems up to a limit, shape (lanes,), that one layer says can still be given; the row may be the limit."""
    np.minimum(limit, levels[held] - levels[freed], out=row)


def hold_less(levels: StemArray, top: int, held: int, middle: int, table: Rows, place: int) -> None:
    """F of a layer, its rows from top to middle, (rows, lanes), once a table's stems are given that end at one."""
    levels[held:middle] -= table[place]
    if held > top:
        before = levels[top:held]
        np.minimum(before, levels[held], out=before)


def free_less(levels: StemArray, freed: int, bottom: int, table: Rows, place: int) -> None:
    """G of a layer, its rows up to the bottom, (rows, lanes), once a table's stems are given that start at one."""
    if freed + 1 < bottom:
        later = levels[freed + 1 : bottom]
        later -= table[place]
        np.maximum(later, levels[freed], out=later)


def clear_rows(levels: StemArray, first: int, stop: int) -> None:
    """Nothing in some rows, shape (rows, lanes) [stems]."""
    levels[first:stop] = 0


def copy_rows(levels: StemArray, first: int, stop: int, base: StemArray, source: PlaceArray) -> None:
    """Rows with nothing given, from their sources, each of shape (lanes,) [stems]."""
    np.take(base, source[first:stop], axis=0, out=levels[first:stop], mode="clip")


def add(levels: StemArray, place: int, table: Rows, row: int) -> None:
    """Add a row of a table to a row, each of shape (lanes,) [stems]."""
    levels[place] += table[row]


def settle_held(levels: StemArray, top: int, middle: int, base: StemArray, source: PlaceArray) -> None:
    """F of a layer, (rows, lanes), from stems given by end: A less all that end up to there, the least from there."""
    rows = levels[top:middle]
    run_down(np.add, rows)
    np.subtract(base[source[top:middle]], rows, out=rows)
    run_down(np.minimum, rows[::-1])


def settle_freed(levels: StemArray, middle: int, bottom: int, base: StemArray, source: PlaceArray) -> None:
    """G of a layer, (rows, lanes), from stems by the start before: B less all up to there, the most up to there."""
    rows = levels[middle:bottom]
    run_down(np.add, rows)
    np.subtract(base[source[middle:bottom]], rows, out=rows)
    run_down(np.maximum, rows)


def column(levels: StemArray, first: int, stop: int, lane: int) -> Numbers:
    """Some rows in one lane, a copy, shape (rows,) [stems]."""
    found: list[int] = levels[first:stop, lane].tolist()
    return found


def put_column(levels: StemArray, first: int, stop: int, lane: int, found: Numbers) -> None:
    """Put some rows in one lane, shape (rows,) [stems]."""
    levels[first:stop, lane] = np.array(found)
