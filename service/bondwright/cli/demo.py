"""`bondwright demo`: every shipped example, evaluated, recorded, read back and printed."""

import asyncio
import tempfile
from argparse import ArgumentParser, Namespace
from collections import Counter
from collections.abc import Sequence
from contextlib import ExitStack, closing
from pathlib import Path
from textwrap import fill

import orjson
from msgspec import Struct

from bondwright.assembly import Bondwright, Envelope, build
from bondwright.cli.arguments import add_data, add_format, asked_settings
from bondwright.cli.statuses import DONE, WANTING
from bondwright.compose.answer import Evaluation
from bondwright.errors import UnreadableRules
from bondwright.report.brief import brief_text
from bondwright.report.rows import WIDTH, wrapped
from bondwright.rulebook.held import Sentences
from bondwright.settings import Settings
from bondwright.shelf.packs import rules_folder

CASES = "bs7671/cases"
"""Where the shipped examples stand in the rules folder."""

_RULE = "=" * WIDTH


class Case(Struct, frozen=True):
    """A shipped example: what it claims, and the description as it would be sent."""

    name: str
    claim: str
    description: bytes


class Shown(Struct, frozen=True):
    """A case with its answer as read back from the record; `is_same`: those bytes were answered, and are those of `evaluation`."""

    case: Case
    body: bytes
    evaluation: Evaluation
    is_same: bool
    say: Sentences


def add_demo(command: ArgumentParser) -> None:
    """Gives the command its arguments."""
    add_format(command)
    add_data(command, "a temporary folder, removed at the end")
    command.set_defaults(run=_demo)


def shipped_cases(folder: Path) -> tuple[Case, ...]:
    """The examples in `folder`, by file name. Raises: UnreadableRules, if there is none or one cannot be read."""
    cases = tuple(_case(path) for path in sorted(folder.glob("*.json")))
    if not cases:
        raise UnreadableRules(CASES, 1, 1, "no example stands here; the rules folder is not whole")
    return cases


def _case(path: Path) -> Case:
    try:
        content = orjson.loads(path.read_bytes())
        return Case(path.stem, content["claim"], orjson.dumps(content["installation"]))
    except (OSError, ValueError, TypeError, KeyError):
        raise UnreadableRules(f"{CASES}/{path.name}", 1, 1, "not an example; it has `claim` and `installation`, in JSON") from None


def _demo(asked: Namespace) -> int:
    cases = shipped_cases(rules_folder() / CASES)
    with ExitStack() as leaving:
        settings = asked_settings(asked) if asked.data else Settings(Path(leaving.enter_context(tempfile.TemporaryDirectory())))
        bondwright = leaving.enter_context(closing(build(settings)))
        shown = _shown(bondwright, cases)
    print(_json(shown) if asked.format == "json" else _text(shown))
    return DONE if all(one.is_same for one in shown) else WANTING


def _shown(bondwright: Bondwright, cases: Sequence[Case]) -> list[Shown]:
    async def record() -> list[Envelope]:
        return [await bondwright.submit(case.description) for case in cases]

    answered = asyncio.run(record())
    judged = [bondwright.evaluate(case.description) for case in cases]
    kept = [bondwright.stored(envelope.evaluation_id).body for envelope in answered]
    return [
        Shown(case, body, one.evaluation, body == envelope.body and one.body in body, one.pack.say)
        for case, envelope, body, one in zip(cases, answered, kept, judged, strict=True)
    ]


def _text(shown: Sequence[Shown]) -> str:
    pages = [
        f"{_RULE}\n{fill(f'Example {number} of {len(shown)}. {one.case.claim}', WIDTH)}\n{_RULE}\n{brief_text(one.evaluation, one.say)}"
        for number, one in enumerate(shown, start=1)
    ]
    cautions = [wrapped(caution, "  - ") for caution in shown[0].evaluation.cautions]
    return "\n".join([*pages, "CAUTIONS", *cautions, "", _summary(shown)])


def _summary(shown: Sequence[Shown]) -> str:
    parts = [one.say(f"mark_{part.mark}") for one in shown for part in one.evaluation.parts]
    rooms = [one.say(f"mark_{room.mark}") for one in shown for room in one.evaluation.rooms]
    marks = ", ".join(f"{mark.lower()} {count}" for mark, count in sorted(Counter(parts + rooms).items()))
    same = sum(one.is_same for one in shown)
    read_back = "every record was read back the same" if same == len(shown) else f"ONLY {same} RECORDS WERE READ BACK THE SAME"
    return f"{len(shown)} examples with {len(parts)} parts and {len(rooms)} rooms ({marks}); {read_back}."


def _json(shown: Sequence[Shown]) -> str:
    examples = [
        {"case": one.case.name, "claim": one.case.claim, "read_back_the_same": one.is_same, "answer": orjson.Fragment(one.body)}
        for one in shown
    ]
    return orjson.dumps({"examples": examples, "summary": _summary(shown)}).decode()
