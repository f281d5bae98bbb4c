"""Count and give where windows are no intervals of groups: augmenting paths, lane by lane; slow, always right.

The rows of such a pool are the stems of each group that nobody has and, window after window, those that it has of each
group. Source: Ford and Fulkerson (1956), searched breadth first as Edmonds and Karp (1972) do.
"""

from __future__ import annotations

from typing import NamedTuple

from haulm.matching.one_pass.arrays import Numbers
from haulm.matching.one_pass.compiler import compiled
from haulm.matching.one_pass.rows import column, put_column
from haulm.matching.supply import StemArray


class FlowPool(NamedTuple):
    """A pool that is counted by flow.

    Attributes:
        first: its first row.
        windows, groups: how many it has.
        accept: whether windows accept groups, window after window, of this pool from `begin` on.
        begin: where its own begin.
    """

    first: int
    windows: int
    groups: int
    accept: Numbers
    begin: int


@compiled
def ask_flow(row: StemArray, limit: StemArray, levels: StemArray, pool: FlowPool, window: int) -> None:
    """Stems up to a limit that can still be given in a window, put into a row; each of shape (lanes,)."""
    stop = pool.first + pool.groups * (pool.windows + 1)
    for lane in range(row.size):
        wanted = int(limit[lane])
        row[lane] = _push(column(levels, pool.first, stop, lane), pool, window, wanted) if wanted > 0 else 0


@compiled
def give_flow(stems: StemArray, levels: StemArray, pool: FlowPool, window: int) -> None:
    """Give stems in a window, shape (lanes,), no more than can be given."""
    stop = pool.first + pool.groups * (pool.windows + 1)
    for lane in range(stems.size):
        if stems[lane] > 0:
            state = column(levels, pool.first, stop, lane)
            _push(state, pool, window, int(stems[lane]))
            put_column(levels, pool.first, stop, lane, state)


@compiled
def _push(state: Numbers, pool: FlowPool, window: int, wanted: int) -> int:
    """Give a window up to so many stems while all others keep their number; returns how many it got.

    The state: stems of each group that nobody has, then window after window those that it has of each group; kept up.
    """
    back = [0] * pool.groups
    left = wanted
    while left > 0:
        end = _search(state, pool, window, back)
        if end < 0:
            break
        left -= _reroute(state, pool.groups, window, end, back, left)
    return wanted - left


@compiled
def _search(state: Numbers, pool: FlowPool, window: int, back: list[int]) -> int:
    """Breadth first from a window's groups to one with a free stem, -1 if there is none.

    Where each group was come to from is filled in: the place in the state, less the groups, of the stems that would
    move there; -1 for the window's own groups, -2 for groups not come to.
    """
    groups, queue = pool.groups, [0] * pool.groups
    for group in range(groups):
        back[group] = -2
    size, place = _enter(queue, 0, back, pool, window, -1), 0
    while place < size:
        here = queue[place]
        place += 1
        if state[here] > 0:
            return here
        for user in range(pool.windows):
            if state[groups * (user + 1) + here] > 0:
                size = _enter(queue, size, back, pool, user, user * groups + here)
    return -1


@compiled
def _enter(queue: list[int], size: int, back: list[int], pool: FlowPool, window: int, source: int) -> int:
    """Queue the groups of a window that were not come to, from a source; returns how many are in the queue then."""
    for group in range(pool.groups):
        if back[group] == -2 and pool.accept[pool.begin + window * pool.groups + group]:
            back[group] = source
            queue[size] = group
            size += 1
    return size


@compiled
def _reroute(state: Numbers, groups: int, window: int, end: int, back: list[int], most: int) -> int:
    """Move everybody along the path one group on, up to the most stems; returns how many."""
    amount = min(most, state[end])
    at = end
    while back[at] >= 0:
        amount = min(amount, state[groups + back[at]])
        at = back[at] % groups
    state[end] -= amount
    at = end
    while back[at] >= 0:
        held = groups + back[at]
        state[held - back[at] % groups + at] += amount
        state[held] -= amount
        at = back[at] % groups
    state[groups * (window + 1) + at] += amount
    return int(amount)
