"""The command `bondwright`: its arguments, its exit status, and no traceback for an error raised on purpose.

A command is loaded when it is the one that is called: all of them together take longer to load than most take to run.
"""

import atexit
import errno
import os
import sys
from argparse import Action, ArgumentParser, RawDescriptionHelpFormatter
from collections.abc import Sequence
from io import TextIOWrapper

from bondwright.cli.commands import COMMANDS
from bondwright.cli.statuses import DONE, NOTHING, WANTING, WRONG_CALL
from bondwright.collecting import nothing_collected
from bondwright.errors import BondwrightError, NothingKept, WrongSetting
from bondwright.settings import calculate_on_one_thread

_STATUSES = """exit statuses:
  0  done
  1  found wanting: the rules, the record or what was checked
  2  wrong call, or input that cannot be used
  3  nothing there to examine: no record, or none of that tenant
  128 and the number of a signal: that signal stopped it"""


def main(arguments: Sequence[str] | None = None) -> int:
    """The exit status of the command that `arguments` ask for, by default the process's own. Raises: SystemExit, from argparse."""
    calculate_on_one_thread()
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, TextIOWrapper):
            stream.reconfigure(encoding="utf-8", errors="backslashreplace")
    given = sys.argv[1:] if arguments is None else list(arguments)
    with nothing_collected():
        asked = _parser(given[0] if given else "").parse_args(given)
    try:
        status: int = asked.run(asked)
        sys.stdout.flush()
    except BrokenPipeError:  # the reader has gone
        _write_no_more()
        return DONE
    except OSError as error:
        if error.errno != errno.ENOSPC:
            raise
        _write_no_more()
        print(f"bondwright: {error.strerror}, so that not all was written; make room and call again", file=sys.stderr)
        return WANTING
    except WrongSetting as error:
        print(f"bondwright: {error}", file=sys.stderr)
        return WRONG_CALL
    except NothingKept as error:
        print(f"bondwright: {error}", file=sys.stderr)
        return NOTHING
    except BondwrightError as error:
        print(f"bondwright: {error}", file=sys.stderr)
        return WANTING
    return status


def _write_no_more() -> None:
    """What is still buffered must not fail again when the interpreter closes its streams."""
    os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())


def run() -> None:
    """The process `bondwright`: what its arguments ask for, then its end. Raises: SystemExit, with the status.

    What the process holds is not taken apart at its end, which took 0.1 s of an evaluation (2026-12-01).
    """
    ended: list[int] = []
    # Registered first and so called last: threads have ended by then, and whatever else waits for the end is done.
    atexit.register(_leave, ended)
    try:
        ended.append(main())
    except SystemExit as leaving:
        ended += [leaving.code] if isinstance(leaving.code, int) else []
        raise
    sys.exit(ended[0])


def _leave(ended: Sequence[int]) -> None:
    """Leaves with that status; where there is none, something was raised, which the interpreter tells as it does."""
    if ended:
        try:
            for stream in (sys.stdout, sys.stderr):
                stream.flush()
        except (OSError, ValueError):  # nobody reads it any more, or it is full: the interpreter tells that too
            return
        os._exit(ended[0])


def _parser(called: str) -> ArgumentParser:
    """The parser of all commands, of which only the one that is called has its arguments."""
    parser = ArgumentParser(
        prog="bondwright",
        description="Decides which metalwork of an electrical installation needs protective bonding, and says why.",
        epilog=_STATUSES,
        formatter_class=RawDescriptionHelpFormatter,
        allow_abbrev=False,
    )
    parser.add_argument("--version", action=_Version, nargs=0, help="show the version and exit")
    commands = parser.add_subparsers(title="commands", metavar="COMMAND", required=True)
    for name, (what, fill) in COMMANDS.items():
        command = commands.add_parser(name, help=what, description=what, allow_abbrev=False)
        if name == called:
            fill(command)
    return parser


class _Version(Action):
    """Looks the version up once it is asked for."""

    def __call__(self, parser: ArgumentParser, *_: object) -> None:
        # Loaded here only: it takes longer than all else that `--help` needs.
        from importlib.metadata import version

        parser.exit(message=f"bondwright {version('bondwright')}\n")
