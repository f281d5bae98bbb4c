"""A customer's phone number, beside name and email, and blanked with them."""

from alembic import op

revision = "0023"
down_revision = "0021"

_ERASED = '"erased_at_utc" IS NULL OR "phone" IS NULL'


def upgrade() -> None:
    # One statement, so that SQLite need not copy a table that others refer to.
    op.execute(f'ALTER TABLE people ADD COLUMN "phone" VARCHAR CONSTRAINT ck_people_phone_erased CHECK ({_ERASED})')


def downgrade() -> None:
    op.execute('ALTER TABLE people DROP COLUMN "phone"')
