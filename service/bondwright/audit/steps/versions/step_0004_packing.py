"""Large answers are kept packed, see `audit.rows.packing`: no table changes, but a service from before could not read them."""

from bondwright.audit.rows.packing import MAGIC
from bondwright.audit.steps.stepping import demand_that_no_answer_begins_with, run

revision = "0004"
down_revision = "0003"


def upgrade() -> None:
    """Numbers the step."""
    run("0004_packing_up")


def downgrade() -> None:
    """The same back. Raises: RecordBroken, if an answer is kept packed: records are never written anew."""
    demand_that_no_answer_begins_with(MAGIC)
    run("0004_packing_down")
