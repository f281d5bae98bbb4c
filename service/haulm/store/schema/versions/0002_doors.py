"""Who may come in: passwords, sessions, personal tokens."""

import sqlalchemy as sa
from alembic import op
from sqlmodel.sql.sqltypes import AutoString, UTCDateTime

revision = "0002"
down_revision = "0001"

ROLES = "'owner', 'hand'"


def upgrade() -> None:
    op.create_table(
        "passwords",
        sa.Column("farm_id", sa.Integer(), nullable=False),
        sa.Column("role", AutoString(), nullable=False),
        sa.Column("hash", AutoString(), nullable=False),
        sa.Column("set_at_utc", UTCDateTime(), nullable=False),
        sa.CheckConstraint(f'"role" IN ({ROLES})', name="ck_passwords_role"),
        sa.PrimaryKeyConstraint("farm_id", "role", name="pk_passwords"),
        sa.ForeignKeyConstraint(["farm_id"], ["farms.id"], name="fk_passwords_farm_id"),
    )
    op.create_table(
        "sessions",
        sa.Column("farm_id", sa.Integer(), nullable=False),
        sa.Column("digest", AutoString(), nullable=False),
        sa.Column("role", AutoString(), nullable=False),
        sa.Column("kind", AutoString(), nullable=False),
        sa.Column("made_at_utc", UTCDateTime(), nullable=False),
        sa.Column("used_at_utc", UTCDateTime(), nullable=False),
        sa.Column("ends_at_utc", UTCDateTime(), nullable=False),
        sa.CheckConstraint(f'"role" IN ({ROLES})', name="ck_sessions_role"),
        sa.CheckConstraint("\"kind\" IN ('browser', 'program')", name="ck_sessions_kind"),
        sa.PrimaryKeyConstraint("farm_id", "digest", name="pk_sessions"),
        sa.ForeignKeyConstraint(["farm_id"], ["farms.id"], name="fk_sessions_farm_id"),
    )


def downgrade() -> None:
    op.drop_table("sessions")
    op.drop_table("passwords")
