"""What each line may take, and in which order: own product, substitutes, a choice's products; shortest length first.

Not for how much it gets: see `match.py`.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from functools import cached_property

import numpy as np

from haulm.demand.dated_line import DatedLine
from haulm.farm.products import Choice, Product
from haulm.matching.blank_counts import BlankCounts
from haulm.matching.supply import Block, BoolArray, FloatArray, Keeping, ProductKeeping, Supply
from haulm.matching.windows import Acceptance, Window, window_of


@dataclass(frozen=True, slots=True)
class Wish:
    """What one line may take.

    Attributes:
        line: the line.
        window: its window.
        pools: places of the pools it may take from in `Supply.pools`, in the order in which it takes.
        most_each: the most stems of one product, or None for no such limit.
    """

    line: DatedLine
    window: Window
    pools: tuple[int, ...]
    most_each: int | None


def strict_order(lines: Iterable[DatedLine]) -> tuple[DatedLine, ...]:
    """Lines in the order in which they are served."""
    return tuple(sorted(lines, key=place_in_order))


def place_in_order(line: DatedLine) -> tuple[tuple[int, date, date, str, str], bool]:
    """What lines are sorted by; a line comes before its own spare should their classes tie."""
    return (line.precedence, line.is_spare)


def most_each(line: DatedLine) -> int | None:
    """The most stems of one product that a line takes: for a choice, half the line rounded up unless it says."""
    if line.choice is None:
        return None
    return line.max_each if line.max_each is not None else (line.stems + 1) // 2


def products_named(line: DatedLine, keeping: Keeping, products: Iterable[Product]) -> tuple[Product, ...]:
    """Every product a line may take, once each; those of a choice, found among `products`, by key."""
    first = [line.product] if line.product is not None else []
    if line.choice is not None:
        first += sorted(item for item in products if chosen(line.choice, item, keeping))
    return tuple(dict.fromkeys((*first, *line.substitutes)))


def chosen(choice: Choice, product: Product, keeping: Keeping) -> bool:
    """Whether a choice accepts a product."""
    return chosen_by(choice, product, keeping.products[product])


def chosen_by(choice: Choice, product: Product, kept: ProductKeeping) -> bool:
    """Whether a choice accepts a product of this role and colour."""
    return choice.accepts(product, role=kept.role, colour=kept.colour)


class Wishes:
    """The wishes of all lines; the orders of choice lines look at all lines and all seasons, once."""

    def __init__(self, lines: tuple[DatedLine, ...], supply: Supply, keeping: Keeping) -> None:
        """Lines stand in the strict order."""
        self._lines = lines
        self.supply = supply
        self._keeping = keeping
        self.acceptance = Acceptance(supply.pools, keeping)
        self.blanks = BlankCounts(self.acceptance)
        self._orders: dict[tuple[Choice, Window, int], tuple[Product, ...]] = {}
        self._spare: dict[tuple[Product, Window, int], float] = {}
        # By identity: each wish holds its line, so a number stays that line's.
        self._wishes: dict[int, Wish] = {}
        self._of_choices: dict[int, Wish] = {}
        self._pools_for: dict[tuple[Product, Window, int], tuple[int, ...]] = {}
        self._expected: dict[Block, FloatArray] = {}
        self._masks: dict[int, BoolArray] = {}
        self._answering: dict[Choice, tuple[Product, ...]] = {}

    def after(self, supply: Supply, changed: frozenset[int]) -> Wishes:
        """The wishes of the same lines where some pools are others; what the rest showed is not worked out again.

        Args:
            supply: the pools, those that are unchanged in the places they had.
            changed: places of the pools that are others or new.
        """
        found = Wishes(self._lines, supply, self._keeping)
        others = {supply.pools[place].product for place in changed}
        found.acceptance = self.acceptance.after(supply)
        found.blanks = self.blanks.after(found.acceptance, changed)
        blocks = {block for pool in supply.pools for block in pool.blocks}
        found._expected = {block: mean for block, mean in dict(self._expected).items() if block in blocks}
        found._masks = {place: masks for place, masks in self._masks.items() if place not in changed}
        found._spare = {key: spare for key, spare in self._spare.items() if key[0] not in others}
        found._own_demand = self._own_demand
        if supply.by_product.keys() == self.supply.by_product.keys():
            found._answering = self._answering
        return found

    def cutting(self, keeping: Keeping) -> Wishes:
        """The wishes of the same lines for the same pools, under rules that differ in extra cut days only."""
        found = Wishes(self._lines, self.supply, keeping)
        found.acceptance = self.acceptance.cutting(keeping)
        found.blanks = BlankCounts(found.acceptance)
        found._expected = self._expected
        found._answering = self._answering
        found._own_demand = self._own_demand
        return found

    def with_lines(self, lines: tuple[DatedLine, ...], differing: Iterable[DatedLine] | None = None) -> Wishes:
        """The wishes of other lines for the same pools; only what the lines that differ ask is worked out again.

        Args:
            lines: all lines that now stand, in the strict order.
            differing: the lines that stand in one of both only; looked for where it is not known.
        """
        found = Wishes(lines, self.supply, self._keeping)
        if differing is None:
            differing = set(lines) ^ set(self._lines)
        turned = {line.product for line in differing if line.product is not None}
        pools = self.supply.pools
        found.acceptance, found.blanks = self.acceptance, self.blanks
        found._expected = self._expected
        found._masks = {place: rows for place, rows in dict(self._masks).items() if pools[place].product not in turned}
        found._spare = {key: spare for key, spare in dict(self._spare).items() if key[0] not in turned}
        found._wishes = self._wishes
        found._pools_for = self._pools_for
        found._answering = self._answering
        found._of_choices = {
            key: wish
            for key, wish in dict(self._of_choices).items()
            if wish.line.choice is not None and not self._chooses(wish.line.choice, turned)
        }
        return found

    def _chooses(self, choice: Choice, products: Iterable[Product]) -> bool:
        return any(chosen(choice, product, self._keeping) for product in products)

    def of(self, line: DatedLine) -> Wish:
        """The wish of one line; pools of which it accepts no lot are left out."""
        known = self._wishes if line.choice is None else self._of_choices
        found = known.get(id(line))
        if found is None:
            found = known[id(line)] = self._wish(line)
        return found

    def _wish(self, line: DatedLine) -> Wish:
        window = window_of(line)
        first = [line.product] if line.product is not None else []
        if line.choice is not None:
            first += self._choice_order(line.choice, window, line.min_length_cm)
        products = dict.fromkeys((*first, *line.substitutes))
        pools = [place for product in products for place in self._accepting(product, window, line.min_length_cm)]
        return Wish(line, window, tuple(pools), most_each(line))

    def _accepting(self, product: Product, window: Window, min_length_cm: int) -> tuple[int, ...]:
        """The pools of a product that are long enough and hold a lot that the window accepts, shortest first."""
        key = (product, window, min_length_cm)
        found = self._pools_for.get(key)
        if found is None:
            places = self._long_enough(product, min_length_cm)
            found = tuple(place for place in places if self.acceptance.mask(place, window).any())
            self._pools_for[key] = found
        return found

    def _long_enough(self, product: Product, min_length_cm: int) -> tuple[int, ...]:
        places = self.supply.by_product.get(product, ())
        return tuple(place for place in places if self.supply.pools[place].length_cm >= min_length_cm)

    def _choice_order(self, choice: Choice, window: Window, min_length_cm: int) -> tuple[Product, ...]:
        """Products by expected stems in the window less expected demand there, most first, then by key."""
        key = (choice, window, min_length_cm)
        if key not in self._orders:
            spare = {product: self._expected_spare(product, window, min_length_cm) for product in self._answers(choice)}
            self._orders[key] = tuple(sorted(spare, key=lambda product: (-spare[product], str(product))))
        return self._orders[key]

    def _answers(self, choice: Choice) -> tuple[Product, ...]:
        """The products there are that a choice accepts."""
        found = self._answering.get(choice)
        if found is None:
            found = tuple(product for product in self.supply.by_product if chosen(choice, product, self._keeping))
            self._answering[choice] = found
        return found

    def _expected_spare(self, product: Product, window: Window, min_length_cm: int) -> float:
        """Mean stems in a window less the stems of the lines of that product which can use some of them."""
        key = (product, window, min_length_cm)
        if key not in self._spare:
            self._spare[key] = self._mean_less_asked(product, window, min_length_cm)
        return self._spare[key]

    def _mean_less_asked(self, product: Product, window: Window, min_length_cm: int) -> float:
        places = self._long_enough(product, min_length_cm)
        there = {place: self.acceptance.mask(place, window) & (self.mean_stems(place) > 0) for place in places}
        stems = sum(float(self.mean_stems(place)[mask].sum()) for place, mask in there.items())
        asks = self._own_demand.get(product, {})
        shares = np.zeros(len(asks), np.bool_)
        for place, mask in there.items():
            shares |= (self._own_masks(place, tuple(asks)) & mask).any(axis=1)
        asked = sum(wanted for wanted, share in zip(asks.values(), shares.tolist(), strict=True) if share)
        return round(stems - asked, 6)

    def _own_masks(self, place: int, asks: tuple[tuple[Window, int], ...]) -> BoolArray:
        """Lots of a pool that the product's own lines accept, shape (asks, lots); none where it is too short."""
        if place not in self._masks:
            pool = self.supply.pools[place]
            rows = [self.acceptance.mask(place, other) & (pool.length_cm >= length) for other, length in asks]
            self._masks[place] = np.array(rows, np.bool_).reshape(len(asks), len(pool.lots))
        return self._masks[place]

    def mean_stems(self, place: int) -> FloatArray:
        """Weighted mean stems of each lot of a pool, shape (lots,)."""
        parts = [self._mean_of(block) for block in self.supply.pools[place].blocks]
        return parts[0] if len(parts) == 1 else np.concatenate([*parts, np.zeros(0)])

    def _mean_of(self, block: Block) -> FloatArray:
        if block not in self._expected:
            weights = self.supply.weights
            one_season = block.stems.shape[1] != weights.size
            # Not `@`: a product of this size wakes threads, which then wait for the next one at full speed.
            mean = block.stems[:, 0] if one_season else np.einsum("ls,s->l", block.stems, weights)
            self._expected[block] = mean.astype(np.float64)
        return self._expected[block]

    @cached_property
    def _own_demand(self) -> dict[Product, dict[tuple[Window, int], int]]:
        """Per product, the stems of the lines that name it as their own, by window and least length."""
        found: dict[Product, dict[tuple[Window, int], int]] = {}
        for line in self._lines:
            if line.product is not None:
                asks = found.setdefault(line.product, {})
                key = (window_of(line), line.min_length_cm)
                asks[key] = asks.get(key, 0) + line.stems
        return found
