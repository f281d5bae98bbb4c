"""What each line may take, and in which order: own product, substitutes, a choice's products; shortest length first.

Not for how much it gets: see `match.py`.
"""

from __future__ import annotations

from collections.abc import Iterable, Set
from dataclasses import dataclass
from datetime import date
from typing import NamedTuple

from haulm.demand.dated_line import DatedLine
from haulm.farm.products import Choice, Product
from haulm.matching.expected_spare import ExpectedSpare
from haulm.matching.pool_tables import PoolTables
from haulm.matching.supply import Keeping, ProductKeeping, Supply
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


class _Then(NamedTuple):
    """What choices came to for other lines and the same pools: where their order is the same, so is the wish."""

    orders: dict[tuple[Choice, Window, int], tuple[Product, ...]]
    wishes: dict[int, Wish]


def _names(line: DatedLine, products: Set[Product]) -> bool:
    """Whether a line names one of some products as its own or as a substitute."""
    return line.product in products or not products.isdisjoint(line.substitutes)


class Wishes:
    """The wishes of all lines; the orders of choice lines look at all lines and all seasons, once."""

    def __init__(self, lines: tuple[DatedLine, ...], supply: Supply, keeping: Keeping) -> None:
        """Lines stand in the strict order."""
        self._lines = lines
        self.supply = supply
        self._keeping = keeping
        self.acceptance = Acceptance(supply.pools, keeping)
        self.tables = PoolTables(self.acceptance, supply)
        self.spare = ExpectedSpare(lines, supply, self.acceptance)
        self._orders: dict[tuple[Choice, Window, int], tuple[Product, ...]] = {}
        # By identity: each wish holds its line, so a number stays that line's.
        self._wishes: dict[int, Wish] = {}
        self._of_choices: dict[int, Wish] = {}
        self._pools_for: dict[tuple[Product, Window, int], tuple[int, ...]] = {}
        self._answering: dict[Choice, tuple[Product, ...]] = {}
        self._then = _Then({}, {})

    def after(self, supply: Supply, changed: frozenset[int]) -> Wishes:
        """The wishes of the same lines where some pools are others; what the rest showed is not worked out again.

        Args:
            supply: the pools, those that are unchanged in the places they had.
            changed: places of the pools that are others or new.
        """
        found = Wishes(self._lines, supply, self._keeping)
        found.acceptance = self.acceptance.after(supply)
        found.tables = self.tables.after(found.acceptance, supply, changed)
        found.spare = self.spare.after(supply, found.acceptance, changed)
        if supply.by_product.keys() == self.supply.by_product.keys():
            found._answering = self._answering
        others = {supply.pools[place].product for place in changed}
        found._pools_for = {key: pools for key, pools in dict(self._pools_for).items() if key[0] not in others}
        found._wishes = {key: wish for key, wish in dict(self._wishes).items() if not _names(wish.line, others)}
        found._of_choices = self._choices_untouched(others)
        return found

    def cutting(self, keeping: Keeping) -> Wishes:
        """The wishes of the same lines for the same pools, under rules that differ in extra cut days only."""
        found = Wishes(self._lines, self.supply, keeping)
        found.acceptance = self.acceptance.cutting(keeping)
        found.tables = PoolTables(found.acceptance, self.supply)
        found.spare = self.spare.cutting(found.acceptance)
        found._answering = self._answering
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
        differing = tuple(differing)
        found.acceptance, found.tables = self.acceptance, self.tables
        found.spare = self.spare.with_lines(lines, differing)
        found._wishes = self._wishes
        found._pools_for = self._pools_for
        found._answering = self._answering
        found._of_choices = self._choices_as_before(found.spare, differing)
        found._then = _Then(self._orders, self._of_choices)
        return found

    def _choices_untouched(self, turned: Set[Product]) -> dict[int, Wish]:
        """The wishes of choice lines that accept none of some products, be it as a substitute."""
        known = dict(self._of_choices)
        asked = {wish.line.choice for wish in known.values() if wish.line.choice is not None}
        same = {choice for choice in asked if not self._chooses(choice, turned)}
        return {key: wish for key, wish in known.items() if wish.line.choice in same and not _names(wish.line, turned)}

    def _choices_as_before(self, spare: ExpectedSpare, differing: Iterable[DatedLine]) -> dict[int, Wish]:
        """The wishes of choice lines that find as much to spare of every product as they did."""
        known = dict(self._of_choices)
        asked = dict.fromkeys(wish.line.choice for wish in known.values() if wish.line.choice is not None)
        turned = {line.product for line in differing if line.product in self.supply.by_product}
        picked = {choice: turned.intersection(self._answers(choice)) for choice in asked}
        return {
            key: wish
            for key, wish in known.items()
            if wish.line.choice is not None
            and all(spare.knows(item, wish.window, wish.line.min_length_cm) for item in picked[wish.line.choice])
        }

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
            chosen_from = self._choice_order(line.choice, window, line.min_length_cm)
            then = self._then.wishes.get(id(line))
            if then is not None and chosen_from is self._then.orders.get((line.choice, window, line.min_length_cm)):
                return then
            first += chosen_from
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
        found = self._orders.get(key)
        if found is None:
            products = self._answers(choice)
            spare = [self.spare.of(product, window, min_length_cm) for product in products]
            found = tuple(products[place] for place in sorted(range(len(products)), key=lambda place: -spare[place]))
            then = self._then.orders.get(key)
            if then == found and then is not None:
                found = then
            self._orders[key] = found
        return found

    def _answers(self, choice: Choice) -> tuple[Product, ...]:
        """The products there are that a choice accepts, by key."""
        found = self._answering.get(choice)
        if found is None:
            answers = (product for product in self.supply.by_product if chosen(choice, product, self._keeping))
            found = self._answering[choice] = tuple(sorted(answers, key=str))
        return found
