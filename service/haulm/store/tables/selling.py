"""Tables of what is sold: customers, standing orders, dated orders, prices, recipes, decisions about pieces."""

import datetime as dt

from sqlalchemy import BigInteger, CheckConstraint
from sqlmodel import Field

from haulm.farm.piece_decisions import ASKED_USES
from haulm.farm.words import (
    CustomerKind,
    Decision,
    OrderKind,
    OrderPart,
    OrderStatus,
    PriceFrom,
    Role,
    StandingStatus,
    UsualSource,
    Weekday,
)
from haulm.store.tables.parts import FarmRow, check, not_before, one_of, reference, within_limits


class CustomerRow(FarmRow, table=True):
    """customers.csv without its personal data, which lives in `people` only."""

    __tablename__ = "customers"
    __table_args__ = (
        reference("customers", "person", "people", "id"),
        one_of("customers", "kind", CustomerKind),
        *within_limits("customers"),
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
        *within_limits("standing_orders"),
        not_before("standing_orders", "last_week", "first_week"),
    )

    customer: str
    weekday: str
    first_week: str
    last_week: str
    every: int
    committed_on: dt.date | None
    status: str


def _checks_of_a_line(table: str) -> tuple[CheckConstraint, ...]:
    """What must hold of every line, standing or dated."""
    return (
        check(table, "product_or_choice", '("product" IS NULL) <> ("choice" IS NULL)'),
        check(table, "max_each_of_choice", '"max_each" IS NULL OR "choice" IS NOT NULL'),
        check(table, "bunch_of_price", '("bunch_price_minor" IS NULL) = ("bunch_stems" IS NULL)'),
        one_of(table, "price_from", PriceFrom),
        not_before(table, "stems", "minimum"),
        *within_limits(table),
    )


class AskedRow(FarmRow):
    """What a line asks: the columns that standing and dated lines share."""

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
    bunch_price_minor: int | None = Field(sa_type=BigInteger)
    bunch_stems: int | None
    price_from: str


class StandingLineRow(AskedRow, table=True):
    """standing_lines.csv."""

    __tablename__ = "standing_lines"
    __table_args__ = (
        reference("standing_lines", "order", "standing_orders"),
        *_checks_of_a_line("standing_lines"),
    )


class ChangeRow(FarmRow, table=True):
    """changes.csv."""

    __tablename__ = "changes"
    __table_args__ = (
        reference("changes", "order", "standing_orders"),
        reference("changes", "line", "standing_lines"),
        *within_limits("changes"),
    )

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


class OrderLineRow(AskedRow, table=True):
    """order_lines.csv."""

    __tablename__ = "order_lines"
    __table_args__ = (
        reference("order_lines", "order", "orders"),
        one_of("order_lines", "part", OrderPart),
        *_checks_of_a_line("order_lines"),
    )

    spare: int
    agreed_price_minor: int | None = Field(sa_type=BigInteger)
    no_substitute: bool
    part: str | None


class PriceRow(FarmRow, table=True):
    """prices.csv; the key is product, customer, length and first week."""

    __tablename__ = "prices"
    __table_args__ = (
        reference("prices", "customer", "customers"),
        *within_limits("prices"),
    )

    product: str
    price_minor: int | None = Field(sa_type=BigInteger)
    customer: str | None
    length_cm: int | None
    bunch_stems: int | None
    first_week: str | None


class RecipeRow(FarmRow, table=True):
    """recipes.csv; the key is piece and role."""

    __tablename__ = "recipes"
    __table_args__ = (one_of("recipes", "role", Role), *within_limits("recipes"))

    piece: str
    role: str
    stems: int
    note: str


class PieceDecisionRow(FarmRow, table=True):
    """piece_decisions.csv; the key is variety, use and piece."""

    __tablename__ = "piece_decisions"
    __table_args__ = (
        reference("piece_decisions", "variety", "varieties"),
        one_of("piece_decisions", "use", ASKED_USES),
        one_of("piece_decisions", "decision", Decision),
    )

    variety: str
    use: str
    decision: str
    piece: str | None
    note: str


class UsualSaleRow(FarmRow, table=True):
    """usual_sales.csv."""

    __tablename__ = "usual_sales"
    __table_args__ = (
        reference("usual_sales", "customer", "customers"),
        one_of("usual_sales", "source", UsualSource),
        one_of("usual_sales", "weekday", Weekday),
        check("usual_sales", "product_or_choice", '("product" IS NULL) <> ("choice" IS NULL)'),
        *within_limits("usual_sales"),
        not_before("usual_sales", "last_week", "first_week"),
    )

    source: str
    stems: int
    first_week: str
    last_week: str
    product: str | None
    choice: str | None
    weekday: str | None
    stem_price_minor: int | None = Field(sa_type=BigInteger)
    customer: str | None
    note: str
