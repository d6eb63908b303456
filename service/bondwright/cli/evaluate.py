"""`bondwright evaluate`: one description, one evaluation, recorded nowhere."""

import sys
from argparse import ArgumentParser, Namespace
from contextlib import closing
from pathlib import Path

from bondwright.assembly import build
from bondwright.assembly.judging import Evaluated
from bondwright.cli.arguments import add_format
from bondwright.cli.statuses import DONE, WRONG_CALL
from bondwright.errors import Refused
from bondwright.outline.making import outline_bytes
from bondwright.report.text import evaluation_text
from bondwright.settings import read_settings

STANDARD_INPUT = "-"
"""Stands for a description that comes by standard input."""


def add_evaluate(command: ArgumentParser) -> None:
    """Gives the command its arguments."""
    command.add_argument("file", metavar="FILE", help="a description in JSON, or - for standard input")
    add_format(command, outline="JSON that programs act on, in short")
    command.set_defaults(run=_evaluate)


def _evaluate(asked: Namespace) -> int:
    name = "standard input" if asked.file == STANDARD_INPUT else asked.file
    try:
        raw = sys.stdin.buffer.read() if asked.file == STANDARD_INPUT else Path(asked.file).read_bytes()
    except (OSError, ValueError) as error:
        reason = error.strerror if isinstance(error, OSError) else error
        print(f"{name}: cannot be read ({reason}); name a file with a description in JSON, or - for standard input", file=sys.stderr)
        return WRONG_CALL
    with closing(build(read_settings())) as bondwright:
        try:
            evaluated = bondwright.evaluate(raw)
        except Refused as error:
            for fault in error.faults:
                print(": ".join(part for part in (name, fault.pointer, fault.detail) if part), file=sys.stderr)
            return WRONG_CALL
    print(_written(evaluated, raw, asked.format), end="")
    return DONE


def _written(evaluated: Evaluated, raw: bytes, form: str) -> str:
    """What is printed of the answer to `raw`."""
    match form:
        case "json":
            return evaluated.body.decode()
        case "outline":
            return outline_bytes(evaluated.body, raw, evaluated.pack).decode()
        case _:
            return evaluation_text(evaluated.evaluation, evaluated.pack.say)
