"""Pools as tables of numbers for the pass, with nothing given: kept per pool, since they outlast changes of the lines.

The tables of all pools stand one below the other. A pool that has changed since, or that is asked in a window which its
table does not know, gets a table among some more; once these are many, all are put together anew.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping, Sequence, Set
from dataclasses import dataclass, replace

import numpy as np

from haulm.matching.one_pass.arrays import Entries, PlaceArray, StemKind, Windows, flags, in_blocks, kind_for, numbers
from haulm.matching.pools.counting import Engine, counted
from haulm.matching.pools.grouping import pool_view
from haulm.matching.pools.layout import Layout
from haulm.matching.supply import StemArray, Supply
from haulm.matching.windows import Acceptance, Window

_SPARE_WINDOWS = 8
_MOST_KNOWN = 1.25
"""A table may know so many times as many windows as are asked, and those to spare; then it is made for these alone."""
_MOST_MORE = 0.5
"""Put together anew where there are more than so many times as many rows apart."""


@dataclass(frozen=True, eq=False)
class PoolTable:
    """One pool as some windows see it.

    Attributes:
        places: the place of each window among the distinct ones; -1 where it accepts no lot.
        layout: the rows of its levels.
        rows: its table, per block of seasons, shape (rows, lanes) or (rows, 1) [stems].
        kind: the smallest type that holds it and all that can be given of it.
    """

    places: Mapping[Window, int]
    layout: Layout
    rows: tuple[StemArray, ...]
    kind: StemKind

    def serves(self, windows: Set[Window]) -> bool:
        """Whether it knows these windows; others that it knows cost time where windows are counted by flow."""
        return windows <= self.places.keys() and (self.layout.accept is None or len(windows) == len(self.places))


@dataclass(frozen=True, eq=False)
class Tables:
    """The tables of some pools.

    Attributes:
        entries: their windows, pool after pool of the supply.
        number: the numbers of windows.
        place: the entry of each window by its number in each pool, -1 for none, shape (windows + 1, pools).
        base, more: the tables that stand together and those made since, per block of seasons.
        by_flow: the tables of the pools that are counted by flow.
    """

    entries: Entries
    number: Mapping[Window, int]
    place: PlaceArray
    base: tuple[StemArray, ...]
    more: tuple[StemArray, ...]
    by_flow: Mapping[int, PoolTable]

    def entry(self, windows: Sequence[Window], counts: PlaceArray, pools: PlaceArray) -> PlaceArray | None:
        """The entry of each window in each of its pools, one after the other.

        Args:
            windows: the windows.
            counts: the number of pools of each, shape (windows,).
            pools: these pools one after the other, shape (steps,).

        Returns:
            Shape (steps,); None where a table does not serve these windows.
        """
        if self.by_flow:
            asked = asked_windows(windows, counts, pools)
            if not all(table.serves(asked.get(pool, table.places.keys())) for pool, table in self.by_flow.items()):
                return None
        known = np.array([self.number.get(window, -1) for window in windows], np.int64)
        found: PlaceArray = self.place[np.repeat(known, counts), pools]
        return None if (found < 0).any() else found


def asked_windows(windows: Sequence[Window], counts: PlaceArray, pools: PlaceArray) -> dict[int, Set[Window]]:
    """The windows asked of each pool; as `Tables.entry`, shape of counts (windows,), of pools (steps,)."""
    found: dict[int, set[Window]] = {}
    for place, pool in zip(np.repeat(np.arange(len(windows)), counts).tolist(), pools.tolist(), strict=True):
        found.setdefault(pool, set()).add(windows[place])
    return dict(found)


class PoolTables:
    """The tables of a supply's pools, for the windows that were asked of them.

    Attributes:
        blocks: the seasons in blocks; one of one lane where all seasons are alike.
    """

    def __init__(self, acceptance: Acceptance, supply: Supply, engine: Engine | None = None) -> None:
        """Nothing is made until asked; tests may insist on a way to count."""
        self._acceptance = acceptance
        self._supply = supply
        self._engine = engine
        self.blocks = in_blocks(max((pool.width for pool in supply.pools), default=1))
        self._known: dict[int, PoolTable] = {}
        self._base = _Base({}, {}, ())
        self._made: Tables | None = None

    def after(self, acceptance: Acceptance, supply: Supply, changed: Set[int]) -> PoolTables:
        """The same for a supply in which some pools, by their places, are others, and the rest in their places."""
        found = PoolTables(acceptance, supply, self._engine)
        if found.blocks == self.blocks:
            found._known = {pool: table for pool, table in dict(self._known).items() if pool not in changed}
            found._base = self._base
        return found

    def of(self, windows: Sequence[Window], counts: PlaceArray, pools: PlaceArray) -> tuple[Tables, PlaceArray]:
        """Tables that serve some windows, and the entry of each in each of its pools; shapes as in `Tables.entry`.

        Raises:
            CannotCount: a way to count was insisted on that doesn't fit.
        """
        made = self._made
        entry = None if made is None else made.entry(windows, counts, pools)
        if made is None or entry is None:
            for pool, asked in asked_windows(windows, counts, pools).items():
                known = self._known.get(pool)
                if known is None or not known.serves(asked):
                    self._known[pool] = self._table_with(pool, asked, known)
            made = self._made = self._together(dict(sorted(self._known.items())))
            entry = made.entry(windows, counts, pools)
        assert entry is not None, "made for these windows"
        return made, entry

    def _table_with(self, pool: int, asked: Set[Window], known: PoolTable | None) -> PoolTable:
        """The table of a pool for some windows, and those that it knew where they are not too many."""
        if known is not None and known.layout.accept is None:
            every = asked | known.places.keys()
            if len(every) <= len(asked) * _MOST_KNOWN + _SPARE_WINDOWS:
                found = self._table(pool, every)
                if found.layout.accept is None:
                    return found
        return self._table(pool, asked)

    def _table(self, pool: int, windows: Set[Window]) -> PoolTable:
        ordered = sorted(windows, key=lambda window: window.due)
        view = pool_view(self._acceptance.pool(pool), [self._acceptance.mask(pool, window) for window in ordered])
        layout, table = counted(view, self._engine)
        rows = [table if table.shape[1] == 1 else table[:, block] for block in self.blocks]
        most = int(table.max(initial=0)) if layout.accept is None else int(table.sum(axis=0).max(initial=0))
        return PoolTable(dict(zip(ordered, view.place, strict=True)), layout, tuple(rows), kind_for(most))

    def _together(self, known: dict[int, PoolTable]) -> Tables:
        kind = np.result_type(np.int16, *(table.kind for table in known.values())).type
        base = self._base
        more = {pool: table for pool, table in known.items() if base.tables.get(pool) is not table}
        size = sum(len(table.rows[0]) for table in more.values())
        if not base.rows or base.rows[0].dtype != kind or size > _MOST_MORE * len(base.rows[0]):
            self._base = base = self._stacked(known, kind)
            self._known.update(base.tables)
            known, more = base.tables, {}
        apart = self._stacked(more, kind)
        number = {window: place for place, window in enumerate(_every_window(known.values()))}
        pools = len(self._supply.pools)
        return Tables(
            _entries(pools, known, {**base.first, **apart.first}, more),
            number,
            _place(pools, known, number),
            base.rows,
            apart.rows,
            {pool: table for pool, table in known.items() if table.layout.accept is not None},
        )

    def _stacked(self, known: Mapping[int, PoolTable], kind: StemKind) -> _Base:
        """Tables one below the other, which then are parts of the whole."""
        size = sum(len(table.rows[0]) for table in known.values())
        whole = tuple(np.empty((size, block.stop - block.start), kind) for block in self.blocks)
        tables, first, begin = dict(known), dict[int, int](), 0
        for pool, table in known.items():
            first[pool], stop = begin, begin + len(table.rows[0])
            for lanes, part in zip(whole, table.rows, strict=True):
                lanes[begin:stop] = part
            tables[pool] = replace(table, rows=tuple(lanes[begin:stop] for lanes in whole))
            begin = stop
        return _Base(tables, first, whole)


@dataclass(frozen=True, eq=False)
class _Base:
    """Tables that stand together.

    Attributes:
        tables: each by its pool.
        first: the first row of each.
        rows: all, per block of seasons.
    """

    tables: dict[int, PoolTable]
    first: dict[int, int]
    rows: tuple[StemArray, ...]


def _every_window(tables: Iterable[PoolTable]) -> dict[Window, None]:
    return dict.fromkeys(window for table in tables for window in table.places)


def _place(pools: int, known: Mapping[int, PoolTable], number: Mapping[Window, int]) -> PlaceArray:
    """The entry of each window by its number in each pool, shape (windows + 1, pools)."""
    found = np.full((len(number) + 1, pools), -1, np.int64)
    begin = 0
    for pool, table in known.items():
        own = np.array(list(table.places.values()), np.int64)
        found[[number[window] for window in table.places], pool] = np.where(own < 0, -1, own + begin)
        begin += len(table.layout.first) - 1
    return found


def _entries(pools: int, known: Mapping[int, PoolTable], first: Mapping[int, int], more: Collection[int]) -> Entries:
    """The windows of all pools, of tables that begin at some row of the base, or of what is more."""
    size = np.zeros((4, pools), np.int64)
    groups = np.zeros(pools, np.int64)
    for pool, table in known.items():
        layout = table.layout
        accepting = 0 if layout.accept is None else layout.accept.size
        size[:, pool] = len(layout.first) - 1, layout.source.size, len(layout.bands), accepting
        groups[pool] = 0 if layout.accept is None else layout.accept.shape[1]
    begin = np.zeros((4, pools + 1), np.int64)
    np.cumsum(size, axis=1, out=begin[:, 1:])
    row = begin[1]
    layouts = {pool: table.layout for pool, table in known.items()}
    none = np.zeros((0, 3), np.int64)
    layers = np.concatenate([np.zeros((0, 5), np.int64), *(own.layers + row[pool] for pool, own in layouts.items())])
    bands = np.concatenate([none, *(own.bands + row[pool] for pool, own in layouts.items())])
    counts = np.concatenate([none[:, 0], *(np.diff(own.first) for own in layouts.values())])
    accept = [own.accept.ravel() for own in layouts.values() if own.accept is not None]
    is_more = np.zeros(pools, np.bool_)
    is_more[list(more)] = True
    return Entries(
        Windows(numbers(np.cumsum(np.append(0, counts))), *map(numbers, layers.T)),
        numbers(bands[:, 0]),
        numbers(bands[:, 1]),
        numbers(bands[:, 2]),
        numbers(row),
        numbers(begin[2]),
        np.concatenate([none[:, 0], *(own.source + first[pool] for pool, own in layouts.items())]),
        flags(is_more),
        numbers(groups),
        numbers(begin[0]),
        numbers(begin[3]),
        flags(np.concatenate([np.zeros(0, np.bool_), *accept])),
    )
