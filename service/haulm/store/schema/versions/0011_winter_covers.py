"""What a batch stands under in winter: the column `winter_cover`."""

from alembic import op

revision = "0011"
down_revision = "0010"


def upgrade() -> None:
    # A column with its own check can be added on both databases; the table need not be copied.
    op.execute(
        "ALTER TABLE batches ADD COLUMN \"winter_cover\" VARCHAR DEFAULT 'none' NOT NULL CONSTRAINT "
        "ck_batches_winter_cover CHECK (\"winter_cover\" IN ('none', 'fleece', 'low_cover', 'mulch', 'snow'))"
    )


def downgrade() -> None:
    op.execute('ALTER TABLE batches DROP COLUMN "winter_cover"')
