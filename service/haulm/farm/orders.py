"""Customers, standing orders, dated orders and their lines, prices and recipes."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from haulm.farm.products import Choice, Product
from haulm.farm.weeks import Week
from haulm.farm.words import CustomerKind, OrderKind, OrderPart, OrderStatus, PriceFrom, Role, StandingStatus, Weekday


@dataclass(frozen=True, slots=True)
class Customer:
    """Somebody who buys. Name, email and phone are personal data and live in one place only."""

    key: str
    name: str
    kind: CustomerKind = CustomerKind.FLORIST
    email: str | None = None
    phone: str | None = None
    notice_days: int = 2


@dataclass(frozen=True, slots=True)
class StandingOrder:
    """An order that repeats each week, or each second week, until changed."""

    key: str
    customer: str
    weekday: Weekday
    first_week: Week
    last_week: Week
    every: int = 1
    committed_on: date | None = None
    status: StandingStatus = StandingStatus.ACTIVE

    def __hash__(self) -> int:
        return hash(self.key)  # what is worked out for orders is kept by them


@dataclass(frozen=True, slots=True)
class StandingLine:
    """One line of a standing order: a product, or a choice, never both."""

    key: str
    order: str
    stems: int
    product: Product | None = None
    choice: Choice | None = None
    minimum: int = 0
    substitutes: tuple[Product, ...] = ()
    stage: str | None = None
    min_length_cm: int = 0
    max_each: int | None = None
    max_age_days: int | None = None
    promised_confidence: float | None = None
    bunch_price_minor: int | None = None
    """The price it keeps, of one bunch of `bunch_stems` stems [minor units]; None: the price list's as it stands."""
    bunch_stems: int | None = None
    price_from: PriceFrom = PriceFrom.AGREED
    """Whether the price it keeps was agreed, or taken from the list on the day the line was made."""

    def __hash__(self) -> int:
        return hash(self.key)  # what is worked out for orders is kept by them


@dataclass(frozen=True, slots=True)
class Change:
    """A change to one week of a standing order: so many stems instead; 0 skips. No line: every line of the order."""

    key: str
    order: str
    week: Week
    stems: int
    line: str | None = None
    note: str = ""

    def __hash__(self) -> int:
        return hash(self.key)  # what is worked out for orders is kept by them


@dataclass(frozen=True, slots=True)
class Order:
    """A dated order: a wedding or other event, a one-off, or the stall. `due_date` is the day stems leave."""

    key: str
    customer: str
    kind: OrderKind
    due_date: date
    event_date: date | None = None
    committed_on: date | None = None
    status: OrderStatus = OrderStatus.QUOTED
    hold_until: date | None = None
    final_numbers_date: date | None = None
    unacceptable: tuple[str, ...] = ()
    """Variety keys the customer will not take."""

    def __hash__(self) -> int:
        return hash(self.key)  # what is worked out for orders is kept by them


@dataclass(frozen=True, slots=True)
class OrderLine:
    """One line of a dated order; `spare` is the breakage allowance on top of `stems`."""

    key: str
    order: str
    stems: int
    product: Product | None = None
    choice: Choice | None = None
    minimum: int = 0
    substitutes: tuple[Product, ...] = ()
    stage: str | None = None
    min_length_cm: int = 0
    max_each: int | None = None
    max_age_days: int | None = None
    promised_confidence: float | None = None
    spare: int = 0
    agreed_price_minor: int | None = None
    """One price for the whole line, spare and all [minor units]; it outranks the price of a bunch."""
    no_substitute: bool = False
    bunch_price_minor: int | None = None
    """The price it keeps, of one bunch of `bunch_stems` stems [minor units]; None: the price list's as it stands."""
    bunch_stems: int | None = None
    price_from: PriceFrom = PriceFrom.AGREED
    """Whether the price it keeps was agreed, or taken from the list on the day the line was made."""
    part: OrderPart | None = None
    """Where an order has two parts: whether it stands today, or is sown for; None where it has none."""

    def __hash__(self) -> int:
        return hash(self.key)  # what is worked out for orders is kept by them


@dataclass(frozen=True, slots=True)
class Price:
    """The price of a bunch of a product, for everybody or for one customer, for any length or from one length on.

    It holds from its first week until another row of the same product, customer and length begins; without one: always.
    """

    product: Product
    price_minor: int | None = None
    customer: str | None = None
    length_cm: int | None = None
    bunch_stems: int | None = None
    first_week: Week | None = None


@dataclass(frozen=True, slots=True)
class Recipe:
    """How many stems of a role one piece takes."""

    piece: str
    role: Role
    stems: int
    note: str = ""
