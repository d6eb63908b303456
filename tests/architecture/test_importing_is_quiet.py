"""Importing a module does no work: it opens no file of its own, no database, no connection, and starts no thread or process."""

import subprocess
import sys
from pathlib import Path

import pytest
from tests.architecture.house import PACKAGE, sources

WATCHER = """
import importlib, os, sys, threading
# /proc: prometheus_client asks the kernel about the process, which touches nothing.
ours = {sys.prefix, sys.base_prefix, sys.exec_prefix, os.path.dirname(os.__file__), "/proc"}
roots = tuple(os.path.realpath(path) + os.sep for path in ours)
loud = {"sqlite3.connect", "socket.connect", "socket.bind", "subprocess.Popen"}
watching = False

def hear(event, args):
    if not watching:
        return
    if event in loud:
        print(event)
    elif event == "open" and isinstance(args[0], (str, bytes)):
        path = os.path.realpath(os.fsdecode(args[0]))
        if not path.startswith(roots) and not path.endswith((".py", ".pyc")):
            print("open", path)

def start(thread):
    print("thread", thread.name)

sys.addaudithook(hear)
threading.Thread.start = start  # Python 3.11 has no audit event for a thread
sys.path.insert(0, sys.argv[1])
for name in sys.argv[2:]:
    watching = True
    importlib.import_module(name)
    watching = False
"""


def heard_while_importing(folder: Path, modules: list[str]) -> str:
    """What a fresh interpreter did beyond importing, a line for each act, while it imported `modules` from `folder`."""
    done = subprocess.run(
        [sys.executable, "-B", "-c", WATCHER, str(folder), *modules], capture_output=True, text=True, check=False, timeout=300
    )
    assert done.returncode == 0, done.stderr
    return done.stdout


def test_importing_the_package_does_no_work() -> None:
    modules = [module for module in sources() if not module.endswith("__main__")]

    assert heard_while_importing(PACKAGE.parent, modules) == ""


@pytest.mark.parametrize(
    ("source", "act"),
    [
        ("TEXT = open(__file__.replace('.py', '.txt')).read()", "open"),
        ("import threading\nthreading.Thread(target=int).start()", "thread"),
        ("import sqlite3\nsqlite3.connect(':memory:')", "sqlite3.connect"),
    ],
)
def test_work_at_import_is_heard(source: str, act: str, tmp_path: Path) -> None:
    (tmp_path / "noisy.py").write_text(source, encoding="utf-8")
    (tmp_path / "noisy.txt").write_text("read at import", encoding="utf-8")

    assert act in heard_while_importing(tmp_path, ["noisy"])


HEAVY = {
    *("pydantic", "fastapi", "uvicorn", "starlette", "numpy", "alembic", "sqlalchemy", "psycopg", "z3", "yaml", "durable_rules_engine"),
    "backports.zstd",
}
HOUSE = PACKAGE.parents[1] / "openapi" / "examples" / "house.request.json"
NEEDED = {
    "--help": set(),
    "evaluate": {"pydantic", "yaml", "durable_rules_engine"},
    "keys": {"pydantic", "yaml", "durable_rules_engine"},
    "serve": {"pydantic", "yaml", "durable_rules_engine", "fastapi", "starlette", "uvicorn"},
}
LOADED = """
import sys
from bondwright.cli import main
try:
    main(sys.argv[2:])
except SystemExit:
    pass
print("", "loaded", *(name for name in sys.argv[1].split(",") if name in sys.modules), file=sys.stderr)
"""


@pytest.mark.parametrize("name", NEEDED)
def test_a_command_loads_only_what_it_needs(name: str, tmp_path: Path) -> None:
    arguments = {
        "evaluate": [name, str(HOUSE)],
        "keys": [name, "create", "--tenant", "a", "--scope", "read", "--data", str(tmp_path)],
        "serve": [name, "--host", "192.0.2.1", "--no-auth"],  # refused before it listens, with all loaded that it is made of
    }

    done = subprocess.run(
        [sys.executable, "-c", LOADED, ",".join(sorted(HEAVY)), *arguments.get(name, [name])],
        capture_output=True,
        text=True,
        check=False,
        timeout=300,
    )

    first, *loaded = done.stderr.splitlines()[-1].split()
    assert (first, set(loaded)) == ("loaded", NEEDED[name])
