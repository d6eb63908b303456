"""A connection to the database of records, and what is demanded of it before anything is kept there."""

import math
import select
import time
from collections.abc import Generator
from typing import Any, TypeVar

import psycopg
from psycopg.conninfo import conninfo_to_dict, make_conninfo

from bondwright.audit.steps.statements import triggers_named
from bondwright.errors import RecordBroken

Given = TypeVar("Given")

LATEST_STEP = "0004"
"""The step of the layout at which this service works."""

SCHEMA = "bondwright"
"""Where all tables stand."""

# What the server must say of itself: setting, what it may be. `local` would let a standby lose what was answered.
_SETTINGS = (("fsync", ("on",)), ("full_page_writes", ("on",)), ("synchronous_commit", ("on", "remote_apply", "remote_write")))

_ROLE = """
SELECT rolsuper OR rolbypassrls, (
    SELECT bool_or(pg_has_role(relowner, 'USAGE') OR has_table_privilege(oid, 'UPDATE, DELETE, TRUNCATE')) FROM pg_class
    WHERE relnamespace = 'bondwright'::regnamespace AND relkind = 'r'
)
FROM pg_roles WHERE rolname = current_user
"""

_UNGUARDED = """
SELECT string_agg(relname, ', ' ORDER BY relname) FROM pg_class
WHERE relnamespace = 'bondwright'::regnamespace AND relkind = 'r' AND relname NOT IN ('pack', 'key', 'alembic_version')
    AND NOT (relrowsecurity AND relforcerowsecurity)
"""

_TRIGGERS = """
SELECT tgname FROM pg_trigger JOIN pg_class ON tgrelid = pg_class.oid
WHERE relnamespace = 'bondwright'::regnamespace AND tgenabled IN ('O', 'A')
"""


class Connection(psycopg.Connection[tuple[Any, ...]]):
    """A connection that is given up when its server falls silent for longer than `silence_s`.

    A server that stands still keeps its connections, so nothing else would ever end the wait.
    """

    silence_s = math.inf

    def is_quiet(self) -> bool:
        """Whether it is still good, as far as can be told without asking: a server that goes sends word or hangs up."""
        if self.closed:
            return False
        poll = select.poll()
        poll.register(self, select.POLLIN)
        return not poll.poll(0)

    def wait(self, gen: Generator[Any, Any, Given], *args: Any, **named: Any) -> Given:
        """As the driver has it, through which every exchange with the server goes. Raises: psycopg.OperationalError, once given up."""
        return super().wait(self._answered(gen), *args, **named)

    def _answered(self, exchange: Generator[Any, Any, Given]) -> Generator[Any, Any, Given]:
        heard = time.monotonic()
        try:
            wanted = next(exchange)
            while True:
                if ready := (yield wanted):
                    heard = time.monotonic()
                elif time.monotonic() - heard > self.silence_s:
                    self.close()
                    raise psycopg.OperationalError(f"the server did not answer within {self.silence_s:g} s")
                wanted = exchange.send(ready)
        except StopIteration as end:
            given: Given = end.value
            return given


def connect(address: str, patience_s: float, *settings: str) -> Connection:
    """A connection whose commits wait for the disk, in a transaction of its own for every `with connection.transaction()`.

    `address`: as libpq takes it. `patience_s`: how long to wait, in seconds, for the server and for another who is writing. `settings`:
    further ones, such as `default_transaction_read_only=on`. Raises: psycopg.Error.
    """
    wait_ms = max(1, int(patience_s * 1000))
    ours = {
        "search_path": SCHEMA,
        "synchronous_commit": "on",
        "client_encoding": "UTF8",
        "lock_timeout": wait_ms,
        # So nobody who was stopped in the middle of a transaction holds up everyone else for longer.
        "idle_in_transaction_session_timeout": 4 * wait_ms,
    }
    options = [str(conninfo_to_dict(address).get("options") or ""), *(f"-c {name}={value}" for name, value in ours.items())]
    options += [f"-c {setting}" for setting in settings]
    conninfo = make_conninfo(
        address,
        options=" ".join(options).strip(),
        connect_timeout=max(2, round(patience_s)),
        application_name="bondwright",
        tcp_user_timeout=4 * wait_ms,
    )
    return Connection.connect(conninfo, autocommit=True)


def place_of(address: str) -> str:
    """Where the database is, in words and with no password. Raises: RecordBroken, if that is no address."""
    try:
        said = conninfo_to_dict(address)
    except psycopg.ProgrammingError:
        raise RecordBroken("BONDWRIGHT_DATABASE is no address; write postgresql://USER@HOST/NAME") from None
    name, host, user = (said.get(part) or f"the usual {part}" for part in ("dbname", "host", "user"))
    return f"database {name} at {host} as {user}"


def told(error: psycopg.Error) -> str:
    """What the driver says, in one line."""
    return " ".join(str(error).split())


def demand_fit(connection: Connection) -> None:
    """Nothing, if what is committed here survives a power cut, only what may be done can be done, and the layout is the one we know.

    Raises: RecordBroken; psycopg.Error.
    """
    demand_durable(connection)
    demand_latest_step(connection)
    demand_bounded(connection)


def demand_durable(connection: Connection) -> None:
    """Nothing, if the server's settings let commits survive a power cut and it is no standby. Raises: RecordBroken; psycopg.Error."""
    for setting, fit in _SETTINGS:
        if (found := _one(connection, f"SHOW {setting}")) not in fit:
            raise RecordBroken(f"the database is not durable: {setting} is {found}, would have to be {fit[0]}")
    if (found := _one(connection, "SHOW server_encoding")) != "UTF8":
        raise RecordBroken(f"the database cannot keep every text: its encoding is {found}, would have to be UTF8")


def demand_usable(address: str, patience_s: float) -> None:
    """Nothing, if the database can be reached and is at the step we work with. Raises: RecordBroken."""
    try:
        with connect(address, patience_s) as connection:
            demand_latest_step(connection)
    except psycopg.Error as error:
        raise RecordBroken(f"the database cannot be used: {told(error)}") from error


def demand_latest_step(connection: Connection) -> None:
    """Nothing, if the layout is at the step we work with. Raises: RecordBroken; psycopg.Error."""
    try:
        is_there = _one(connection, f"SELECT to_regclass('{SCHEMA}.alembic_version')") is not None
        found = _one(connection, "SELECT version_num FROM alembic_version") if is_there else None
    except psycopg.errors.InsufficientPrivilege:
        raise RecordBroken("this user may not read the database; its owner grants bondwright_application or bondwright_reader") from None
    if not is_there:
        raise RecordBroken("the database is not laid out; its owner runs `bondwright database up`")
    if found != LATEST_STEP:
        raise RecordBroken(f"the database stands at step {found}, would have to be {LATEST_STEP}; its owner runs `bondwright database up`")


def demand_bounded(connection: Connection) -> None:
    """Nothing, if whoever is connected can read and add, no more, and for one tenant at a time.

    Raises: RecordBroken; psycopg.Error.
    """
    if unguarded := _one(connection, _UNGUARDED):
        raise RecordBroken(f"the tenants are not kept apart: row-level security is not forced on {unguarded}")
    if not {name for (name,) in connection.execute(_TRIGGERS)} >= triggers_named(int(LATEST_STEP)):
        raise RecordBroken("the database is not append-only: a trigger was switched off or removed")
    row = connection.execute(_ROLE).fetchone()
    if row is None or any(row):
        raise RecordBroken("this user may do more than read and add records; connect as a mere member of bondwright_application")


def _one(connection: Connection, query: str) -> Any:
    row = connection.execute(query).fetchone()
    return row[0] if row else None
