"""What records are found by: a summary of each and its marks, worked out from the records that are kept."""

from bondwright.audit.steps.marks import fill_marks
from bondwright.audit.steps.stepping import run

revision = "0002"
down_revision = "0001"


def upgrade() -> None:
    """Makes the tables and fills them. Raises: RecordBroken, if a record is damaged: nothing may be said of it."""
    run("0002_marks_tables")
    fill_marks()
    run("0002_marks_triggers")


def downgrade() -> None:
    """Removes the tables; the records stay."""
    run("0002_marks_down")
