"""The last version of a farm that changed what is matched: a letter that was sent makes no answer old."""

from alembic import op

revision = "0020"
down_revision = "0019"


def upgrade() -> None:
    op.execute(
        'ALTER TABLE farms ADD COLUMN "changed_version" INTEGER DEFAULT 0 NOT NULL CONSTRAINT '
        'ck_farms_changed_version CHECK ("changed_version" >= 0)'
    )
    # What was worked out before rests on the version itself.
    op.execute("UPDATE farms SET changed_version = version")


def downgrade() -> None:
    op.execute('ALTER TABLE farms DROP COLUMN "changed_version"')
