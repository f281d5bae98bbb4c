"""What is at home or ordered of what sowings are begun from."""

import sqlalchemy as sa
from alembic import op
from sqlmodel.sql.sqltypes import AutoString

revision = "0016"
down_revision = "0015"


def upgrade() -> None:
    op.create_table(
        "at_home",
        sa.Column("farm_id", sa.Integer(), nullable=False),
        sa.Column("key", AutoString(), nullable=False),
        sa.Column("position", sa.Integer(), nullable=False),
        sa.Column("row_version", sa.Integer(), nullable=False),
        sa.Column("variety", AutoString(), nullable=False),
        sa.Column("what", AutoString(), nullable=False),
        sa.Column("state", AutoString(), nullable=False),
        sa.Column("date", sa.Date(), nullable=False),
        sa.CheckConstraint("\"what\" IN ('seed', 'plugs', 'tubers')", name="ck_at_home_what"),
        sa.CheckConstraint("\"state\" IN ('at_home', 'ordered')", name="ck_at_home_state"),
        sa.PrimaryKeyConstraint("farm_id", "key", name="pk_at_home"),
        sa.ForeignKeyConstraint(["farm_id"], ["farms.id"], name="fk_at_home_farm_id"),
        sa.ForeignKeyConstraint(
            ["farm_id", "variety"],
            ["varieties.farm_id", "varieties.key"],
            name="fk_at_home_variety",
            deferrable=True,
            initially="DEFERRED",
        ),
    )


def downgrade() -> None:
    op.drop_table("at_home")
