"""`bondwright export` and `bondwright import`: the whole record as a file that shows any change, and back."""

import sys
from argparse import ArgumentParser, Namespace
from collections.abc import Iterable, Iterator, Sequence
from contextlib import closing
from pathlib import Path

from bondwright.assembly import build
from bondwright.audit.exchange import digest_of
from bondwright.cli.arguments import add_data, add_tenant, asked_settings
from bondwright.cli.recorded.new_file import write_whole
from bondwright.cli.signals import hearing
from bondwright.cli.statuses import DONE, STOPPED, WRONG_CALL

_WHERE = "BONDWRIGHT_DATABASE, or BONDWRIGHT_DATA, or else ~/.local/share/bondwright"

_SHOWN = """\
The file is whole: no line was changed, left out or added by accident. Its digests show that its bytes hang together, not who made
them or when: whoever changes a record can work all of them out anew. `bondwright replay --all` shows whether each verdict follows from
the description and rule pack that are kept with it; not that these are what was sent then."""


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
    with closing(build(asked_settings(asked), to_read=True)) as bondwright, hearing() as heard:
        bondwright.demand_records(asked.tenant)
        lines = _Counted(bondwright.exported(asked.tenant), heard)
        try:
            write_whole(asked.file, lines)
        except FileExistsError:
            return _refuse(asked.file, "is there already; name a file that is not there yet")
        except OSError as error:
            return _refuse(asked.file, f"cannot be written ({error.strerror})")
        except _Stopped:
            print(f"{asked.file}: stopped, and not written; the same call writes it whole", file=sys.stderr)
            return STOPPED + heard[0]
    print(f"{lines.count} lines written to {asked.file}; the first and the last are head and end")
    print(f"digest of the last line: {digest_of(lines.last)}; keep it apart from the file, for it stands for all of it")
    return DONE


def _import(asked: Namespace) -> int:
    try:
        file = asked.file.open("rb")
    except OSError as error:
        return _refuse(asked.file, f"cannot be read ({error.strerror}); name a file that `bondwright export` wrote")
    with file, closing(build(asked_settings(asked))) as bondwright:
        lines = _Counted(file)
        added = bondwright.take_in(lines)
    print(f"{added} records taken in from {asked.file}")
    print(f"digest of the last line: {digest_of(lines.last)}; compare it with what the export told, kept apart from the file")
    print(_SHOWN)
    return DONE


class _Stopped(Exception):
    """A signal asked to stop."""


class _Counted:
    """Lines on their way: how many there were, and the last. Raises: _Stopped, before a line, once a signal was `heard`."""

    def __init__(self, lines: Iterable[bytes], heard: Sequence[int] = ()) -> None:
        self._lines, self._heard = lines, heard
        self.count, self.last = 0, b""

    def __iter__(self) -> Iterator[bytes]:
        for line in self._lines:
            if self._heard:
                raise _Stopped
            self.count, self.last = self.count + 1, line
            yield line


def _refuse(file: Path, why: str) -> int:
    print(f"{file}: {why}", file=sys.stderr)
    return WRONG_CALL
