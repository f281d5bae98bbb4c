"""Usual sales: what is likely to be asked for though nobody has ordered it."""

import sqlalchemy as sa
from alembic import op
from sqlmodel.sql.sqltypes import AutoString

revision = "0014"
down_revision = "0013"

_WEEKDAYS = "'mon', 'tue', 'wed', 'thu', 'fri', 'sat', 'sun'"


def upgrade() -> None:
    op.create_table(
        "usual_sales",
        sa.Column("farm_id", sa.Integer(), nullable=False),
        sa.Column("key", AutoString(), nullable=False),
        sa.Column("position", sa.Integer(), nullable=False),
        sa.Column("row_version", sa.Integer(), nullable=False),
        sa.Column("source", AutoString(), nullable=False),
        sa.Column("stems", sa.Integer(), nullable=False),
        sa.Column("first_week", AutoString(), nullable=False),
        sa.Column("last_week", AutoString(), nullable=False),
        sa.Column("product", AutoString(), nullable=True),
        sa.Column("choice", AutoString(), nullable=True),
        sa.Column("weekday", AutoString(), nullable=True),
        sa.Column("stem_price_minor", sa.BigInteger(), nullable=True),
        sa.Column("customer", AutoString(), nullable=True),
        sa.Column("note", AutoString(), nullable=False),
        sa.CheckConstraint("\"source\" IN ('florist', 'wishes', 'stall')", name="ck_usual_sales_source"),
        sa.CheckConstraint(f'"weekday" IN ({_WEEKDAYS})', name="ck_usual_sales_weekday"),
        sa.CheckConstraint('("product" IS NULL) <> ("choice" IS NULL)', name="ck_usual_sales_product_or_choice"),
        sa.CheckConstraint('"stems" BETWEEN 1 AND 1000000', name="ck_usual_sales_stems"),
        sa.CheckConstraint('"stem_price_minor" BETWEEN 0 AND 1000000000', name="ck_usual_sales_stem_price_minor"),
        sa.CheckConstraint('"last_week" >= "first_week"', name="ck_usual_sales_last_week_not_before"),
        sa.PrimaryKeyConstraint("farm_id", "key", name="pk_usual_sales"),
        sa.ForeignKeyConstraint(["farm_id"], ["farms.id"], name="fk_usual_sales_farm_id"),
        sa.ForeignKeyConstraint(
            ["farm_id", "customer"],
            ["customers.farm_id", "customers.key"],
            name="fk_usual_sales_customer",
            deferrable=True,
            initially="DEFERRED",
        ),
    )


def downgrade() -> None:
    op.drop_table("usual_sales")
