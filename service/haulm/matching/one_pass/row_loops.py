"""The pass's operations on rows of seasons, as loops for the compiler; `row_calls.py` has the same by numpy.

Loops are short on purpose: what a processor does to many numbers at once is one operation on numbers of one width.
"""

from __future__ import annotations

from haulm.matching.one_pass.arrays import Numbers, PlaceArray, Rows
from haulm.matching.one_pass.compiler import compiled
from haulm.matching.supply import StemArray


@compiled
def next_visited(is_visited: Numbers, line: int) -> int:
    """The first line from one on that is met; the number of lines if none is."""
    while line < len(is_visited) and not is_visited[line]:
        line += 1
    return line


@compiled
def fill(row: StemArray, stems: int) -> None:
    """The same number in every lane of a row, shape (lanes,)."""
    for lane in range(row.size):
        row[lane] = stems


@compiled
def put(row: StemArray, table: Rows, place: int) -> None:
    """What a row of a table says, each of shape (lanes,) [stems]."""
    found = table[place]
    for lane in range(row.size):
        row[lane] = found[lane]


@compiled
def is_any(row: StemArray) -> bool:
    """Whether any lane of a row has stems, shape (lanes,)."""
    found = row[0]
    for lane in range(1, row.size):
        found |= row[lane]
    return bool(found != 0)


@compiled
def least(row: StemArray, one: StemArray, other: StemArray) -> None:
    """The smaller of two rows, each of shape (lanes,) [stems]."""
    for lane in range(row.size):
        row[lane] = min(one[lane], other[lane])


@compiled
def subtract(row: StemArray, table: Rows, place: int) -> None:
    """Less what a row of a table says, each of shape (lanes,) [stems]."""
    less = table[place]
    for lane in range(row.size):
        row[lane] -= less[lane]


@compiled
def is_same(row: StemArray, table: Rows, place: int) -> bool:
    """Whether a row is that of a table, each of shape (lanes,) [stems]."""
    then = table[place]
    found = row[0] ^ then[0]
    for lane in range(1, row.size):
        found |= row[lane] ^ then[lane]
    return bool(found == 0)


@compiled
def drop_too_few(out: StemArray, first: int, stop: int, want: StemArray, most: int) -> None:
    """Nothing in rows of shape (rows, lanes) where more than the most is still wanted, shape (lanes,) [stems]."""
    for row in range(first, stop):
        for lane in range(want.size):
            if want[lane] > most:
                out[row, lane] = 0


@compiled
def ask(row: StemArray, limit: StemArray, levels: StemArray, held: int, freed: int) -> None:
    """Stems up to a limit, shape (lanes,), that one layer says can still be given; the row may be the limit."""
    kind = levels.dtype.type
    for lane in range(row.size):
        row[lane] = min(limit[lane], kind(levels[held, lane] - levels[freed, lane]))


@compiled
def hold_less(levels: StemArray, top: int, held: int, middle: int, table: Rows, place: int) -> None:
    """F of a layer, its rows from top to middle, (rows, lanes), once a table's stems are given that end at one.

    F rises from row to row: as soon as no lane of a row is above the row given in, no row before it is.
    """
    stems = table[place]
    for row in range(held, middle):
        for lane in range(stems.size):
            levels[row, lane] -= stems[lane]
    for row in range(held - 1, top - 1, -1):
        is_above = False
        for lane in range(stems.size):
            is_above |= levels[row, lane] > levels[held, lane]
        if not is_above:
            return
        for lane in range(stems.size):
            levels[row, lane] = min(levels[row, lane], levels[held, lane])


@compiled
def free_less(levels: StemArray, freed: int, bottom: int, table: Rows, place: int) -> None:
    """G of a layer, its rows up to the bottom, (rows, lanes), once a table's stems are given that start at one."""
    stems, kind = table[place], levels.dtype.type
    for row in range(freed + 1, bottom):
        for lane in range(stems.size):
            levels[row, lane] = max(kind(levels[row, lane] - stems[lane]), levels[freed, lane])


@compiled
def clear_rows(levels: StemArray, first: int, stop: int) -> None:
    """Nothing in some rows, shape (rows, lanes) [stems]."""
    for row in range(first, stop):
        for lane in range(levels.shape[1]):
            levels[row, lane] = 0


@compiled
def copy_rows(levels: StemArray, first: int, stop: int, base: StemArray, source: PlaceArray) -> None:
    """Rows with nothing given, from their sources, each of shape (lanes,) [stems]."""
    for row in range(first, stop):
        place = source[row]
        for lane in range(levels.shape[1]):
            levels[row, lane] = base[place, lane]


@compiled
def add(levels: StemArray, place: int, table: Rows, row: int) -> None:
    """Add a row of a table to a row, each of shape (lanes,) [stems]."""
    stems = table[row]
    for lane in range(stems.size):
        levels[place, lane] += stems[lane]


@compiled
def settle_held(levels: StemArray, top: int, middle: int, base: StemArray, source: PlaceArray) -> None:
    """F of a layer, (rows, lanes), from stems given by end: A less all that end up to there, the least from there."""
    for row in range(top + 1, middle):
        add(levels, row, levels, row - 1)
    _take_from_sources(levels, top, middle, base, source)
    for row in range(middle - 2, top - 1, -1):
        for lane in range(levels.shape[1]):
            levels[row, lane] = min(levels[row, lane], levels[row + 1, lane])


@compiled
def settle_freed(levels: StemArray, middle: int, bottom: int, base: StemArray, source: PlaceArray) -> None:
    """G of a layer, (rows, lanes), from stems by the start before: B less all up to there, the most up to there."""
    for row in range(middle + 1, bottom):
        add(levels, row, levels, row - 1)
    _take_from_sources(levels, middle, bottom, base, source)
    for row in range(middle + 1, bottom):
        for lane in range(levels.shape[1]):
            levels[row, lane] = max(levels[row, lane], levels[row - 1, lane])


@compiled
def _take_from_sources(levels: StemArray, first: int, stop: int, base: StemArray, source: PlaceArray) -> None:
    for row in range(first, stop):
        place = source[row]
        for lane in range(levels.shape[1]):
            levels[row, lane] = base[place, lane] - levels[row, lane]


@compiled
def column(levels: StemArray, first: int, stop: int, lane: int) -> Numbers:
    """Some rows in one lane, a copy, shape (rows,) [stems]."""
    return levels[first:stop, lane].copy()


@compiled
def put_column(levels: StemArray, first: int, stop: int, lane: int, found: Numbers) -> None:
    """Put some rows in one lane, shape (rows,) [stems]."""
    for row in range(first, stop):
        levels[row, lane] = found[row - first]
