"""The match by Hall's condition over all subsets of windows: a second reading of its rules, for the judge of promises.

A line can have of a pool what every set of earlier windows, put together with its own, has stems for beyond what those
earlier lines were given. Subsets that cover the same lots are looked at once. No solver, and none of the match's code.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import date

import numpy as np

from haulm.demand.dated_line import DatedLine
from haulm.farm.products import Product
from haulm.matching.allocation.candidates import chosen_by
from haulm.matching.supply import BoolArray, FloatArray, IntArray, Keeping, Pool, Supply
from support.match_judge import may_serve

Name = tuple[str, date, bool]
"""A line as promises know it: its key, its due day, whether it is the spare."""


def name_of(line: DatedLine) -> Name:
    """What tells a line from every other, its own spare too."""
    return (line.line, line.due, line.is_spare)


@dataclass(eq=False)
class _Shelf:
    """One pool: the stems of every set of its lots, a set being the bits of a number."""

    pool: Pool
    stems: IntArray
    known: dict[int, IntArray] = field(default_factory=dict)

    def of(self, lots: int) -> IntArray:
        """Stems in a set of lots in each season, shape (seasons,)."""
        if lots not in self.known:
            chosen = [place for place in range(len(self.stems)) if lots >> place & 1]
            self.known[lots] = self.stems[chosen].sum(axis=0, dtype=np.int32)
        return self.known[lots]

    def most(self, window: int, given: dict[int, IntArray]) -> IntArray:
        """Hall: the most a window can be given while every earlier window keeps its stems, shape (seasons,)."""
        taken = {window: np.zeros(self.stems.shape[1], np.int32)}
        for earlier, stems in given.items():
            for covered, so_far in list(taken.items()):
                wider, more = covered | earlier, so_far + stems
                taken[wider] = np.maximum(taken[wider], more) if wider in taken else more
        left = [self.of(covered) - stems for covered, stems in taken.items()]
        return np.asarray(np.minimum.reduce(left), np.int32)


_Given = dict[int, dict[int, IntArray]]
"""Per shelf and window, what lines were given of it so far."""


@dataclass(frozen=True, eq=False)
class Filled:
    """What a match gives: per line its stems in each season, shape (seasons,)."""

    stems: dict[Name, IntArray]
    full: dict[Name, BoolArray]
    weights: FloatArray

    def sure(self, names: Iterable[Name]) -> float:
        """Weight of the seasons in which all these lines get every stem they ask, 0-1."""
        both = np.logical_and.reduce([self.full[name] for name in names])
        return min(1.0, float(self.weights[both].sum()))


class Ground:
    """What there is to give over the seasons, and how it keeps; asked again and again with other lines."""

    def __init__(self, supply: Supply, keeping: Keeping) -> None:
        self.supply = supply
        self.keeping = keeping
        self._shelves = [_Shelf(pool, _stems_of(pool, supply.seasons)) for pool in supply.pools]
        self._windows: dict[tuple[int, date, str | None, int | None], int] = {}

    def serve(self, lines: Iterable[DatedLine]) -> Filled:
        """Line by line in the strict order, a line before its own spare."""
        asked = sorted(lines, key=lambda line: (*line.precedence, line.is_spare))
        given: _Given = {}
        stems = {name_of(line): self._serve_one(line, asked, given) for line in asked}
        full = {name_of(line): stems[name_of(line)] == line.stems for line in asked}
        return Filled(stems, full, self.supply.weights)

    def _serve_one(self, line: DatedLine, asked: list[DatedLine], given: _Given) -> IntArray:
        left = np.full(self.supply.seasons, line.stems, np.int32)
        taken: list[tuple[int, int, IntArray]] = []
        for product in self._in_turn(line, asked):
            of_this = np.minimum(left, _most_of_one(line))
            for shelf in self._long_enough(line, product):
                window = self._window(shelf, line)
                amount = np.minimum(of_this, self._shelves[shelf].most(window, given.get(shelf, {})))
                taken.append((shelf, window, amount))
                left, of_this = left - amount, of_this - amount
        got = line.stems - left
        served = got >= line.minimum
        for shelf, window, amount in taken:
            before = given.setdefault(shelf, {})
            before[window] = before.get(window, np.int32(0)) + np.where(served, amount, 0).astype(np.int32)
        return np.where(served, got, 0).astype(np.int32)

    def _in_turn(self, line: DatedLine, asked: list[DatedLine]) -> list[Product]:
        """Own product, or a choice's by expected spare less expected demand; then substitutes; nothing twice."""
        names = [] if line.product is None else [line.product]
        if line.choice is not None:
            kept = self.keeping.products
            there = {pool.product for pool in self.supply.pools}
            answers = [p for p in there if chosen_by(line.choice, p, kept[p])]
            names += sorted(answers, key=lambda product: (-self._room(line, product, asked), str(product)))
        return list(dict.fromkeys((*names, *line.substitutes)))

    def _room(self, line: DatedLine, product: Product, asked: list[DatedLine]) -> float:
        """Mean stems a choice could use of a product, less what that product's own lines ask among them."""
        mine = {shelf: self._window(shelf, line) for shelf in self._long_enough(line, product)}
        mean = sum(float(self._shelves[shelf].of(lots) @ self.supply.weights) for shelf, lots in mine.items())
        rivals = sum(
            other.stems
            for other in asked
            if other.product == product
            and any(self._window(shelf, other) & mine.get(shelf, 0) for shelf in self._long_enough(other, product))
        )
        return round(mean - rivals, 6)

    def _long_enough(self, line: DatedLine, product: Product) -> list[int]:
        pools = self.supply.pools
        fits = [at for at, p in enumerate(pools) if p.product == product and p.length_cm >= line.min_length_cm]
        return sorted(fits, key=lambda at: pools[at].length_cm)

    def _window(self, shelf: int, line: DatedLine) -> int:
        """The lots of a pool with stems in some season that may serve a line, as the bits of a number."""
        asked = (shelf, line.due, line.stage, line.max_age_days)
        if asked not in self._windows:
            found = self._shelves[shelf]
            self._windows[asked] = sum(
                1 << place
                for place, lot in enumerate(found.pool.lots)
                if found.stems[place].any() and may_serve(lot, line, found.pool.product, self.keeping)
            )
        return self._windows[asked]


def _most_of_one(line: DatedLine) -> int:
    if line.choice is None:
        return line.stems
    return (line.stems + 1) // 2 if line.max_each is None else line.max_each


def _stems_of(pool: Pool, seasons: int) -> IntArray:
    """Stems by lot and season, shape (lots, seasons)."""
    rows = [np.broadcast_to(block.stems, (len(block.lots), seasons)) for block in pool.blocks]
    return np.concatenate(rows) if rows else np.zeros((0, seasons), np.int32)
