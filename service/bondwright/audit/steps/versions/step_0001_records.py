"""Rule packs and evaluations, which can be added and never changed."""

from bondwright.audit.steps.stepping import demand_that_nothing_is_kept, run

revision = "0001"
down_revision = None


def upgrade() -> None:
    """Makes the tables."""
    run("0001_records_up")


def downgrade() -> None:
    """Removes the tables. Raises: RecordBroken, if anything is kept in them."""
    demand_that_nothing_is_kept()
    run("0001_records_down")
