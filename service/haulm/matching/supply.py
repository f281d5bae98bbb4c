"""What there is to give: lots of stems by product, length and season, and how the farm keeps them.

Not for asks (see `haulm.demand`) and not for drawing seasons (see `haulm.forecast`): arrays come in ready made.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, timedelta
from functools import cached_property
from typing import Any

import numpy as np
import numpy.typing as npt

from haulm.farm.products import Product
from haulm.farm.varieties import FieldLife
from haulm.farm.words import Role

IntArray = npt.NDArray[np.int32]
StemArray = npt.NDArray[np.signedinteger[Any]]
"""Whole stems, of two bytes where all are few: half the bytes, half the time."""
BoolArray = npt.NDArray[np.bool_]
IndexArray = npt.NDArray[np.intp]
FloatArray = npt.NDArray[np.float64]

NEVER = np.iinfo(np.int32).max
"""Day number that stands for "no last day"."""


@dataclass(frozen=True, slots=True)
class ProductKeeping:
    """How one product keeps, and what a choice line may know it by.

    Attributes:
        hold_days: days a cut stem keeps in the cool store [d].
        field_life: how long a ready stem may be cut, and in which stages.
        role: what the stem does in a bunch.
        colour: its colour, or None.
        kind: the key of the kind it is a cultivar of.
    """

    hold_days: int
    field_life: FieldLife
    role: Role
    colour: str | None
    kind: str = ""

    def __post_init__(self) -> None:
        assert self.hold_days >= 0, "a stem may leave on the day it is cut"

    @property
    def oldest_days(self) -> int:
        """The most days from ready to leaving: cut on the last day it stands, sent on the last day it keeps [d]."""
        return self.field_life.days + self.hold_days


@dataclass(frozen=True, slots=True)
class Keeping:
    """The farm's rules of cutting and keeping.

    Attributes:
        weekdays: ISO numbers of the farm's cut days, 1 = Monday.
        today: no cut day lies before it.
        condition_days: days a cut stem drinks before it may leave [d].
        products: how each product keeps; every product that has a pool is named.
        extra_cut_days: days, none before today, on which the farm cuts beside its usual weekdays.
    """

    weekdays: frozenset[int]
    today: date
    condition_days: int
    products: Mapping[Product, ProductKeeping]
    extra_cut_days: frozenset[date] = frozenset()

    def __post_init__(self) -> None:
        assert self.weekdays <= frozenset(range(1, 8)), "weekdays are counted from 1, Monday"
        assert self.condition_days >= 0, "a stem leaves after it was cut"
        assert all(day >= self.today for day in self.extra_cut_days), "nothing is cut in the past"


@dataclass(frozen=True, slots=True)
class Lot:
    """Stems of one product and length that became ready on one day.

    Attributes:
        ready: the day they became ready (dried: the day they were dry).
        cut: the day they were cut, or None while they stand; not used for dried stems.
        usable_until: the last due date they may serve, or None.
        key: tells lots of one day apart; it decides ties.
    """

    ready: date
    cut: date | None = None
    usable_until: date | None = None
    key: str = ""

    @property
    def order(self) -> tuple[date, date, str]:
        """Oldest first; standing stems before cut ones of the same ready date; then by key."""
        return (self.ready, self.cut or date.min, self.key)


@dataclass(frozen=True, eq=False)
class Block:
    """Lots and their stems over the seasons.

    Attributes:
        lots: the lots.
        stems: int16 or int32, shape (lots, seasons), or (lots, 1) where every season has the same [stems].
    """

    lots: tuple[Lot, ...]
    stems: StemArray

    def __post_init__(self) -> None:
        assert self.stems.ndim == 2 and self.stems.shape[0] == len(self.lots), "one row of stems per lot"
        assert self.stems.dtype in (np.int16, np.int32), "stems are whole, of two bytes or four"


@dataclass(frozen=True, eq=False)
class LotDays:
    """Day numbers of lots, each of shape (lots,): ready, cut (0 while standing), until (NEVER where there is none)."""

    ready: IntArray
    cut: IntArray
    until: IntArray

    @cached_property
    def rising(self) -> list[int] | None:
        """The ready days, where all lots stand, none has a last day, and they come in order; else None."""
        in_order = bool((self.ready[1:] >= self.ready[:-1]).all())
        plain = in_order and not self.cut.any() and bool((self.until == NEVER).all())
        return self.ready.tolist() if plain else None


@dataclass(frozen=True, eq=False)
class Pool:
    """All stems of one product in one length class, in blocks, so that a forecast and a count need no copying together.

    Attributes:
        product: the product.
        length_cm: lower limit of the length class [cm]; 0 where the length is not stated.
        blocks: forecast, counts and stock; their order doesn't matter.
    """

    product: Product
    length_cm: int
    blocks: tuple[Block, ...]

    def __post_init__(self) -> None:
        assert self.length_cm >= 0, "a length is a lower limit"

    @cached_property
    def lots(self) -> tuple[Lot, ...]:
        """All lots, block after block."""
        return tuple(lot for block in self.blocks for lot in block.lots)

    @cached_property
    def days(self) -> LotDays:
        """Day numbers of all lots, block after block."""
        lots = self.lots
        return LotDays(
            np.array([lot.ready.toordinal() for lot in lots], np.int32),
            np.array([lot.cut.toordinal() if lot.cut else 0 for lot in lots], np.int32),
            np.array([lot.usable_until.toordinal() if lot.usable_until else NEVER for lot in lots], np.int32),
        )

    @property
    def width(self) -> int:
        """1 where all seasons have the same stems, else the number of seasons."""
        return max((block.stems.shape[1] for block in self.blocks), default=1)

    def same_as(self, other: Pool) -> bool:
        """Whether another pool of this product and length holds the same stems in the same lots, in the same blocks."""
        return self.blocks == other.blocks or (
            self.lots == other.lots
            and len(self.blocks) == len(other.blocks)
            and all(np.array_equal(a.stems, b.stems) for a, b in zip(self.blocks, other.blocks, strict=True))
        )

    def season(self, season: int) -> list[int]:
        """Stems per lot in one season, block after block."""
        found: list[int] = []
        for block in self.blocks:
            found.extend(block.stems[:, season if block.stems.shape[1] > 1 else 0].tolist())
        return found


@dataclass(frozen=True, eq=False)
class Supply:
    """All pools over equally many seasons.

    Attributes:
        pools: at most one per product and length; their order doesn't matter.
        seasons: number of seasons; 1 for an expected season.
        weights: shape (seasons,), adding up to 1.
    """

    pools: tuple[Pool, ...]
    seasons: int
    weights: FloatArray

    def __post_init__(self) -> None:
        assert self.weights.shape == (self.seasons,), "one weight per season"
        assert abs(float(self.weights.sum()) - 1) < 1e-6, "weights add up to 1"
        assert all(pool.width in (1, self.seasons) for pool in self.pools), "one column per season, or one for all"
        keys = {(pool.product, pool.length_cm) for pool in self.pools}
        assert len(keys) == len(self.pools), "one pool per product and length"

    @cached_property
    def season_weights(self) -> bytes:
        """The weights, as a key of what depends on them."""
        return self.weights.tobytes()

    @cached_property
    def product_numbers(self) -> npt.NDArray[np.int64]:
        """A number for the product of each pool, shape (pools,)."""
        numbers = {product: number for number, product in enumerate(self.by_product)}
        return np.array([numbers[pool.product] for pool in self.pools], np.int64)

    @cached_property
    def by_product(self) -> dict[Product, tuple[int, ...]]:
        """Places in `pools` of each product's pools, shortest first."""
        places = sorted(range(len(self.pools)), key=lambda place: self.pools[place].length_cm)
        found: dict[Product, tuple[int, ...]] = {}
        for place in places:
            product = self.pools[place].product
            found[product] = (*found.get(product, ()), place)
        return found


def packed(stems: StemArray) -> StemArray:
    """A copy of stems, of any shape, in two bytes each where all are few enough for that."""
    most = np.iinfo(np.int16).max
    return stems.astype(np.int16 if stems.min(initial=0) >= 0 and stems.max(initial=0) <= most else np.int32)


def standing_lots(first_day: date, days: int) -> tuple[Lot, ...]:
    """One standing lot per ready day; share the tuple between all pools of a forecast."""
    return tuple(Lot(first_day + timedelta(days=day)) for day in range(days))
