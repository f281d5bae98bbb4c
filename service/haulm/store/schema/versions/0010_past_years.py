"""What past years gave, and the last season that a variety's own figures hold."""

import sqlalchemy as sa
from alembic import op
from sqlmodel.sql.sqltypes import AutoString

revision = "0010"
down_revision = "0009"

_THROUGH = ("weeks_through", "stems_through")
_METHODS = "'heated', 'cover', 'direct', 'plugs', 'tuber', 'established'"


def upgrade() -> None:
    # A column with its own check can be added on both databases; the table need not be copied.
    for name in _THROUGH:
        kind = f'INTEGER CONSTRAINT ck_varieties_{name} CHECK ("{name}" BETWEEN 1900 AND 2999)'
        op.execute(f'ALTER TABLE varieties ADD COLUMN "{name}" {kind}')
    op.create_table(
        "past_years",
        sa.Column("farm_id", sa.Integer(), nullable=False),
        sa.Column("key", AutoString(), nullable=False),
        sa.Column("position", sa.Integer(), nullable=False),
        sa.Column("row_version", sa.Integer(), nullable=False),
        sa.Column("year", sa.Integer(), nullable=False),
        sa.Column("variety", AutoString(), nullable=True),
        sa.Column("kind", AutoString(), nullable=True),
        sa.Column("sow_date", sa.Date(), nullable=True),
        sa.Column("method", AutoString(), nullable=True),
        sa.Column("tunnel", sa.Boolean(), nullable=False),
        sa.Column("first_cut", sa.Date(), nullable=True),
        sa.Column("last_cut", sa.Date(), nullable=True),
        sa.Column("stems", sa.Integer(), nullable=True),
        sa.Column("plants", sa.Integer(), nullable=True),
        sa.Column("really", sa.Boolean(), nullable=False),
        sa.Column("note", AutoString(), nullable=False),
        sa.CheckConstraint(f'"method" IN ({_METHODS})', name="ck_past_years_method"),
        sa.CheckConstraint('"year" BETWEEN 1900 AND 2999', name="ck_past_years_year"),
        sa.CheckConstraint('"stems" BETWEEN 1 AND 1000000', name="ck_past_years_stems"),
        sa.CheckConstraint('"plants" BETWEEN 1 AND 1000000', name="ck_past_years_plants"),
        sa.CheckConstraint('"last_cut" >= "first_cut"', name="ck_past_years_last_cut_not_before"),
        sa.CheckConstraint('"first_cut" >= "sow_date"', name="ck_past_years_first_cut_not_before"),
        sa.PrimaryKeyConstraint("farm_id", "key", name="pk_past_years"),
        sa.ForeignKeyConstraint(["farm_id"], ["farms.id"], name="fk_past_years_farm_id"),
        sa.ForeignKeyConstraint(
            ["farm_id", "variety"],
            ["varieties.farm_id", "varieties.key"],
            name="fk_past_years_variety",
            deferrable=True,
            initially="DEFERRED",
        ),
    )


def downgrade() -> None:
    op.drop_table("past_years")
    for name in _THROUGH:
        op.execute(f'ALTER TABLE varieties DROP COLUMN "{name}"')
