"""Who may come in: passwords, sessions, personal links."""

revision = "0002"
down_revision = "0001"


def upgrade() -> None:
    pass


def downgrade() -> None:
    pass
