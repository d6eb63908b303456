"""Takes a database up or down its steps, in a transaction that whoever asks for it opened and ends."""

from pathlib import Path
from typing import Any, Literal, TypeAlias

import sqlalchemy
from alembic.config import Config
from alembic.runtime.environment import EnvironmentContext
from alembic.runtime.migration import MigrationContext
from alembic.script import ScriptDirectory

from bondwright.audit.steps.statements import NOTHING, known_steps
from bondwright.errors import RecordBroken

Dialect: TypeAlias = Literal["sqlite", "postgresql"]

_DRIVERS: dict[Dialect, tuple[str, dict[str, Any]]] = {
    "sqlite": ("sqlite+pysqlite://", {}),
    "postgresql": ("postgresql+psycopg://", {"use_native_hstore": False}),
}


def take_steps(dialect: Dialect, connection: Any, to: str, at: str | None = None, schema: str | None = None) -> None:
    """Nothing, once the database has been taken up or down to the step `to`.

    `connection`: the driver's own, with a transaction open. `at`: the step where it stands, where the database itself says so; else
    Alembic's table does, in `schema`. Raises: RecordBroken, if a step refuses; the database's own errors.
    """
    config = Config()
    scripts = _scripts(config)
    if to not in (NOTHING, *(steps := known_steps())):
        raise RecordBroken(f"there is no step {to}; there are {steps[0]} to {steps[-1]}, and {NOTHING}")

    def path(standing: tuple[str, ...], _: MigrationContext) -> Any:
        is_up = to > (max(standing) if standing else "") and to != NOTHING
        return (scripts._upgrade_revs if is_up else scripts._downgrade_revs)(to, standing)  # type: ignore[arg-type]  # as its documentation calls them

    address, options = _DRIVERS[dialect]
    engine = sqlalchemy.create_engine(address, creator=lambda: _Lent(connection), poolclass=sqlalchemy.NullPool, **options)
    with EnvironmentContext(config, scripts, fn=path, destination_rev=to) as environment, engine.connect() as lent:
        environment.configure(connection=lent, version_table_schema=schema)
        if at is not None:
            environment.get_context().stamp(scripts, at)
        environment.run_migrations()


class _Lent:
    """A connection whose transaction and end are nobody's business but its owner's."""

    def __init__(self, connection: Any) -> None:
        self._connection = connection

    def __getattr__(self, name: str) -> Any:
        return getattr(self._connection, name)

    def commit(self) -> None:
        """Nothing."""

    def rollback(self) -> None:
        """Nothing."""

    def close(self) -> None:
        """Nothing."""


def _scripts(config: Config) -> ScriptDirectory:
    config.set_main_option("script_location", str(Path(__file__).parent).replace("%", "%%"))
    config.set_main_option("path_separator", "os")
    return ScriptDirectory.from_config(config)
