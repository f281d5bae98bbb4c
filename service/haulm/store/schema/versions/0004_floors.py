"""Floors in the book of promises, and what they were when they were last looked at."""

import sqlalchemy as sa
from alembic import op
from sqlmodel.sql.sqltypes import AutoString

revision = "0004"
down_revision = "0003"


def upgrade() -> None:
    op.create_table(
        "floors",
        sa.Column("farm_id", sa.Integer(), nullable=False),
        sa.Column("number", sa.Integer(), nullable=False),
        sa.Column("entry_seq", sa.Integer(), nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.Column("day", sa.Date(), nullable=False),
        sa.Column("order", AutoString(), nullable=False),
        sa.Column("due", sa.Date(), nullable=False),
        sa.Column("line", AutoString(), nullable=True),
        sa.Column("level", sa.Float(), nullable=False),
        sa.Column("confidence", sa.Float(), nullable=False),
        sa.Column("floor", sa.Float(), nullable=False),
        sa.Column("debt", sa.Float(), nullable=False),
        sa.Column("causes", sa.JSON(), nullable=False),
        sa.Column("by_promise", sa.Boolean(), nullable=False),
        sa.CheckConstraint(
            '"level" BETWEEN 0 AND 1 AND "confidence" BETWEEN 0 AND 1 AND "floor" BETWEEN 0 AND 1',
            name="ck_floors_shares",
        ),
        sa.CheckConstraint('"debt" BETWEEN 0 AND 1', name="ck_floors_debt"),
        sa.PrimaryKeyConstraint("farm_id", "number", name="pk_floors"),
        sa.ForeignKeyConstraint(["farm_id"], ["farms.id"], name="fk_floors_farm_id"),
        sa.ForeignKeyConstraint(
            ["farm_id", "entry_seq"],
            ["entries.farm_id", "entries.seq"],
            name="fk_floors_entry_seq",
            deferrable=True,
            initially="DEFERRED",
        ),
    )
    op.create_index("ix_floors_due", "floors", ["farm_id", "by_promise", "due"])
    _forbid_editing()
    op.create_table(
        "floors_followed",
        sa.Column("farm_id", sa.Integer(), nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.Column("day", sa.Date(), nullable=False),
        sa.Column("floors", sa.LargeBinary(), nullable=False),
        sa.PrimaryKeyConstraint("farm_id", name="pk_floors_followed"),
        sa.ForeignKeyConstraint(["farm_id"], ["farms.id"], name="fk_floors_followed_farm_id"),
    )


def _forbid_editing() -> None:
    """As of the other books: nobody edits what was written for good."""
    if op.get_bind().dialect.name == "sqlite":
        for verb in ("UPDATE", "DELETE"):
            op.execute(
                f"CREATE TRIGGER tr_floors_{verb.lower()} BEFORE {verb} ON floors "
                "BEGIN SELECT RAISE(ABORT, 'floors is never edited'); END"
            )
        return
    op.execute(
        "CREATE TRIGGER tr_floors_edit BEFORE UPDATE OR DELETE OR TRUNCATE ON floors "
        "FOR EACH STATEMENT EXECUTE FUNCTION haulm_refuse_editing()"
    )


def downgrade() -> None:
    op.drop_table("floors_followed")
    op.drop_table("floors")
