"""One pass down the strict order: each line takes what it may, pool by pool, in all seasons at once.

Because what an earlier line took of each pool stays fixed, pools are independent when the next line comes: it takes
min(still wanted, most of one product, what can still be given in its window) from each pool in turn. So no flow over
products is needed, only the exact count per pool.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence, Set
from dataclasses import dataclass
from typing import NamedTuple, Protocol

import numpy as np

from haulm.demand.dated_line import DatedLine
from haulm.farm.products import Product
from haulm.kept import answers
from haulm.matching.counting import Count, Engine, exact_count
from haulm.matching.grouping import pool_view
from haulm.matching.result import Take
from haulm.matching.supply import IntArray, Supply
from haulm.matching.windows import Window
from haulm.matching.wishes import Wish, Wishes

NO_STEMS = np.zeros(1, np.int32)


def served(lines: Sequence[DatedLine], wishes: Wishes, engine: Engine | None = None) -> tuple[tuple[Take, ...], ...]:
    """What lines take, one after the other.

    Args:
        lines: the lines to serve, in the strict order.
        wishes: what each may take, of which supply.
        engine: insist on one way to count; None takes the narrowest that fits each pool.

    Returns:
        Per line, its takes.

    Raises:
        CannotCount: an engine was insisted on that doesn't fit.
    """
    found = [wishes.of(line) for line in lines]
    counts, windows = _counts(found, wishes, engine)
    asks = [asks_of(wish, windows, wishes.supply) for wish in found]
    _narrow(found, asks, counts, {pool: 1 + max(known.values()) for pool, known in windows.items()})
    return tuple(serve_line(wish, steps, counts) for wish, steps in zip(found, asks, strict=True))


class Ask(NamedTuple):
    """One step of a line: a pool, the window's place in that pool, the product, the most it may ask there."""

    pool: int
    window: int
    product: Product
    wanted: int


def _counts(
    wishes: Sequence[Wish], known: Wishes, engine: Engine | None
) -> tuple[dict[int, Count], dict[int, dict[Window, int]]]:
    """A count per pool that somebody may take from, and the place of each window in it."""
    asked: dict[int, dict[Window, None]] = {}
    for wish in wishes:
        for pool in wish.pools:
            asked.setdefault(pool, {})[wish.window] = None
    counts: dict[int, Count] = {}
    places: dict[int, dict[Window, int]] = {}
    for pool, windows in asked.items():
        if engine is None:
            blank = known.blanks.of(pool, windows)
            counts[pool], places[pool] = blank.afresh(), dict(blank.places)
            continue
        ordered = sorted(windows, key=lambda window: window.due)
        view = pool_view(known.supply.pools[pool], [known.acceptance.mask(pool, window) for window in ordered])
        counts[pool] = exact_count(view, engine)
        places[pool] = dict(zip(ordered, view.place, strict=True))
    return counts, places


def asks_of(wish: Wish, windows: Mapping[int, Mapping[Window, int]], supply: Supply) -> list[Ask]:
    """The steps of a line, given the place of each window in each pool's count."""
    stems = wish.line.stems
    wanted = stems if wish.most_each is None else min(stems, wish.most_each)
    return [Ask(pool, windows[pool][wish.window], supply.pools[pool].product, wanted) for pool in wish.pools]


def _narrow(
    wishes: Sequence[Wish], asks: list[list[Ask]], counts: Mapping[int, Count], sizes: Mapping[int, int]
) -> None:
    """Tell each count the most it can be asked; a line that is sure of its first pool asks no other."""
    wanted = _wanted([ask for steps in asks for ask in steps])
    touched: set[int] = set(counts)
    while touched:
        for pool in touched:
            known = wanted[pool]
            counts[pool].narrow([known.get(window, 0) for window in range(sizes[pool])])
        touched = set()
        for place, steps in enumerate(asks):
            if len(steps) > 1 and steps[0].wanted == wishes[place].line.stems and _sure(steps[0], counts):
                for ask in steps[1:]:
                    wanted[ask.pool][ask.window] -= ask.wanted
                    touched.add(ask.pool)
                asks[place] = steps[:1]


def _wanted(asks: Sequence[Ask]) -> dict[int, dict[int, int]]:
    """Stems wanted per pool and window."""
    found: dict[int, dict[int, int]] = {}
    for ask in asks:
        windows = found.setdefault(ask.pool, {})
        windows[ask.window] = windows.get(ask.window, 0) + ask.wanted
    return found


def _sure(ask: Ask, counts: Mapping[int, Count]) -> bool:
    return counts[ask.pool].is_safe(ask.window)


class Giving(Protocol):
    """What serving a line asks of a pool's count: see `Count`."""

    def most(self, window: int) -> IntArray | None:
        """Most stems that can still be given, shape (seasons,) or (1,); None where nothing can bind."""

    def give(self, window: int, stems: IntArray) -> None:
        """Give stems, at most `most`, shape (seasons,) or (1,)."""


class Counts(Protocol):
    """The counts of pools."""

    def __getitem__(self, pool: int, /) -> Giving:
        """The count of a pool."""
        ...

    def get(self, pool: int, /) -> Giving | None:
        """The count of a pool, where there is one."""


