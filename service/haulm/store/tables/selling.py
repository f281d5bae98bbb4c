"""Tables of what is sold: customers, standing orders, dated orders, prices, recipes."""

import datetime as dt

from sqlalchemy import BigInteger
from sqlmodel import Field

from haulm.farm.words import CustomerKind, OrderKind, OrderStatus, Role, StandingStatus, Weekday
from haulm.store.tables.parts import FarmRow, at_least, check, one_of, reference, share


class CustomerRow(FarmRow, table=True):
    """customers.csv without its personal data, which lives in `people` only."""

    __tablename__ = "customers"
    __table_args__ = (
        reference("customers", "person", "people", "id"),
        one_of("customers", "kind", CustomerKind),
        at_least("customers", "notice_days", 0),
    )

    person: int
    kind: str
    notice_days: int


class StandingOrderRow(FarmRow, table=True):
    """standing_orders.csv."""

    __tablename__ = "standing_orders"
    __table_args__ = (
        reference("standing_orders", "customer", "customers"),
        one_of("standing_orders", "weekday", Weekday),
        one_of("standing_orders", "status", StandingStatus),
        check("standing_orders", "every", '"every" IN (1, 2)'),
    )

    customer: str
    weekday: str
    first_week: str
    last_week: str
    every: int
    committed_on: dt.date | None
    status: str


class StandingLineRow(FarmRow, table=True):
    """standing_lines.csv."""

    __tablename__ = "standing_lines"
    __table_args__ = (
        reference("standing_lines", "order", "standing_orders"),
        check("standing_lines", "product_or_choice", '("product" IS NULL) <> ("choice" IS NULL)'),
        share("standing_lines", "promised_confidence"),
        *(
            at_least("standing_lines", column, 0)
            for column in ("stems", "minimum", "min_length_cm", "max_each", "max_age_days")
        ),
    )

    order: str
    stems: int
    product: str | None
    choice: str | None
    minimum: int
    substitutes: str
    stage: str | None
    min_length_cm: int
    max_each: int | None
    max_age_days: int | None
    promised_confidence: float | None


class ChangeRow(FarmRow, table=True):
    """changes.csv."""

    __tablename__ = "changes"
    __table_args__ = (reference("changes", "order", "standing_orders"), at_least("changes", "stems", 0))

    order: str
    week: str
    stems: int
    line: str | None
    note: str


class OrderRow(FarmRow, table=True):
    """orders.csv."""

    __tablename__ = "orders"
    __table_args__ = (
        reference("orders", "customer", "customers"),
        one_of("orders", "kind", OrderKind),
        one_of("orders", "status", OrderStatus),
        check("orders", "hold_until", '"status" <> \'on_hold\' OR "hold_until" IS NOT NULL'),
    )

    customer: str
    kind: str
    due_date: dt.date
    event_date: dt.date | None
    committed_on: dt.date | None
    status: str
    hold_until: dt.date | None
    final_numbers_date: dt.date | None
    unacceptable: str


class OrderLineRow(FarmRow, table=True):
    """order_lines.csv."""

    __tablename__ = "order_lines"
    __table_args__ = (
        reference("order_lines", "order", "orders"),
        check("order_lines", "product_or_choice", '("product" IS NULL) <> ("choice" IS NULL)'),
        share("order_lines", "promised_confidence"),
        *(
            at_least("order_lines", column, 0)
            for column in ("stems", "minimum", "min_length_cm", "max_each", "max_age_days", "spare")
        ),
        at_least("order_lines", "agreed_price_minor", 0),
    )

    order: str
    stems: int
    product: str | None
    choice: str | None
    minimum: int
    substitutes: str
    stage: str | None
    min_length_cm: int
    max_each: int | None
    max_age_days: int | None
    promised_confidence: float | None
    spare: int
    agreed_price_minor: int | None = Field(sa_type=BigInteger)
    no_substitute: bool


class PriceRow(FarmRow, table=True):
    """prices.csv; the key is product, customer, length and bunch."""

    __tablename__ = "prices"
    __table_args__ = (
        at_least("prices", "price_minor", 0),
        at_least("prices", "length_cm", 0),
        at_least("prices", "bunch_stems", 1),
    )

    product: str
    price_minor: int | None = Field(sa_type=BigInteger)
    customer: str | None
    length_cm: int | None
    bunch_stems: int | None


class RecipeRow(FarmRow, table=True):
    """recipes.csv; the key is piece and role."""

    __tablename__ = "recipes"
    __table_args__ = (one_of("recipes", "role", Role), at_least("recipes", "stems", 0))

    piece: str
    role: str
    stems: int
    note: str
