"""The other process, seen from the one that asks: started when it is first needed, started anew when it was ended."""

import logging
import subprocess
import sys
from collections.abc import Mapping, Sequence
from contextlib import suppress
from threading import Lock
from typing import IO, Any

from msgspec import Struct

from bondwright.assembly.sharing.frames import Ended, Frame, read_frame, write_frame
from bondwright.assembly.sharing.worked import Unforeseen, Worked, error_of, worked_of
from bondwright.audit.record import PackRecord
from bondwright.compose.pack_used import AlsoUsable
from bondwright.errors import CutOff
from bondwright.report.page.written import Asked
from bondwright.rulebook.pack import RulePack
from bondwright.rulebook.withdrawal import Withdrawal

COMMAND = (sys.executable, "-P", "-m", "bondwright.assembly.sharing.evaluating")
"""What starts it."""

_log = logging.getLogger(__name__)


class Ways(Struct, frozen=True):
    """By what both processes must judge alike: digests of the packs, which of them are withdrawn, and what answers, by name."""

    packs: tuple[str, ...]
    withdrawn: tuple[Withdrawal, ...]
    versions: Mapping[str, str]


class Apart:
    """Has descriptions evaluated by a process of its own, one at a time; close it at the end."""

    def __init__(self, ways: Ways, command: Sequence[str] = COMMAND) -> None:
        self._ways, self._command = ways, tuple(command)
        self._asking, self._starting = Lock(), Lock()
        self._process: subprocess.Popen[bytes] | None = None
        self._is_ready = self._closed = self._unfit = False
        self._started = 0

    @property
    def pid(self) -> int | None:
        """Of the process, while there is one."""
        return self._process.pid if self._process is not None and self._process.poll() is None else None

    @property
    def started(self) -> int:
        """How often one was started."""
        return self._started

    def evaluate(self, raw: bytes) -> Worked:
        """What came of a description. Raises as evaluating it here would; CutOff; Unforeseen."""
        with self._asking:
            return worked_of(self._asked({"ask": "evaluate"}, (raw,)))

    def calculate(self, name: str, raw: bytes) -> tuple[str, bytes]:
        """The id of the pack and the bytes of the answer of a calculation. Raises as calculating it here would; CutOff; Unforeseen."""
        with self._asking:
            answer = self._asked({"ask": "calculate", "name": name}, (raw,))
            return answer.head["pack_id"], answer.parts[0]

    def work_out(self, raw: bytes, kept: PackRecord, others: Sequence[RulePack | AlsoUsable]) -> bytes:
        """The bytes of an evaluation, see `replaying.WorkOut`. Raises as `evaluate`."""
        return self._again(raw, kept, others, {"ask": "work_out"}).parts[0]

    def page(self, raw: bytes, kept: PackRecord, others: Sequence[RulePack | AlsoUsable], asked: Asked) -> tuple[bytes, str]:
        """These bytes and a text, see `replaying.PageOut`. Raises as `evaluate`."""
        body, text = self._again(raw, kept, others, {"ask": "page", "why": asked.why, "whole": asked.whole}).parts
        return body, text.decode()

    def _again(self, raw: bytes, kept: PackRecord, others: Sequence[RulePack | AlsoUsable], ask: Mapping[str, Any]) -> Frame:
        packs = [(kept.pack_id, kept.digest, kept.text)]
        also: list[str | list[Any]] = []
        for other in others:
            if isinstance(other, RulePack):
                packs.append((other.pack_id, other.digest, other.text))
                also.append(other.digest)
            else:
                also.append([other.pack_id, other.standard, list(other.differing)])
        texts = [b"" if digest in self._ways.packs else text for _, digest, text in packs]  # it has those that are published
        with self._asking:
            head = {**ask, "packs": [[pack_id, digest] for pack_id, digest, _ in packs], "also": also}
            return self._asked(head, (raw, *texts))

    def check(self) -> None:
        """Nothing, unless it could not be started when it was last needed, and cannot now. Raises: CutOff."""
        if self._unfit:
            with self._asking:
                self._running()

    def close(self) -> None:
        """Nothing, once the process is gone; whoever waits for it gets CutOff."""
        with self._starting:
            self._closed = True
            process = self._process
        if process is not None:
            process.kill()  # it keeps nothing
            process.wait()
            with self._asking:
                _let_go(process)

    def _asked(self, head: dict[str, Any], parts: Sequence[bytes]) -> Frame:
        process = self._running()
        try:
            write_frame(_there(process.stdin), head, parts)
            answer = read_frame(_there(process.stdout))
        except (Ended, OSError) as error:
            raise self._ended(process) from error
        for name, level, words in answer.head["log"]:
            logging.getLogger(name).log(level, "%s", words)
        if "raised" in answer.head:
            raised = error_of(answer.head)
            if isinstance(raised, Unforeseen):
                _log.error("the evaluating process raised %s", answer.head["at"])
            raise raised
        return answer

    def _running(self) -> "subprocess.Popen[bytes]":
        """The process, ready to be asked. Raises: CutOff."""
        process = self._process
        if process is None or process.poll() is not None:
            self._unfit = True
            process = self._start()
        if not self._is_ready:
            self._unfit = True
            try:
                fitting = read_frame(_there(process.stdout)).head
            except Ended as error:
                raise self._ended(process) from error
            if (tuple(fitting["packs"]), fitting["versions"]) != (self._ways.packs, dict(self._ways.versions)):
                process.kill()
                process.wait()
                unlike = CutOff("the evaluating process judges by other packs or another version; start the service anew")
                _log.error("%s%s", unlike, f": {fitting['why']}" if fitting["why"] else "")
                raise unlike
            self._is_ready, self._unfit = True, False
        return process

    def _start(self) -> "subprocess.Popen[bytes]":
        with self._starting:
            if self._closed:
                raise CutOff("the service is being closed")
            self._is_ready = False
            if self._process is not None:
                _let_go(self._process)
            try:
                process = subprocess.Popen(self._command, stdin=subprocess.PIPE, stdout=subprocess.PIPE)
            except OSError as error:
                raise CutOff(f"the evaluating process could not be started: {error.strerror}") from error
            self._process, self._started = process, self._started + 1
        withdrawn = [[one.pack_id, one.reason, one.since.isoformat(), one.successor] for one in self._ways.withdrawn]
        try:
            write_frame(_there(process.stdin), {"packs": self._ways.packs, "withdrawn": withdrawn})
        except OSError as error:
            raise self._ended(process) from error
        return process

    def _ended(self, process: "subprocess.Popen[bytes]") -> CutOff:
        """The error of whoever waits for a process that has ended; another is started, unless it never got ready."""
        process.kill()  # it may have closed its output alone
        status = process.wait()
        _let_go(process)
        was_ready = self._is_ready
        error = CutOff(f"the evaluating process ended with {status}")
        if not self._closed:
            _log.error("%s", error)
            if was_ready:
                self._start()
        return error


def _there(pipe: IO[bytes] | None) -> IO[bytes]:
    assert pipe is not None, "it was started with pipes"
    return pipe


def _let_go(process: "subprocess.Popen[bytes]") -> None:
    """Closes the pipes to a process that is gone; what was still to be sent is lost with it."""
    for pipe in (process.stdin, process.stdout):
        with suppress(OSError):
            _there(pipe).close()
