"""`bondwright evaluate`: one description, one evaluation, recorded nowhere."""

import sys
from argparse import ArgumentParser, Namespace
from contextlib import closing
from pathlib import Path

from bondwright.assembly import build
from bondwright.cli.arguments import add_format
from bondwright.cli.statuses import DONE, WRONG_CALL
from bondwright.collecting import nothing_collected
from bondwright.errors import Refused
from bondwright.outline.making import outline_bytes
from bondwright.report.page.shape import Calls
from bondwright.report.page.why import names_known
from bondwright.report.page.written import Asked, asked_text
from bondwright.settings import read_settings

CALLS = Calls(why="--why NAME", full="--full")
"""How the page says that more is asked for."""
STANDARD_INPUT = "-"
"""Stands for a description that comes by standard input."""


def add_evaluate(command: ArgumentParser) -> None:
    """Gives the command its arguments."""
    command.add_argument("file", metavar="FILE", help="a description in JSON, or - for standard input")
    add_format(command, outline="JSON that programs act on, in short")
    pages = command.add_mutually_exclusive_group()
    pages.add_argument("--why", metavar="NAME", help="everything behind one part, location or circuit, as the page names it, or `supply`")
    pages.add_argument("--full", action="store_true", help="the whole answer with every reason, instead of the page for the site")
    command.set_defaults(run=_evaluate)


def _evaluate(asked: Namespace) -> int:
    name = "standard input" if asked.file == STANDARD_INPUT else asked.file
    try:
        raw = sys.stdin.buffer.read() if asked.file == STANDARD_INPUT else Path(asked.file).read_bytes()
    except (OSError, ValueError) as error:
        reason = error.strerror if isinstance(error, OSError) else error
        print(f"{name}: cannot be read ({reason}); name a file with a description in JSON, or - for standard input", file=sys.stderr)
        return WRONG_CALL
    if asked.format == "json" and (asked.full or asked.why is not None):
        print("--why and --full give text; leave out --format json, which has every reason already", file=sys.stderr)
        return WRONG_CALL
    with nothing_collected(), closing(build(read_settings())) as bondwright:
        try:
            evaluated = bondwright.evaluate(raw)
        except Refused as error:
            for fault in error.faults:
                print(": ".join(part for part in (name, fault.pointer, fault.detail) if part), file=sys.stderr)
            return WRONG_CALL
    described = evaluated.evaluation, evaluated.installation, evaluated.pack
    match asked.format:
        case "json":
            told: str | None = evaluated.body.decode()
        case "outline":
            told = outline_bytes(evaluated.body, raw, evaluated.pack).decode()
        case _:
            told = asked_text(*described, Asked(asked.why, asked.full), CALLS)
    if told is None:
        print(f"{name}: nothing is called `{asked.why}`; name one of: {', '.join(names_known(*described))}", file=sys.stderr)
        return WRONG_CALL
    print(told, end="")
    return DONE
