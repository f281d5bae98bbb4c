"""Combined plans that were asked for: how far each is worked out, and what was found last."""

import sqlalchemy as sa
from alembic import op
from sqlmodel.sql.sqltypes import AutoString, UTCDateTime

revision = "0018"
down_revision = "0017"


def upgrade() -> None:
    op.create_table(
        "season_plans",
        sa.Column("farm_id", sa.Integer(), nullable=False),
        sa.Column("level", AutoString(), nullable=False),
        sa.Column("asked_utc", UTCDateTime(), nullable=False),
        sa.Column("is_waiting", sa.Boolean(), nullable=False),
        sa.Column("shape", AutoString(), nullable=False),
        sa.Column("begun", sa.JSON(), nullable=True),
        sa.Column("found", sa.JSON(), nullable=True),
        sa.Column("found_utc", UTCDateTime(), nullable=True),
        sa.PrimaryKeyConstraint("farm_id", "level", name="pk_season_plans"),
        sa.ForeignKeyConstraint(["farm_id"], ["farms.id"], name="fk_season_plans_farm_id"),
    )


def downgrade() -> None:
    op.drop_table("season_plans")
