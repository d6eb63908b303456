"""`bondwright export` and `bondwright import`: the whole record as a file that shows any change, and back."""

import sys
from argparse import ArgumentParser, Namespace
from contextlib import closing
from pathlib import Path

from bondwright.assembly import build
from bondwright.cli.arguments import add_data, add_tenant, asked_settings
from bondwright.cli.statuses import DONE, WRONG_CALL

_WHERE = "BONDWRIGHT_DATABASE, or BONDWRIGHT_DATA, or else ~/.local/share/bondwright"


def add_export(out: ArgumentParser) -> None:
    """Gives the command its arguments."""
    out.add_argument("file", metavar="FILE", type=Path, help="a file that is not there yet")
    add_tenant(out)
    add_data(out, _WHERE)
    out.set_defaults(run=_export)


def add_import(back: ArgumentParser) -> None:
    """Gives the command its arguments."""
    back.add_argument("file", metavar="FILE", type=Path, help="a file that `export` wrote")
    add_data(back, _WHERE)
    back.set_defaults(run=_import)


def _export(asked: Namespace) -> int:
    with closing(build(asked_settings(asked), to_read=True)) as bondwright:
        bondwright.demand_records(asked.tenant)
        try:
            file = asked.file.open("xb")
        except OSError as error:
            return _refuse(asked.file, f"cannot be made ({error.strerror}); name a file that is not there yet")
        with file:
            count = sum(file.write(line) > 0 for line in bondwright.exported(asked.tenant))
    print(f"{count} lines written to {asked.file}; the first and the last are head and end")
    return DONE


def _import(asked: Namespace) -> int:
    try:
        file = asked.file.open("rb")
    except OSError as error:
        return _refuse(asked.file, f"cannot be read ({error.strerror}); name a file that `bondwright export` wrote")
    with file, closing(build(asked_settings(asked))) as bondwright:
        added = bondwright.take_in(file)
    print(f"{added} records taken in from {asked.file}")
    return DONE


def _refuse(file: Path, why: str) -> int:
    print(f"{file}: {why}", file=sys.stderr)
    return WRONG_CALL
