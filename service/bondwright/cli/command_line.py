"""The command `bondwright`: its arguments, its exit status, and no traceback for an error raised on purpose."""

import os
import sys
from argparse import ArgumentParser, RawDescriptionHelpFormatter
from collections.abc import Sequence
from importlib.metadata import version
from io import TextIOWrapper

from bondwright.cli.calculate import add_calculate
from bondwright.cli.database import add_database
from bondwright.cli.demo import add_demo
from bondwright.cli.evaluate import add_evaluate
from bondwright.cli.keys import add_keys
from bondwright.cli.recorded.exchange import add_exchange
from bondwright.cli.recorded.impact import add_impact
from bondwright.cli.recorded.replay import add_replay
from bondwright.cli.rules import add_rules
from bondwright.cli.serve import add_serve
from bondwright.cli.statuses import DONE, WANTING, WRONG_CALL
from bondwright.errors import BondwrightError, WrongSetting

_STATUSES = """exit statuses:
  0  done
  1  found wanting: the rules, the record or what was checked
  2  wrong call, or input that cannot be used
  128 and the number of a signal: that signal stopped it"""


def main(arguments: Sequence[str] | None = None) -> int:
    """The exit status of the command that `arguments` ask for, by default the process's own. Raises: SystemExit, from argparse."""
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, TextIOWrapper):
            stream.reconfigure(encoding="utf-8", errors="backslashreplace")
    asked = _parser().parse_args(arguments)
    try:
        status: int = asked.run(asked)
        sys.stdout.flush()
    except BrokenPipeError:
        # The reader has gone. What is still buffered must not fail again when the interpreter closes its streams.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return DONE
    except WrongSetting as error:
        print(f"bondwright: {error}", file=sys.stderr)
        return WRONG_CALL
    except BondwrightError as error:
        print(f"bondwright: {error}", file=sys.stderr)
        return WANTING
    return status


def _parser() -> ArgumentParser:
    parser = ArgumentParser(
        prog="bondwright",
        description="Decides which metalwork of an electrical installation needs protective bonding, and says why.",
        epilog=_STATUSES,
        formatter_class=RawDescriptionHelpFormatter,
        allow_abbrev=False,
    )
    parser.add_argument("--version", action="version", version=f"bondwright {version('bondwright')}")
    commands = parser.add_subparsers(title="commands", metavar="COMMAND", required=True)
    for add in (add_demo, add_evaluate, add_calculate, add_replay, add_exchange, add_impact, add_database, add_keys, add_serve, add_rules):
        add(commands)
    return parser
