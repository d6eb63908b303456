"""Answers that were given before, so that the same description sent again is not judged again; each is recorded anew all the same.

A reference changes nothing but itself: forty flats that are alike are judged once.
"""

import hashlib
import json
from collections import Counter
from collections.abc import Iterable
from contextlib import suppress
from typing import cast

import orjson
from msgspec import Struct

from bondwright.audit.marks import Told, told
from bondwright.compose.answer import FORM, Evaluation
from bondwright.installation.reading import reference_apart
from bondwright.members import replace
from bondwright.rulebook.memory import Memory
from bondwright.rulebook.pack import PackHead, RulePack

MOST_SENT, MOST_BYTES = 30_000, 100_000
"""Of a description whose answer is remembered, and of the answer: few are larger, and what is remembered stays bounded in bytes too."""


_BUT_FOR_REFERENCE = "answer but for its reference"


class Answer(Struct, frozen=True):
    """What a description is answered with: by which pack, the bytes with what is told of them, and how often each verdict is in them.

    `verdicts`: of parts, rooms and earthings, by (outcome, act_on). `price`: of the description, 0 where it was not asked for.
    """

    pack: RulePack
    told: Told
    verdicts: Counter[tuple[str, str]]
    price: int = 0


def answer_of(pack: RulePack, evaluation: Evaluation, body: bytes, price: int = 0) -> Answer:
    """The answer, `body` being the bytes of `evaluation`."""
    verdicts: Counter[tuple[str, str]] = Counter()
    of_parts, of_rooms = (one.verdicts for one in evaluation.parts), (one.verdicts for one in evaluation.rooms)
    for given in (*of_parts, *of_rooms, *(one.verdicts for one in evaluation.earthings)):
        verdicts.update((verdict.outcome, verdict.act_on) for verdict in given)
    return Answer(pack, told(evaluation, body), verdicts, price)


def _apart(raw: bytes) -> tuple[str, bytes] | None:
    """The reference of a description, and a digest of all else that it says; none, as `reference_apart`."""
    if sent := reference_apart(raw):
        with suppress(orjson.JSONEncodeError):  # whole numbers of more than 64 bits, which no description may hold
            return sent[0], hashlib.sha256(orjson.dumps(sent[1])).digest()
    return None


def _referred(answer: Answer, reference: str) -> Answer | None:
    """The answer under another reference, which it gives once, at its beginning; none, where it is not found there."""
    given, head = answer.told, _head(answer.told.marks.reference)
    if not given.content.startswith(head):
        return None
    content = _head(reference) + given.content[len(head) :]
    changed = Told(content, hashlib.sha256(content).hexdigest(), replace(given.marks, reference=reference))
    return replace(answer, told=changed)


def _head(reference: str) -> bytes:
    return orjson.dumps({"form": FORM, "reference": reference})[:-1] + b","


class Answers:
    """Remembers answers by all that an evaluation depends on: every pack with what is withdrawn, the form, and the bytes sent.

    An evaluation knows no clock, no chance and no setting: a replay rests on that too. Each tenant has its own, though they would be the
    same, so that how long an answer takes tells nobody what another described. May be shared between threads.
    """

    def __init__(self, memory: Memory | None, packs: Iterable[PackHead], withdrawn: Iterable[str]) -> None:
        """`packs`, `withdrawn`: all that may judge, and the ids of those that may not any more; neither changes afterwards.

        Without `memory` nothing is remembered.
        """
        self._memory = memory
        depends_on = [FORM, [(pack.pack_id, pack.digest) for pack in packs], sorted(withdrawn)]
        self._judged_by = hashlib.sha256(json.dumps(depends_on).encode()).digest()

    def before(self, tenant: str, raw: bytes) -> Answer | None:
        """What the tenant was answered to these bytes, if that is remembered."""
        if self._memory is None or len(raw) > MOST_SENT:
            return None
        return cast("Answer | None", self._memory.get(self._key(tenant, raw)))

    def keep(self, tenant: str, raw: bytes, pack: RulePack, evaluation: Evaluation, body: bytes, price: int = 0) -> Answer:
        """The answer, `body` being the bytes of `evaluation`; remembered from now on unless it is large."""
        answer = answer_of(pack, evaluation, body, price)
        if self._memory is not None and len(raw) <= MOST_SENT and len(body) <= MOST_BYTES:
            self._memory.put(self._key(tenant, raw), answer)
            if sent := _apart(raw):
                self._memory.put(self._key(tenant, sent[1], _BUT_FOR_REFERENCE), answer)
        return answer

    def under_other_reference(self, tenant: str, raw: bytes) -> Answer | None:
        """What the tenant was answered to the same description under another reference, or none, under that of these bytes."""
        if self._memory is None or len(raw) > MOST_SENT or (sent := _apart(raw)) is None:
            return None
        reference, rest = sent
        found = cast("Answer | None", self._memory.get(self._key(tenant, rest, _BUT_FOR_REFERENCE)))
        return found and _referred(found, reference)

    def _key(self, tenant: str, raw: bytes, kind: str = "answer") -> tuple[bytes, str, str, bytes]:
        # The bytes themselves: hashing them would hand the interpreter to another thread, for no gain.
        return self._judged_by, kind, tenant, raw
