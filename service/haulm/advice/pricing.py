"""What stems cost, exactly: fractions of minor units inside, whole minor units at the edge of a line."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from fractions import Fraction

from haulm.farm.orders import OrderLine, Price, StandingLine
from haulm.farm.products import Choice, Product
from haulm.farm.site import PriceRules
from haulm.farm.varieties import Crop
from haulm.farm.weeks import Week
from haulm.farm.words import Form


@dataclass(frozen=True, slots=True)
class BunchPrice:
    """The price of one bunch [minor units], and the stems in it; the price of a stem is the exact fraction."""

    minor: int
    stems: int

    @property
    def stem(self) -> Fraction:
        """The price of one stem [minor units]."""
        return Fraction(self.minor, self.stems)


@dataclass(frozen=True, slots=True)
class PriceList:
    """The farm's prices: rows of its price list, the crops' own prices, and its price of any stem."""

    rows: tuple[Price, ...]
    crops: Mapping[str, Crop]
    rules: PriceRules

    def bunch_price(
        self, product: Product, *, customer: str | None, week: Week | None, length_cm: int = 0
    ) -> BunchPrice:
        """The price of a bunch by the list.

        A row for the customer outranks a row for everybody, a longer length a shorter one, and of rows for the same the
        latest that has begun counts; then comes the variety's own price of a bunch, then the farm's price of any stem.

        Args:
            product: what is sold.
            customer: to whom; None: anybody.
            week: the week in which it leaves; None knows only rows without a first week.
            length_cm: the length asked [cm].
        """
        crop = self.crops[product.variety]
        rows = [row for row in self.rows if _applies(row, product, customer, length_cm) and _has_begun(row, week)]
        if rows:
            best = max(rows, key=_rank)
            if best.price_minor is not None:
                return BunchPrice(best.price_minor, best.bunch_stems or crop.bunch_stems)
        bunch = crop.dried_price_minor if product.form is Form.DRIED else crop.price_minor
        return BunchPrice(self.rules.stem_minor, 1) if bunch is None else BunchPrice(bunch, crop.bunch_stems)

    def stem_price(self, product: Product, *, customer: str | None, week: Week | None, length_cm: int = 0) -> Fraction:
        """The price of one stem by the list [minor units]."""
        return self.bunch_price(product, customer=customer, week=week, length_cm=length_cm).stem

    def dearest(
        self, products: Iterable[Product], *, customer: str | None, week: Week | None, length_cm: int = 0
    ) -> BunchPrice:
        """The price of the dearest of some products, so that any of them pays."""
        prices = (self.bunch_price(product, customer=customer, week=week, length_cm=length_cm) for product in products)
        return max(prices, key=lambda price: price.stem, default=BunchPrice(self.rules.stem_minor, 1))

    def of_line(self, line: OrderLine | StandingLine, *, customer: str, week: Week) -> BunchPrice:
        """What a line costs by the list: a choice costs what the dearest of its kinds does.

        Where nothing the farm grows answers a choice, its dearest stand-in counts.
        """
        kinds = (line.product,) if line.product is not None else self._kinds(line)
        return self.dearest(kinds, customer=customer, week=week, length_cm=line.min_length_cm)

    def _kinds(self, line: OrderLine | StandingLine) -> tuple[Product, ...]:
        assert line.choice is not None, "a line asks a product or a choice"
        takes_others = not (isinstance(line, OrderLine) and line.no_substitute)
        return answering(line.choice, self.crops) or (line.substitutes if takes_others else ())


def answering(choice: Choice, crops: Mapping[str, Crop]) -> tuple[Product, ...]:
    """The farm's products that answer a choice, by key."""
    products = (Product(key, form) for key in sorted(crops) for form in choice.forms)
    return tuple(product for product in products if _accepts(choice, product, crops[product.variety]))


def _accepts(choice: Choice, product: Product, crop: Crop) -> bool:
    return choice.accepts(product, role=crop.role, colour=crop.colour, kind=crop.kind)


def whole_minor(amount: Fraction) -> int:
    """An amount in whole minor units, halves away from nought."""
    doubled = amount * 2
    return int((doubled + 1) // 2) if amount >= 0 else -int((1 - doubled) // 2)


def with_tax(amount_minor: int, rules: PriceRules) -> int:
    """An amount with the farm's own percentage added; whether and what to add is for local rules [minor units]."""
    percent = Fraction(str(rules.tax_percent))
    return whole_minor(Fraction(amount_minor) * (1 + percent / 100))


def _applies(row: Price, product: Product, customer: str | None, length_cm: int) -> bool:
    return (
        row.product == product
        and (row.customer is None or row.customer == customer)
        and (row.length_cm or 0) <= length_cm
    )


def _has_begun(row: Price, week: Week | None) -> bool:
    return row.first_week is None or (week is not None and row.first_week <= week)


def _rank(row: Price) -> tuple[bool, int, str]:
    first = "" if row.first_week is None else str(row.first_week)
    return (row.customer is not None, row.length_cm or 0, first)


@dataclass(frozen=True, slots=True)
class LinePrice:
    """What a line costs: its stems, and its spare; both whole, together rounded once [minor units]."""

    stems_minor: int
    spare_minor: int

    @property
    def total_minor(self) -> int:
        """Both."""
        return self.stems_minor + self.spare_minor


@dataclass(frozen=True, slots=True)
class PriceParts:
    """What an order costs, part by part [minor units]; the parts add up to the total exactly."""

    stems_minor: int
    spare_minor: int
    labour_minutes: int
    labour_minor: int
    delivery_minor: int
    tax_minor: int
    total_minor: int


def line_price(stems: int, spare: int, stem_price: Fraction) -> LinePrice:
    """The price of a line; the whole is rounded, and the spare is what is left of it beside the stems."""
    both, alone = whole_minor((stems + spare) * stem_price), whole_minor(stems * stem_price)
    return LinePrice(alone, both - alone)


def order_price(lines: Iterable[LinePrice], minutes: int, rules: PriceRules, *, more_minor: int = 0) -> PriceParts:
    """The price of an order: stems, spare, labour by the minute, delivery, and the farm's own tax on all of it.

    Args:
        lines: the lines' prices.
        minutes: of making [min].
        rules: the farm's rates.
        more_minor: a further cost, such as an extra sowing's seed [minor units].
    """
    prices = tuple(lines)
    stems, spare = sum(price.stems_minor for price in prices), sum(price.spare_minor for price in prices)
    labour = whole_minor(Fraction(minutes * rules.labour_minor_per_hour, 60))
    before_tax = stems + spare + labour + rules.delivery_minor + more_minor
    total = with_tax(before_tax, rules)
    return PriceParts(stems, spare, minutes, labour, rules.delivery_minor, total - before_tax, total)
