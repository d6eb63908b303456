"""A longer run than the suite's, outside it and bounded in time: `uv run python -m tests.api.fuzzing.long_run --help`.

Requests differ from run to run; the seed that is printed repeats one. The exit status is 0 only if nothing was found.
"""

import argparse
import secrets
import sys
import tempfile
from collections import Counter
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from tests.api.fuzzing.report import Report
from tests.api.fuzzing.run import fuzz
from tests.api.fuzzing.subject import subject
from tests.audit.conftest import laid_out
from tests.postgresql_server import PostgresqlServer

from bondwright.shelf.packs import rules_folder
from bondwright.shelf.published import on_shelf


def main() -> int:
    """Fuzz, and print what was done and found."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--seconds", type=int, default=600, help="how long it may take (default: 600)")
    parser.add_argument("--examples", type=int, default=300, help="examples for each operation and phase (default: 300)")
    parser.add_argument("--seed", type=int, default=secrets.randbits(32), help="repeats the run that printed it")
    parser.add_argument("--postgresql", action="store_true", help="keep the records in a PostgreSQL server of its own")
    asked = parser.parse_args()
    options = [f"--max-time={asked.seconds}", f"--max-examples={asked.examples}"]
    with (
        tempfile.TemporaryDirectory() as folder,
        database(asked.postgresql) as (address, owner),
        subject(on_shelf(rules_folder()), Path(folder), database=address, owner=owner) as (app, keys),
    ):
        report = fuzz(app, keys, Path(folder), *options, seed=asked.seed)
    print(f"seed {asked.seed}\n{summary(report)}")
    return report.status


@contextmanager
def database(wanted: bool) -> Iterator[tuple[str, str]]:
    """The addresses of a database that is laid out, for the service and for its owner; both empty, if none is wanted."""
    if not wanted:
        yield "", ""
        return
    server = PostgresqlServer()
    try:
        address = laid_out(server)
        yield address, server.as_owner(address)
    finally:
        server.remove()


def summary(report: Report) -> str:
    """What was sent and found, in a few lines; the whole story, if something was."""
    phases = Counter(one.phase for one in report.sent)
    statuses = Counter(str(one.status) for one in report.sent)
    faults = sum(times for status, times in statuses.items() if status.startswith("5") or status == "None")
    told = [
        f"{len(report.sent)} requests to {report.operations} operations",
        "by phase: " + ", ".join(f"{phase} {times}" for phase, times in sorted(phases.items())),
        "by status: " + ", ".join(f"{status} {times}" for status, times in sorted(statuses.items())),
        f"{faults} answers of 5xx or none, {len(report.found)} checks failed",
    ]
    return "\n".join([*([] if report.status == 0 else [report.said]), *told])


if __name__ == "__main__":
    sys.exit(main())
