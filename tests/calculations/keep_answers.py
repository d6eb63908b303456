"""The record of answers of calculations, by every pack that stands: `uv run python -m tests.calculations.keep_answers` keeps it.

It writes what is new and takes out what is gone; an answer that differs is overwritten with `--new-form` alone.
"""

import gzip
import hashlib
import sys
from collections.abc import Mapping
from functools import cache
from pathlib import Path
from typing import Any, TypeAlias

import orjson
from tests.described import standing, terms

from bondwright.calculations.answer import CalculationAnswer, answer_bytes
from bondwright.calculations.catalogue import CALCULATIONS, calculate
from bondwright.conclude.concluding import plainly
from bondwright.errors import Refused
from bondwright.installation.documents import read_document
from bondwright.report.calculation import calculation_text
from bondwright.rulebook.pack import RulePack

RECORD = Path(__file__).with_name("answers.sha256")
INPUTS = RECORD.with_name("inputs.jsonl.gz")
"""Inputs, a line each: those of worked calculations and of documented examples, and some of 2,500 drawn ones for each calculation: those
whose answer said what none before it did, by one of six packs, a few more, and three that are refused.
"""
_DIGITS = 16

Entry: TypeAlias = tuple[str, str]
"""A pack and a calculation, by their names."""


@cache
def inputs() -> Mapping[str, tuple[dict[str, Any], ...]]:
    """What each calculation is asked, by its name."""
    lines = [orjson.loads(line) for line in gzip.decompress(INPUTS.read_bytes()).splitlines()]
    return {name: tuple(line["inputs"] for line in lines if line["calculation"] == name) for name in CALCULATIONS}


def answer(pack: RulePack, name: str, asked: Mapping[str, Any]) -> CalculationAnswer:
    """The answer to one of them, by the plain reader alone. Raises: Refused."""
    read, _ = read_document(orjson.dumps(asked), CALCULATIONS[name].inputs, terms())
    return calculate(CALCULATIONS[name], read, pack, plainly(pack))


def said(pack: RulePack, name: str, asked: Mapping[str, Any]) -> bytes:
    """The answer as JSON and as a page; of one that is refused, its faults."""
    try:
        given = answer(pack, name, asked)
    except Refused as error:
        return orjson.dumps([[fault.pointer, fault.detail] for fault in error.faults])
    return answer_bytes(given) + calculation_text(given, pack.say).encode()


def digest(pack: RulePack, name: str) -> str:
    """Of the answers to all that a calculation is asked here, in order; SHA-256 in hex, the beginning."""
    return hashlib.sha256(b"\n".join(said(pack, name, asked) for asked in inputs()[name])).hexdigest()[:_DIGITS]


def digests() -> dict[Entry, str]:
    """What the record would hold, worked out now."""
    return {(pack.pack_id, name): digest(pack.whole(), name) for pack in standing() for name in CALCULATIONS}


def recorded() -> dict[Entry, str]:
    """The digest of every line of the record; empty where there is none yet."""
    lines = RECORD.read_text(encoding="utf-8").splitlines() if RECORD.exists() else []
    return {(pack_id, name): held for pack_id, name, held in (line.split() for line in lines)}


def main() -> int:
    """What the command ends with: 0; 1 where answers differ and nothing was written."""
    kept, now = recorded(), digests()
    differing = [entry for entry in now if kept.get(entry, now[entry]) != now[entry]]
    for pack_id, name in differing:
        print(pack_id, name, "differs")
    if differing and "--new-form" not in sys.argv:
        return 1
    RECORD.write_text("".join(f"{pack_id} {name} {held}\n" for (pack_id, name), held in now.items()), encoding="utf-8")
    return 0


if __name__ == "__main__":
    sys.exit(main())
