"""What each line may take, and in which order: own product, substitutes, a choice's products; shortest length first.

A choice's products come by what each is expected to have left, most first. Not for how much a line gets: `match.py`.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field
from datetime import date
from functools import cached_property, partial
from typing import Protocol

from haulm.demand.dated_line import DatedLine
from haulm.farm.products import Choice, Product
from haulm.farm.quantities import half_of
from haulm.kept import Kept, answers
from haulm.matching.pools.counting import Engine
from haulm.matching.pools.stock import ProductStock, ProductStocks, StockAsked, stock_asked, stocks_of
from haulm.matching.pools.tables import PoolTables
from haulm.matching.supply import FloatArray, Keeping, ProductKeeping, Supply
from haulm.matching.windows import Acceptance, Window

Order = tuple[int, ...]
"""An order of the products that a choice accepts: their places in the order of their keys."""

_NOBODY: frozenset[DatedLine] = frozenset()
_LINES_KEPT, _CHOICES_KEPT, _ORDERS_KEPT = 16_384, 1024, 1024


@dataclass(frozen=True, slots=True)
class Candidates:
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


class Limited(Protocol):
    """A line, dated or not, as its limit per product is found."""

    @property
    def stems(self) -> int:
        """Stems asked."""
        ...

    @property
    def choice(self) -> Choice | None:
        """What a choice line accepts, or None."""
        ...

    @property
    def max_each(self) -> int | None:
        """The most stems of one product that it says, or None."""
        ...


def most_each(line: Limited) -> int | None:
    """The most stems of one product that a line takes: for a choice, half the line rounded up unless it says."""
    if line.choice is None:
        return None
    return line.max_each if line.max_each is not None else half_of(line.stems)


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
    """Whether a choice accepts a product of this role, colour and kind."""
    return choice.accepts(product, role=kept.role, colour=kept.colour, kind=kept.kind)


class Offer:
    """All pools under some rules, as lines see them, whichever lines there are.

    Attributes:
        supply: the pools.
        acceptance: the lots that windows accept.
        tables: the pools as tables of numbers, with nothing given.
        shelves: the pools by product.
        answering: the products there are that a choice accepts, by key.
        wish: the wish of a line, the products of its choice in an order.
        orders: the orders in which lines of a choice take its products, by what they ask.
    """

    def __init__(
        self,
        supply: Supply,
        acceptance: Acceptance,
        tables: PoolTables,
        before: Offer | None = None,
        changed: frozenset[int] | None = None,
    ) -> None:
        """Nothing is worked out until asked; what rests on products that are as before has been already.

        Args:
            supply: the pools.
            acceptance: the lots that windows accept.
            tables: the pools as tables.
            before: what there was, whose shelves of unchanged products are taken over.
            changed: places of the pools that are others or new, all others being where they were under the same rules:
                then candidates that name none of them are taken over too. None: no wish is.
        """
        self.supply = supply
        self.acceptance = acceptance
        self.tables = tables
        self.shelves: ProductStocks = stocks_of(supply, acceptance.keeping, None if before is None else before.shelves)
        by_product = self.shelves.by_product
        self.answering = answers(_CHOICES_KEPT)(partial(_answering, supply, acceptance.keeping))
        self._wishes: Kept[tuple[DatedLine, Order], Candidates] = Kept(_LINES_KEPT)
        candidate: Callable[[DatedLine, Order], Candidates] = partial(_wish, by_product, self.answering, acceptance)
        if before is not None and changed is not None:
            products = frozenset(supply.pools[place].product for place in changed)
            # Of the offer before only its candidates are held on to, not what it was made of.
            candidate = partial(_as_before, candidate, before._wishes, partial(_names_any, products, self.answering))
        self.candidate = answers(_LINES_KEPT)(partial(_noted, candidate, self._wishes))
        self.orders = answers(_ORDERS_KEPT)(partial(_orders, by_product, self.answering, acceptance))


_Owns = tuple[frozenset[DatedLine], ...]
"""The lines that name each of some products as their own."""


@dataclass(frozen=True, eq=False)
class Lines:
    """Lines in the strict order, and who of them names what."""

    every: tuple[DatedLine, ...]

    @cached_property
    def owning(self) -> dict[Product, frozenset[DatedLine]]:
        """The lines that name each product as their own."""
        found: dict[Product, list[DatedLine]] = {}
        for line in self.every:
            if line.product is not None:
                found.setdefault(line.product, []).append(line)
        return {product: frozenset(lines) for product, lines in found.items()}

    @cached_property
    def choosing(self) -> dict[Choice, dict[DatedLine, StockAsked]]:
        """What the lines of each choice ask."""
        found: dict[Choice, dict[DatedLine, StockAsked]] = {}
        for line in self.every:
            if line.choice is not None:
                found.setdefault(line.choice, {})[line] = stock_asked(line)
        return found


@dataclass(frozen=True, eq=False)
class AllCandidates:
    """The candidates of all lines; the orders of choice lines look at all lines and all seasons.

    Attributes:
        lines: the lines.
        offer: what they may take from.
    """

    lines: Lines
    offer: Offer
    _known: Kept[Choice, dict[DatedLine, Order]] = field(default_factory=lambda: Kept(_CHOICES_KEPT))

    def after(self, supply: Supply, changed: frozenset[int]) -> AllCandidates:
        """The candidates of the same lines where some pools are others.

        Args:
            supply: the pools, those that are unchanged in the places they had.
            changed: places of the pools that are others or new.
        """
        acceptance = self.acceptance.after(supply)
        tables = self.tables.after(acceptance, supply, changed)
        return AllCandidates(self.lines, Offer(supply, acceptance, tables, self.offer, changed))

    def cutting(self, keeping: Keeping) -> AllCandidates:
        """The candidates of the same lines for the same pools, under rules that differ in extra cut days only."""
        acceptance = self.acceptance.cutting(keeping)
        return AllCandidates(
            self.lines, Offer(self.supply, acceptance, PoolTables(acceptance, self.supply), self.offer)
        )

    def with_lines(self, lines: tuple[DatedLine, ...]) -> AllCandidates:
        """The candidates of other lines, in the strict order, for the same pools."""
        return AllCandidates(Lines(lines), self.offer)

    @property
    def supply(self) -> Supply:
        """The pools."""
        return self.offer.supply

    @property
    def acceptance(self) -> Acceptance:
        """The lots that windows accept."""
        return self.offer.acceptance

    @property
    def tables(self) -> PoolTables:
        """The pools as tables of numbers, with nothing given."""
        return self.offer.tables

    def of(self, line: DatedLine) -> Candidates:
        """The wish of one line; pools of which it accepts no lot are left out."""
        return self.offer.candidate(line, () if line.choice is None else self._orders(line.choice)[line])

    def mean_stems(self, place: int) -> FloatArray:
        """Weighted mean stems of each lot of a pool, by its place, shape (lots,)."""
        return self.offer.shelves.by_product[self.supply.pools[place].product].mean_stems_in(place)

    @cached_property
    def in_order(self) -> tuple[Candidates, ...]:
        """The candidates of all lines, in the strict order."""
        orders: dict[DatedLine, Order] = {}
        for choice in self.lines.choosing:
            orders |= self._orders(choice)
        candidate = self.offer.candidate
        return tuple(candidate(line, () if line.choice is None else orders[line]) for line in self.lines.every)

    def _orders(self, choice: Choice) -> dict[DatedLine, Order]:
        """The order in which each line of a choice takes the products that it accepts."""
        return self._known.of(choice, lambda: self._worked_out(choice))

    def _worked_out(self, choice: Choice) -> dict[DatedLine, Order]:
        asks = self.lines.choosing[choice]
        owns = tuple(self.lines.owning.get(product, _NOBODY) for product in self.offer.answering(choice))
        orders = self.offer.orders(choice, frozenset(asks.values()), owns)
        return {line: orders[ask] for line, ask in asks.items()}


def all_candidates(
    lines: tuple[DatedLine, ...], supply: Supply, keeping: Keeping, engine: Engine | None = None
) -> AllCandidates:
    """The candidates of lines, in the strict order, worked out from nothing; a way to count may be insisted on."""
    acceptance = Acceptance(supply.pools, keeping)
    return AllCandidates(Lines(lines), Offer(supply, acceptance, PoolTables(acceptance, supply, engine)))


def _answering(supply: Supply, keeping: Keeping, choice: Choice) -> tuple[Product, ...]:
    """The products there are that a choice accepts, by key."""
    return tuple(sorted((item for item in supply.by_product if chosen(choice, item, keeping)), key=str))


def _orders(
    shelves: Mapping[Product, ProductStock],
    answering: Callable[[Choice], tuple[Product, ...]],
    acceptance: Acceptance,
    choice: Choice,
    asks: frozenset[StockAsked],
    owns: _Owns,
) -> dict[StockAsked, Order]:
    """Per ask, the products of a choice by what they are expected to have to spare, most first, then by key."""
    products = answering(choice)
    spare = [shelves[product].spare(own, asks, acceptance) for product, own in zip(products, owns, strict=True)]
    return {
        ask: tuple(sorted(range(len(products)), key=[-of_product[ask] for of_product in spare].__getitem__))
        for ask in asks
    }


def _noted(
    work: Callable[[DatedLine, Order], Candidates],
    noted: Kept[tuple[DatedLine, Order], Candidates],
    line: DatedLine,
    order: Order,
) -> Candidates:
    """The wish of a line, noted for the offer after this one."""
    return noted.of((line, order), lambda: work(line, order))


def _as_before(
    work: Callable[[DatedLine, Order], Candidates],
    before: Kept[tuple[DatedLine, Order], Candidates],
    names_changed: Callable[[DatedLine], bool],
    line: DatedLine,
    order: Order,
) -> Candidates:
    """The wish of a line: that of before where there is one, and it names no product that has changed."""
    then = None if names_changed(line) else before.known((line, order))
    return work(line, order) if then is None else then


def _names_any(
    products: frozenset[Product], answering: Callable[[Choice], tuple[Product, ...]], line: DatedLine
) -> bool:
    """Whether a line names any of some products, or its choice accepts one."""
    named = line.product in products or not products.isdisjoint(line.substitutes)
    return named or (line.choice is not None and not products.isdisjoint(answering(line.choice)))


def _wish(
    shelves: Mapping[Product, ProductStock],
    answering: Callable[[Choice], tuple[Product, ...]],
    acceptance: Acceptance,
    line: DatedLine,
    order: Order,
) -> Candidates:
    """What a line may take, the products of its choice in an order."""
    first = [line.product] if line.product is not None else []
    if line.choice is not None:
        products = answering(line.choice)
        first += [products[place] for place in order]
    named = [product for product in dict.fromkeys((*first, *line.substitutes)) if product in shelves]
    ask = stock_asked(line)
    pools = [place for product in named for place in shelves[product].accepting(ask, acceptance)]
    return Candidates(line, ask[0], tuple(pools), most_each(line))
