"""Mail on its way out, and what was done at its time."""

revision = "0003"
down_revision = "0002"


def upgrade() -> None:
    pass


def downgrade() -> None:
    pass
