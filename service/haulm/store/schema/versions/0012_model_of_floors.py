"""Which model gave the figures when floors were last looked at."""

from alembic import op

revision = "0012"
down_revision = "0011"


def upgrade() -> None:
    # Whatever stands was looked at with the figures of the first release.
    op.execute("ALTER TABLE floors_followed ADD COLUMN model INTEGER DEFAULT 1 NOT NULL")


def downgrade() -> None:
    op.execute("ALTER TABLE floors_followed DROP COLUMN model")
