"""Keys of callers, and the keys by which a request may be sent again and be answered as before."""

from bondwright.audit.steps.stepping import run

revision = "0003"
down_revision = "0002"


def upgrade() -> None:
    """Makes the tables."""
    run("0003_keys_up")


def downgrade() -> None:
    """Removes the tables; the records stay."""
    run("0003_keys_down")
