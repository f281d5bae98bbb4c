"""One pass down the strict order: each line takes what it may, pool by pool, in all seasons at once.

Because what an earlier line took of each pool stays fixed, pools are independent when the next line comes: it takes
min(still wanted, most of one product, what can still be given in its window) from each pool in turn. So no flow over
products is needed, only the exact count per pool (`layout.py`).

The whole match, the match after a change and a trial up to some line are this one function. Only lines that are met are
looked at: new ones, and those that ask a pool that has turned, or whose levels are kept up. What a line takes as before
is not written down again. It is ordinary Python, and what the compiler compiles; only the operations on rows of seasons
(`rows.py`) are there twice. What is called for every step is given the few arrays it needs: the compiler counts who
holds an array, and one array handed over costs as much as some hundred lanes.
"""

from __future__ import annotations

from haulm.matching.one_pass import rows
from haulm.matching.one_pass.arrays import Entries, Numbers, Pass, Rows, Windows
from haulm.matching.one_pass.compiler import compiled
from haulm.matching.one_pass.flow_rows import FlowPool, ask_flow, give_flow
from haulm.matching.supply import StemArray


@compiled
def serve(run: Pass) -> None:
    """Serve lines in some seasons, one after the other.

    Args:
        run: all it reads and writes; what is found is filled in.
    """
    asks, change, desk = run.asks, run.change, run.desk
    for pool in range(len(change.dirty_from)):
        if change.dirty_from[pool] < len(asks.stems):
            _visit(desk.is_visited, asks.claimant, asks.pool_first, pool, change.dirty_from[pool])
    line = rows.next_visited(desk.is_visited, 0)
    while line < len(asks.stems):
        if change.is_new[line] or _is_dirty(desk.dirty_from, asks.pool, asks.first, line):
            _serve_line(run, line)
        _book(run, line)
        line = rows.next_visited(desk.is_visited, line + 1)


@compiled
def _visit(is_visited: Numbers, claimant: Numbers, pool_first: Numbers, pool: int, line: int) -> None:
    """Have the lines from one on looked at that ask a pool."""
    for place in range(pool_first[pool + 1] - 1, pool_first[pool] - 1, -1):
        if claimant[place] < line:
            return
        is_visited[claimant[place]] = True


@compiled
def _is_dirty(dirty_from: Numbers, pool: Numbers, first: Numbers, line: int) -> bool:
    """Whether any pool of a line is another, or an earlier line takes otherwise of it."""
    for step in range(first[line], first[line + 1]):  # noqa: SIM110 - a plain loop is what the compiler knows
        if dirty_from[pool[step]] <= line:
            return True
    return False


@compiled
def _serve_line(run: Pass, line: int) -> None:
    """Put down what the steps of a line take, and whether that is otherwise than before.

    Of a pool that has not turned it takes what it took before, as long as it has taken the same so far; not where there
    is a minimum: what a line would have taken, had it been worth sending, is not known any more.
    """
    asks, desk, out, before = run.asks, run.desk, run.block.out, run.block.before
    most_each, minimum = asks.most_each[line], asks.minimum[line]
    groups, first = run.entries.groups, run.entries.pool_first
    is_same = not run.change.is_new[line] and minimum == 0
    rows.fill(desk.want, asks.stems[line])
    for step in range(asks.first[line], asks.first[line + 1]):
        pool, known, is_wanting = asks.pool[step], run.change.known_row[step], rows.is_any(desk.want)
        _begin_product(desk.room, most_each, asks.is_next[step])
        is_kept = is_same and desk.dirty_from[pool] > line
        if is_kept or (known < 0 and minimum == 0 and not is_wanting):
            _count_off(desk.want, desk.room, most_each, before, known)
            continue
        if is_wanting and not desk.is_live[pool]:
            _make_live(run, pool, line)
        limit = _limit(desk.limit, desk.want, desk.room, most_each)
        if is_wanting and groups[pool] > 0:
            ask_flow(out[step], limit, desk.levels, _flow_pool(run.entries, pool), asks.entry[step] - first[pool])
        elif is_wanting:
            _ask(desk.levels, run.entries.windows, asks.entry[step], limit, out[step])
        else:
            rows.fill(out[step], 0)
        _count_off(desk.want, desk.room, most_each, out, step)
        run.block.is_other[step] = not _is_as_before(out[step], before, known)
        is_same = is_same and not run.block.is_other[step]
    if minimum > 0:
        _drop_too_few(run, line)


@compiled
def _begin_product(room: StemArray, most_each: int, is_next: int) -> None:
    """Of another product a line may take as much as of the one before."""
    if most_each >= 0 and is_next:
        rows.fill(room, most_each)


@compiled
def _limit(limit: StemArray, want: StemArray, room: StemArray, most_each: int) -> StemArray:
    """The most that a line may take in a step, shape (lanes,)."""
    if most_each < 0:
        return want
    rows.least(limit, want, room)
    return limit


@compiled
def _count_off(want: StemArray, room: StemArray, most_each: int, table: Rows, row: int) -> None:
    """A line wants less by what it takes; nothing without a row."""
    if row >= 0:
        rows.subtract(want, table, row)
        if most_each >= 0:
            rows.subtract(room, table, row)


