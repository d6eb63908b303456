"""The process that works out what costs much, so that nobody else waits for it: `python -m bondwright.assembly.sharing.evaluating`.

It is told on its standard input which packs to use and what to work out, answers on its standard output, keeps no record, and ends when
its input does, also in the middle of its work.
"""

import gc
import logging
import os
import resource
import signal
import sys
from collections.abc import Mapping
from contextlib import closing
from datetime import UTC, date, datetime
from queue import SimpleQueue
from threading import Thread
from traceback import extract_tb
from typing import IO, Any

from bondwright.assembly.judging import Judge
from bondwright.assembly.parts import build_judge, versions
from bondwright.assembly.replaying import page_of_it, worked_out
from bondwright.assembly.sharing.frames import Ended, Frame, read_frame, write_frame
from bondwright.assembly.sharing.worked import head_of, head_of_error, worked
from bondwright.calculations.answer import answer_bytes
from bondwright.collecting import nothing_collected
from bondwright.compose.pack_used import AlsoUsable
from bondwright.report.page.written import Asked
from bondwright.rulebook.pack import RulePack
from bondwright.rulebook.withdrawal import Withdrawal
from bondwright.shelf.packs import load_pack

NICE = 10
"""How much it gives way to whatever else wants a processor."""
MOST_MEMORY_BYTES = 3 * 2**30
"""Of its data; a description that needs more is refused."""


def main() -> None:
    """Answers what it is asked until its input ends."""
    # A terminal or a supervisor may tell the whole group to stop: the one that asked stops in order, and this with its input.
    for number in (signal.SIGINT, signal.SIGTERM):
        signal.signal(number, signal.SIG_IGN)
    os.nice(NICE)
    resource.setrlimit(resource.RLIMIT_DATA, (MOST_MEMORY_BYTES, MOST_MEMORY_BYTES))
    asked, answers = sys.stdin.buffer, os.fdopen(os.dup(sys.stdout.fileno()), "wb")
    os.dup2(sys.stderr.fileno(), sys.stdout.fileno())  # whatever is printed must not stand among the answers
    heard: SimpleQueue[Frame] = SimpleQueue()
    Thread(target=_listen, args=(asked, heard), daemon=True).start()
    log = _Heard()
    logging.basicConfig(level=logging.INFO, handlers=[log], force=True)
    try:
        judge = _ready(*_told(heard.get().head))
    except Exception as error:
        write_frame(answers, {"packs": [], "versions": {}, "why": _raised(error)})
        return
    with closing(judge):
        write_frame(answers, {"packs": [pack.digest for pack in judge.packs], "versions": versions(), "why": None})
        while True:
            asked_for = heard.get()
            with nothing_collected():  # what was made for an answer is let go within, or every object of it would be looked at
                head, parts = _answer(judge, asked_for)
            write_frame(answers, head | {"log": log.taken()}, parts)


def _ready(digests: list[str], withdrawn: Mapping[str, Withdrawal]) -> Judge:
    """What judges by those packs; by those of them that there are, if some are missing."""
    judge = build_judge(digests, withdrawn)
    if len(judge.packs) == len(digests):
        judge.ready(datetime.now(UTC).date())
    gc.freeze()
    return judge


def _raised(error: Exception) -> str:
    """Type and places of an error, for its words may be a caller's."""
    return " ".join([type(error).__name__, *(f"{frame.filename}:{frame.lineno}" for frame in extract_tb(error.__traceback__))])


def _listen(asked: IO[bytes], heard: SimpleQueue[Frame]) -> None:
    try:
        while True:
            heard.put(read_frame(asked))
    except Ended:
        os._exit(0)  # whoever asked is gone, and nobody waits for what is being worked out


def _told(head: Mapping[str, Any]) -> tuple[list[str], dict[str, Withdrawal]]:
    withdrawn = [Withdrawal(pack_id, reason, date.fromisoformat(since), other) for pack_id, reason, since, other in head["withdrawn"]]
    return head["packs"], {one.pack_id: one for one in withdrawn}


def _answer(judge: Judge, asked: Frame) -> tuple[dict[str, Any], tuple[bytes, ...]]:
    try:
        match asked.head["ask"]:
            case "work_out":
                return {}, (worked_out(judge, *_recorded(judge, asked)),)
            case "page":
                body, text = page_of_it(judge, *_recorded(judge, asked), Asked(asked.head["why"], asked.head["whole"]))
                return {}, (body, text.encode())
            case "calculate":
                answer = judge.calculate(asked.head["name"], asked.parts[0])
                return {"pack_id": answer.pack_id}, (answer_bytes(answer),)
            case _:
                done = worked(judge.evaluate(asked.parts[0]))
                return head_of(done), (done.told.content, done.told.packed or b"")
    except Exception as error:
        return head_of_error(error) | {"at": _raised(error)}, ()


def _recorded(judge: Judge, asked: Frame) -> tuple[bytes, RulePack, list[RulePack | AlsoUsable]]:
    """The description, the pack that decides, and the others that the answer names."""
    raw, *texts = asked.parts
    packs = {
        digest: load_pack(text, f"published/{pack_id}.yaml") if text else judge.pack(digest)
        for (pack_id, digest), text in zip(asked.head["packs"], texts, strict=True)
    }
    also: list[RulePack | AlsoUsable] = [
        packs[one] if isinstance(one, str) else AlsoUsable(one[0], one[1], tuple(one[2])) for one in asked.head["also"]
    ]
    return raw, next(iter(packs.values())), also


class _Heard(logging.Handler):
    """What was logged since it was last taken: logger, level and words."""

    def __init__(self) -> None:
        super().__init__()
        self._lines: list[tuple[str, int, str]] = []

    def emit(self, record: logging.LogRecord) -> None:
        """Keeps one line."""
        self._lines.append((record.name, record.levelno, record.getMessage()))

    def taken(self) -> list[tuple[str, int, str]]:
        """The lines, which are then forgotten."""
        lines, self._lines = self._lines, []
        return lines


if __name__ == "__main__":
    main()
