"""What the steps are made of: their SQL, run on the connection that Alembic was given."""

from typing import Any

from alembic import op

from bondwright.audit.steps.statements import statements_of
from bondwright.errors import RecordBroken


def run(name: str) -> None:
    """Runs the statements of `name` for the database that is there."""
    dialect, connection = driver()
    for statement in statements_of(dialect, name):
        connection.execute(statement)


def driver() -> tuple[str, Any]:
    """The kind of database and the driver's own connection, in the transaction of the steps."""
    bind = op.get_bind()
    return bind.dialect.name, bind.connection.driver_connection


def demand_that_nothing_is_kept() -> None:
    """Nothing, if no record is kept. Raises: RecordBroken."""
    dialect, connection = driver()
    if dialect == "postgresql":
        # The owner would else see the records of no tenant, and find none.
        connection.execute("ALTER TABLE record NO FORCE ROW LEVEL SECURITY")
    if connection.execute("SELECT count(*) FROM record").fetchone()[0]:
        raise RecordBroken("records are kept here and nothing may remove them; export them first, into another database")


def demand_that_no_answer_begins_with(magic: bytes) -> None:
    """Nothing, if no answer is kept that does. Raises: RecordBroken."""
    dialect, connection = driver()
    if dialect == "postgresql":
        connection.execute("ALTER TABLE record NO FORCE ROW LEVEL SECURITY")
    text = f"x'{magic.hex()}'" if dialect == "sqlite" else f"'\\x{magic.hex()}'::bytea"
    found = connection.execute(f"SELECT count(*) FROM record WHERE substr(evaluation_bytes, 1, {len(magic)}) = {text}").fetchone()[0]
    if dialect == "postgresql":
        connection.execute("ALTER TABLE record FORCE ROW LEVEL SECURITY")
    if found:
        raise RecordBroken(
            f"{found} large answers are kept packed, which the step before cannot read; export the records, and take them in there"
        )