@compiled
def _is_as_before(stems: StemArray, before: Rows, known: int) -> bool:
    """Whether a step takes what it took before, none without a row."""
    return rows.is_same(stems, before, known) if known >= 0 else not rows.is_any(stems)


@compiled
def _drop_too_few(run: Pass, line: int) -> None:
    """Take nothing in the seasons in which less comes together than is worth sending."""
    asks, out = run.asks, run.block.out
    first, stop = asks.first[line], asks.first[line + 1]
    rows.drop_too_few(out, first, stop, run.desk.want, asks.stems[line] - asks.minimum[line])
    for step in range(first, stop):
        known = run.change.known_row[step]
        run.block.is_other[step] = not _is_as_before(out[step], run.block.before, known)


@compiled
def _book(run: Pass, line: int) -> None:
    """Turn the pools of which a line takes otherwise than before; tell the levels that are kept up what it takes."""
    asks, block, desk, groups = run.asks, run.block, run.desk, run.entries.groups
    for step in range(asks.first[line], asks.first[line + 1]):
        pool, table, row = asks.pool[step], block.before, run.change.known_row[step]
        if block.is_other[step]:
            table, row = block.out, step
            if desk.dirty_from[pool] > line:
                desk.dirty_from[pool] = line
                _visit(desk.is_visited, asks.claimant, asks.pool_first, pool, line)
        if desk.is_live[pool] and row >= 0:
            if groups[pool] > 0:
                _give_by_flow(run, pool, asks.entry[step], table, row)
            else:
                _give(desk.levels, run.entries.windows, asks.entry[step], table, row)


@compiled
def _ask(levels: StemArray, windows: Windows, entry: int, limit: StemArray, row: StemArray) -> None:
    """What may be given in a window, up to a limit, put into a row, each of shape (lanes,)."""
    for layer in range(windows.first[entry], windows.first[entry + 1]):
        rows.ask(row, limit, levels, windows.held[layer], windows.freed[layer])
        limit = row


@compiled
def _give(levels: StemArray, windows: Windows, entry: int, table: Rows, row: int) -> None:
    """Give in a window what a row of a table says."""
    for layer in range(windows.first[entry], windows.first[entry + 1]):
        held, freed = windows.held[layer], windows.freed[layer]
        rows.hold_less(levels, windows.top[layer], held, windows.middle[layer], table, row)
        rows.free_less(levels, freed, windows.bottom[layer], table, row)


@compiled
def _give_by_flow(run: Pass, pool: int, entry: int, table: Rows, row: int) -> None:
    """The same in a pool that is counted by flow."""
    rows.put(run.desk.limit, table, row)
    give_flow(run.desk.limit, run.desk.levels, _flow_pool(run.entries, pool), entry - run.entries.pool_first[pool])


@compiled
def _flow_pool(entries: Entries, pool: int) -> FlowPool:
    windows = entries.pool_first[pool + 1] - entries.pool_first[pool]
    return FlowPool(entries.pool_rows[pool], windows, entries.groups[pool], entries.accept, entries.accept_first[pool])


@compiled
def _make_live(run: Pass, pool: int, line: int) -> None:
    """Bring the levels of a pool to where the lines before one leave them, and keep them up from then on."""
    entries, desk, first, stop = run.entries, run.desk, run.entries.pool_rows[pool], run.entries.pool_rows[pool + 1]
    base = run.block.more if entries.is_more[pool] else run.block.base
    levels, source, groups = desk.levels, entries.source, entries.groups[pool]
    desk.is_live[pool] = True
    _visit(desk.is_visited, run.asks.claimant, run.asks.pool_first, pool, line)
    rows.clear_rows(levels, first + groups, stop)
    rows.copy_rows(levels, first, first + groups, base, source)
    is_given = _recall(run, pool, line)
    if groups > 0:
        return
    if not is_given:
        rows.copy_rows(levels, first, stop, base, source)
        return
    for band in range(entries.pool_bands[pool], entries.pool_bands[pool + 1]):
        rows.settle_held(levels, entries.top[band], entries.middle[band], base, source)
        rows.settle_freed(levels, entries.middle[band], entries.bottom[band], base, source)


@compiled
def _recall(run: Pass, pool: int, line: int) -> bool:
    """Give of a pool what lines before one take, by flow; else add it up by end and by start. Whether there is any."""
    entries, asks, block, levels = run.entries, run.asks, run.block, run.desk.levels
    is_given = False
    for place in range(asks.pool_first[pool], asks.pool_first[pool + 1]):
        step = asks.by_pool[place]
        table, row = block.before, run.change.known_row[step]
        if block.is_other[step]:
            table, row = block.out, step
        if asks.claimant[place] >= line:
            break
        if row >= 0:
            is_given = True
            if entries.groups[pool] > 0:
                _give_by_flow(run, pool, asks.entry[step], table, row)
            else:
                _add(levels, entries.windows, asks.entry[step], table, row)
    return is_given


@compiled
def _add(levels: StemArray, windows: Windows, entry: int, table: Rows, row: int) -> None:
    """Add a row of a table to those of its end and of the start behind its own."""
    for layer in range(windows.first[entry], windows.first[entry + 1]):
        rows.add(levels, windows.held[layer], table, row)
        if windows.freed[layer] + 1 < windows.bottom[layer]:
            rows.add(levels, windows.freed[layer] + 1, table, row)