@dataclass(frozen=True, eq=False, slots=True)
class Before:
    """What a line took in an earlier match: it takes the same again as long as nothing has turned.

    Attributes:
        pools: the pools that it might take from, in order.
        takes: what it took, by pool.
        turned: pools that are others, or of which an earlier line takes otherwise now.
    """

    pools: tuple[int, ...]
    takes: Mapping[int, Take]
    turned: Set[int]

    def has(self, step: int, pool: int) -> bool:
        """Whether a pool comes at the same step as before."""
        return step < len(self.pools) and self.pools[step] == pool

    def of(self, pool: int) -> Take:
        """What it took of a pool."""
        return self.takes.get(pool) or Take(pool, NO_STEMS)


def serve_line(wish: Wish, steps: Sequence[Ask], counts: Counts, before: Before | None = None) -> tuple[Take, ...]:
    """Serve one line: from each pool in turn as much as it may, then the minimum, then book it.

    What it takes as before is the very same object.
    """
    if before is None and _is_sure(wish, steps, counts):
        # Nothing can bind, so nothing need be booked either.
        return (Take(steps[0].pool, _whole(wish.line.stems)),)
    parts = list(_parts(wish, steps, counts, before))
    if wish.line.minimum > 0:
        parts = _worth_sending(wish.line.minimum, parts)
    takes: list[Take] = []
    for ask, take, is_known in parts:
        if take.stems.size > 1 or take.stems[0]:
            count = counts.get(ask.pool) if is_known else counts[ask.pool]
            if count is not None:
                count.give(ask.window, take.stems)
            takes.append(take)
    return tuple(takes)


class _Part(NamedTuple):
    """What a line takes in one step, and whether that was known without asking the pool's count."""

    ask: Ask
    take: Take
    is_known: bool


def _is_sure(wish: Wish, steps: Sequence[Ask], counts: Counts) -> bool:
    """Whether a line gets all it asks of its first pool, whatever the others were given."""
    if not steps or not steps[0].wanted == wish.line.stems > 0:
        return False
    return counts[steps[0].pool].most(steps[0].window) is None


def _parts(wish: Wish, steps: Sequence[Ask], counts: Counts, before: Before | None) -> Iterator[_Part]:
    """What a line takes of each pool; a pool that is not asked needs no count."""
    want = _whole(wish.line.stems)
    limit = None if wish.most_each is None else _Limit(wish.most_each)
    for step, ask in enumerate(steps):
        then = before.of(ask.pool) if before is not None and before.has(step, ask.pool) else None
        is_known = then is not None and before is not None and ask.pool not in before.turned
        if then is not None and is_known:
            take = then
        else:
            stems = _least(want, counts[ask.pool].most(ask.window))
            if limit is not None:
                stems = np.minimum(stems, limit.of(ask.product))
            take = then if then is not None and same_stems(stems, then.stems) else Take(ask.pool, _compact(stems))
        if take is not then:
            before = None
        yield _Part(ask, take, is_known)
        if limit is not None:
            limit.take(ask.product, take.stems)
        want = want - take.stems
        if not np.count_nonzero(want):
            return


class _Limit:
    """The most stems of one product; the pools of a product come one after the other."""

    def __init__(self, most_each: int) -> None:
        self._most_each = most_each
        self._product: Product | None = None
        self._left = NO_STEMS

    def of(self, product: Product) -> IntArray:
        """Stems of a product that may still be taken, shape (seasons,) or (1,)."""
        if product != self._product:
            self._product, self._left = product, _whole(self._most_each)
        return self._left

    def take(self, product: Product, stems: IntArray) -> None:
        """Take stems of a product, shape (seasons,) or (1,)."""
        self._left = self.of(product) - stems


def _worth_sending(minimum: int, parts: list[_Part]) -> list[_Part]:
    """Nothing in the seasons in which too little comes together."""
    total: IntArray = sum((part.take.stems for part in parts), NO_STEMS)
    worth = total >= minimum
    if worth.all():
        return parts
    return [
        part._replace(take=Take(part.ask.pool, _compact(np.where(worth, part.take.stems, np.int32(0)))))
        for part in parts
    ]


def _least(want: IntArray, most: IntArray | None) -> IntArray:
    return want if most is None else np.minimum(want, most)


def same_stems(stems: IntArray, then: IntArray) -> bool:
    """Whether stems are the same in every season, each shape (seasons,) or (1,); bytes compare quicker than numbers."""
    if stems.size == then.size:
        return stems.tobytes() == then.tobytes()
    return bool((stems == then).all())


@answers(1024)
def _whole(stems: int) -> IntArray:
    """The same stems in every season, never to be written to, shape (1,)."""
    found = np.array([stems], np.int32)
    found.flags.writeable = False
    return found


def _compact(stems: IntArray) -> IntArray:
    """One number where every season has the same."""
    if stems.size == 1 or stems[0] != stems[-1]:
        return stems
    one = stems[:1].copy()
    return one if one.tobytes() * stems.size == stems.tobytes() else stems
