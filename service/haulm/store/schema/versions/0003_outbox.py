"""Mail on its way out, and what was done at its time."""

import sqlalchemy as sa
from alembic import op
from sqlmodel.sql.sqltypes import AutoString, UTCDateTime

revision = "0003"
down_revision = "0002"


def upgrade() -> None:
    op.create_table(
        "outbox",
        sa.Column("farm_id", sa.Integer(), nullable=False),
        sa.Column("number", sa.Integer(), nullable=False),
        sa.Column("key", AutoString(), nullable=False),
        sa.Column("kind", AutoString(), nullable=False),
        sa.Column("customer", AutoString(), nullable=True),
        sa.Column("facts", sa.JSON(), nullable=False),
        sa.Column("made_at_utc", UTCDateTime(), nullable=False),
        sa.Column("due_at_utc", UTCDateTime(), nullable=False),
        sa.Column("lease_until_utc", UTCDateTime(), nullable=True),
        sa.Column("worker", AutoString(), nullable=True),
        sa.Column("state", AutoString(), nullable=False),
        sa.Column("tries", sa.Integer(), nullable=False),
        sa.Column("repeats", sa.Integer(), nullable=False),
        sa.Column("is_handed_over", sa.Boolean(), nullable=False),
        sa.Column("message_id", AutoString(), nullable=True),
        sa.Column("content", sa.LargeBinary(), nullable=True),
        sa.Column("answer", AutoString(), nullable=False),
        sa.CheckConstraint(
            "\"state\" IN ('waiting', 'sent', 'bounced', 'given_up', 'left_out')", name="ck_outbox_state"
        ),
        sa.CheckConstraint('"number" >= 1', name="ck_outbox_number"),
        sa.CheckConstraint('"tries" >= 0', name="ck_outbox_tries"),
        sa.CheckConstraint('"repeats" >= 0', name="ck_outbox_repeats"),
        sa.PrimaryKeyConstraint("farm_id", "number", name="pk_outbox"),
        sa.ForeignKeyConstraint(["farm_id"], ["farms.id"], name="fk_outbox_farm_id"),
        sa.UniqueConstraint("farm_id", "key", name="uq_outbox_key"),
    )
    op.create_index("ix_outbox_due", "outbox", ["farm_id", "state", "due_at_utc"])
    op.create_table(
        "done_jobs",
        sa.Column("farm_id", sa.Integer(), nullable=False),
        sa.Column("job", AutoString(), nullable=False),
        sa.Column("period", AutoString(), nullable=False),
        sa.Column("at_utc", UTCDateTime(), nullable=False),
        sa.PrimaryKeyConstraint("farm_id", "job", "period", name="pk_done_jobs"),
        sa.ForeignKeyConstraint(["farm_id"], ["farms.id"], name="fk_done_jobs_farm_id"),
    )


def downgrade() -> None:
    op.drop_table("done_jobs")
    op.drop_table("outbox")
