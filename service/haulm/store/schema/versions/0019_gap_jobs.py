"""What the recommended way of each gap is and does, worked out in the background."""

import sqlalchemy as sa
from alembic import op

revision = "0019"
down_revision = "0018"


def upgrade() -> None:
    op.create_table(
        "gap_jobs",
        sa.Column("farm_id", sa.Integer(), nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.Column("day", sa.Date(), nullable=False),
        sa.Column("model", sa.Integer(), nullable=False),
        sa.Column("is_done", sa.Boolean(), nullable=False),
        sa.Column("writes", sa.Integer(), nullable=False),
        sa.Column("by_gap", sa.JSON(), nullable=False),
        sa.PrimaryKeyConstraint("farm_id", name="pk_gap_jobs"),
        sa.ForeignKeyConstraint(["farm_id"], ["farms.id"], name="fk_gap_jobs_farm_id"),
    )


def downgrade() -> None:
    op.drop_table("gap_jobs")
