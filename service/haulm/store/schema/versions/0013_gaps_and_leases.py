"""Gaps by the names they keep, with their days; and who is at work on what is worked out in the background."""

import sqlalchemy as sa
from alembic import op
from sqlmodel.sql.sqltypes import AutoString, UTCDateTime

revision = "0013"
down_revision = "0012"


def upgrade() -> None:
    op.create_table(
        "gaps",
        sa.Column("farm_id", sa.Integer(), nullable=False),
        sa.Column("name", AutoString(), nullable=False),
        sa.Column("asked", AutoString(), nullable=False),
        sa.Column("lines", sa.JSON(), nullable=False),
        sa.Column("merged", sa.JSON(), nullable=False),
        sa.Column("split_from", AutoString(), nullable=True),
        sa.Column("act_by", sa.Date(), nullable=True),
        sa.Column("last_chance", sa.Date(), nullable=True),
        sa.Column("last_way", sa.Date(), nullable=True),
        sa.Column("tell_by", sa.Date(), nullable=True),
        sa.Column("kind", AutoString(), nullable=True),
        sa.Column("way", AutoString(), nullable=True),
        sa.Column("version", sa.Integer(), nullable=True),
        sa.Column("day", sa.Date(), nullable=True),
        sa.Column("model", sa.Integer(), nullable=True),
        sa.Column("at_utc", UTCDateTime(), nullable=True),
        sa.CheckConstraint(
            '("act_by" IS NULL) = ("tell_by" IS NULL) AND ("act_by" IS NULL) = ("way" IS NULL) '
            'AND ("act_by" IS NULL) = ("at_utc" IS NULL)',
            name="ck_gaps_worked_out",
        ),
        sa.PrimaryKeyConstraint("farm_id", "name", name="pk_gaps"),
        sa.ForeignKeyConstraint(["farm_id"], ["farms.id"], name="fk_gaps_farm_id"),
    )
    op.create_table(
        "gaps_followed",
        sa.Column("farm_id", sa.Integer(), nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.Column("day", sa.Date(), nullable=False),
        sa.Column("model", sa.Integer(), nullable=False),
        sa.Column("is_done", sa.Boolean(), nullable=False),
        sa.Column("writes", sa.Integer(), nullable=False),
        sa.PrimaryKeyConstraint("farm_id", name="pk_gaps_followed"),
        sa.ForeignKeyConstraint(["farm_id"], ["farms.id"], name="fk_gaps_followed_farm_id"),
    )
    op.create_table(
        "leases",
        sa.Column("farm_id", sa.Integer(), nullable=False),
        sa.Column("job", AutoString(), nullable=False),
        sa.Column("worker", AutoString(), nullable=False),
        sa.Column("until_utc", UTCDateTime(), nullable=False),
        sa.PrimaryKeyConstraint("farm_id", "job", name="pk_leases"),
        sa.ForeignKeyConstraint(["farm_id"], ["farms.id"], name="fk_leases_farm_id"),
    )


def downgrade() -> None:
    op.drop_table("leases")
    op.drop_table("gaps_followed")
    op.drop_table("gaps")
