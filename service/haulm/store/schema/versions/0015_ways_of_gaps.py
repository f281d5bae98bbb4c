"""The ways of a gap, kept beside its days, and what both are made of."""

import sqlalchemy as sa
from alembic import op
from sqlmodel.sql.sqltypes import AutoString

revision = "0015"
down_revision = "0014"


def upgrade() -> None:
    # Empty: days that were worked out without their ways are worked out anew.
    op.add_column("gaps", sa.Column("shape", AutoString(), nullable=True))
    op.add_column("gaps_followed", sa.Column("shape", AutoString(), nullable=True))
    op.create_table(
        "gap_ways",
        sa.Column("farm_id", sa.Integer(), nullable=False),
        sa.Column("name", AutoString(), nullable=False),
        sa.Column("shape", AutoString(), nullable=False),
        sa.Column("ways", sa.JSON(), nullable=False),
        sa.PrimaryKeyConstraint("farm_id", "name", name="pk_gap_ways"),
        sa.ForeignKeyConstraint(["farm_id"], ["farms.id"], name="fk_gap_ways_farm_id"),
    )


def downgrade() -> None:
    op.drop_table("gap_ways")
    op.drop_column("gaps_followed", "shape")
    op.drop_column("gaps", "shape")
