"""One plan for all gaps: the fewest sowings that close every gap that can be closed, in the room there is.

The choice is an integer program; whoever solves it is passed in, so that the core needs no solver.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date

import numpy as np
import numpy.typing as npt

from haulm.advice.options.placing import fits_alike
from haulm.advice.room import Room, Stay, bench_stay
from haulm.farm.batches import Batch
from haulm.farm.varieties import Crop
from haulm.farm.words import BedKind, Method

FloatArray = npt.NDArray[np.float64]

_PLUGS_COST = 0.2
_PLACE_COST = 1 / 10_000
_OPEN_COST = 1_000.0
"""A gap is left open only where no room is left; then fewer batches, seed before bought plants, and fewer places."""
_CHOSEN = 0.5


@dataclass(frozen=True, slots=True)
class Bundle:
    """Batches that, made all, close a gap: proved by a re-match of their own."""

    gap: str
    batches: tuple[Batch, ...]


@dataclass(frozen=True, eq=False)
class Program:
    """Choose x of noughts and ones: make cost @ x least, rows @ x no more than most.

    Attributes:
        cost: shape (variables,), in batches (a number without unit).
        rows: shape (constraints, variables); metres, trays or counts.
        most: shape (constraints,), in the unit of its row: metres, trays or counts.
    """

    cost: FloatArray
    rows: FloatArray
    most: FloatArray


Solve = Callable[[Program], FloatArray | None]
"""The best x of a program, shape (variables,) of shares of 1; None where none was found."""


def chosen_batches(
    bundles: Sequence[Bundle], room: Room, crops: Mapping[str, Crop], solve: Solve
) -> tuple[tuple[Batch, ...], frozenset[str]]:
    """The batches to make, each with a bed that has room, and the keys of the gaps that bundles of them close.

    Args:
        bundles: what closes each gap; of batches of one key the larger stands for the smaller.
        room: beds and benches under the plan.
        crops: every crop by key.
        solve: solves the program.
    """
    if not bundles:
        return (), frozenset()
    columns = _Columns(bundles, room, crops)
    found = solve(columns.program())
    if found is None:
        return (), frozenset()
    batches = tuple(site.batch for site, share in zip(columns.sites, found.tolist(), strict=False) if share > _CHOSEN)
    open_gaps = {gap for gap, column in columns.open_column.items() if found[column] > _CHOSEN}
    return tuple(sorted(batches, key=_by_day)), frozenset(columns.open_column.keys() - open_gaps)


@dataclass(frozen=True, slots=True)
class _Site:
    """A batch in one bed."""

    batch: Batch
    stays: tuple[Stay, ...]


@dataclass(frozen=True, slots=True)
class _Row:
    """One constraint: numbers by column, and the most they may add up to."""

    numbers: Mapping[int, float]
    most: float


@dataclass
class _Columns:
    """The variables: each batch in each bed; each bundle; each gap left open."""

    bundles: Sequence[Bundle]
    room: Room
    crops: Mapping[str, Crop]
    sites: list[_Site] = field(default_factory=list[_Site])
    open_column: dict[str, int] = field(default_factory=dict[str, int])

    def __post_init__(self) -> None:
        batches = dict.fromkeys(batch for bundle in self.bundles for batch in bundle.batches)
        self.sites = [site for batch in batches for site in self._sites(batch)]
        gaps = dict.fromkeys(bundle.gap for bundle in self.bundles)
        first = len(self.sites) + len(self.bundles)
        self.open_column = {gap: first + number for number, gap in enumerate(gaps)}

    def program(self) -> Program:
        """The integer program over all columns."""
        width = len(self.sites) + len(self.bundles) + len(self.open_column)
        rows = [*self._one_of_a_key(), *self._needed(), *self._closed(), *self._in_beds(), *self._on_benches()]
        table = np.zeros((len(rows), width))
        for number, row in enumerate(rows):
            for column, amount in row.numbers.items():
                table[number, column] = amount
        cost = np.zeros(width)
        cost[: len(self.sites)] = [_cost(site.batch) for site in self.sites]
        cost[list(self.open_column.values())] = _OPEN_COST
        return Program(cost, table, np.array([row.most for row in rows], float))

    def _sites(self, batch: Batch) -> Iterator[_Site]:
        crop = self.crops[batch.variety]
        bench = bench_stay(batch, crop)
        trays = () if bench is None else (bench,)
        if batch.bed is None:
            yield _Site(batch, trays)
            return
        dates = self.room.dates(batch, crop)
        assert dates is not None, "a batch in a bed has dates"
        for fit in fits_alike(batch, self.room, self.crops):
            placed = replace(batch, bed=fit.bed, metres=fit.metres)
            yield _Site(placed, (*trays, Stay(fit.bed, fit.metres, *dates)))

    def _one_of_a_key(self) -> Iterator[_Row]:
        """Of batches of one key, in whatever size and bed, one at most."""
        for key in dict.fromkeys(site.batch.key for site in self.sites):
            yield _Row({column: 1.0 for column, site in enumerate(self.sites) if site.batch.key == key}, 1.0)

    def _needed(self) -> Iterator[_Row]:
        """A bundle counts only where each of its batches is made, as large or larger."""
        for number, bundle in enumerate(self.bundles):
            for batch in bundle.batches:
                stands = {
                    column: -1.0
                    for column, site in enumerate(self.sites)
                    if site.batch.key == batch.key and site.batch.places >= batch.places
                }
                yield _Row({len(self.sites) + number: 1.0, **stands}, 0.0)

    def _closed(self) -> Iterator[_Row]:
        """Every gap is closed by a bundle or left open."""
        for gap, column in self.open_column.items():
            closing = {
                len(self.sites) + number: -1.0 for number, bundle in enumerate(self.bundles) if bundle.gap == gap
            }
            yield _Row({column: -1.0, **closing}, -1.0)

    def _in_beds(self) -> Iterator[_Row]:
        for bed in self.room.beds:
            if bed.kind is not BedKind.BENCH and bed.metres is not None:
                yield from self._capacity(bed.key, self.room.in_beds, bed.metres)

    def _on_benches(self) -> Iterator[_Row]:
        if self.room.trays is not None:
            yield from self._capacity("", self.room.on_benches, self.room.trays)

    def _capacity(self, place: str, taken: Sequence[Stay], holds: float) -> Iterator[_Row]:
        """What is new in a place takes no more than is free, on every day on which something new or old begins."""
        new = [(column, stay) for column, site in enumerate(self.sites) for stay in site.stays if stay.place == place]
        here = [stay for stay in taken if stay.place == place]
        for day in sorted({stay.first for stay in here} | {stay.first for _, stay in new}):
            numbers = {column: stay.amount for column, stay in new if _covers(stay, day)}
            if numbers:
                free = holds - sum(stay.amount for stay in here if _covers(stay, day))
                yield _Row(numbers, max(free, 0.0))


def _covers(stay: Stay, day: date) -> bool:
    return stay.first <= day <= stay.last


def _cost(batch: Batch) -> float:
    return 1 + (_PLUGS_COST if batch.method is Method.PLUGS else 0.0) + _PLACE_COST * batch.places


def _by_day(batch: Batch) -> tuple[date, str]:
    return (batch.sow_date or batch.plant_out_date or date.max, batch.key)
