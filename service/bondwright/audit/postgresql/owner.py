"""What only the owner of the database does: takes it up and down its steps."""

import psycopg

from bondwright.audit.postgresql.connection import LATEST_STEP, SCHEMA, Connection, connect
from bondwright.audit.steps.running import take_steps
from bondwright.errors import RecordBroken

_ONE_OWNER = "SELECT pg_advisory_xact_lock(7165348520132)"


def step_of(address: str, patience_s: float = 5.0) -> str | None:
    """The step at which the database stands; none, before the first. Raises: RecordBroken."""
    with _connected(address, patience_s) as connection:
        return _step(connection)


def take(address: str, to: str = LATEST_STEP, patience_s: float = 5.0) -> tuple[str | None, str | None]:
    """From which step to which the database was taken, all the way or not at all.

    `to`: a step, or `base` for nothing at all. Raises: RecordBroken, and leaves everything as it was, if a step refuses or fails.
    """
    with _connected(address, patience_s) as connection:
        try:
            with connection.transaction():
                connection.execute(_ONE_OWNER)
                before = _step(connection)
                connection.execute(f"CREATE SCHEMA IF NOT EXISTS {SCHEMA}")
                take_steps("postgresql", connection, to, schema=SCHEMA)
                return before, _step(connection)
        except psycopg.Error as error:
            raise RecordBroken(f"the database was left as it was: {' '.join(str(error).split())}") from error


def _connected(address: str, patience_s: float) -> Connection:
    try:
        return connect(address, patience_s)
    except psycopg.Error as error:
        raise RecordBroken(f"the database cannot be reached: {' '.join(str(error).split())}") from error


def _step(connection: Connection) -> str | None:
    found = connection.execute("SELECT to_regclass('bondwright.alembic_version')").fetchone()
    if found is None or found[0] is None:
        return None
    row = connection.execute("SELECT version_num FROM bondwright.alembic_version").fetchone()
    return str(row[0]) if row else None
