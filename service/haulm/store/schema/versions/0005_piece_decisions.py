"""What the grower decided about kinds in pieces."""

import sqlalchemy as sa
from alembic import op
from sqlmodel.sql.sqltypes import AutoString

revision = "0005"
down_revision = "0004"


def upgrade() -> None:
    op.create_table(
        "piece_decisions",
        sa.Column("farm_id", sa.Integer(), nullable=False),
        sa.Column("key", AutoString(), nullable=False),
        sa.Column("position", sa.Integer(), nullable=False),
        sa.Column("row_version", sa.Integer(), nullable=False),
        sa.Column("variety", AutoString(), nullable=False),
        sa.Column("use", AutoString(), nullable=False),
        sa.Column("decision", AutoString(), nullable=False),
        sa.Column("piece", AutoString(), nullable=True),
        sa.Column("note", AutoString(), nullable=False),
        sa.CheckConstraint("\"use\" IN ('worn', 'table')", name="ck_piece_decisions_use"),
        sa.CheckConstraint("\"decision\" IN ('use', 'keep_out')", name="ck_piece_decisions_decision"),
        sa.PrimaryKeyConstraint("farm_id", "key", name="pk_piece_decisions"),
        sa.ForeignKeyConstraint(["farm_id"], ["farms.id"], name="fk_piece_decisions_farm_id"),
        sa.ForeignKeyConstraint(
            ["farm_id", "variety"],
            ["varieties.farm_id", "varieties.key"],
            name="fk_piece_decisions_variety",
            deferrable=True,
            initially="DEFERRED",
        ),
    )


def downgrade() -> None:
    op.drop_table("piece_decisions")
