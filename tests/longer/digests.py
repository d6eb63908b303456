"""The record of answers: a line for each pack and worked case or near miss, and one for each 50 of the drawn descriptions."""

import hashlib
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from pathlib import Path

from tests.longer.described import drawn, worked
from tests.longer.judging import answered, standing

RECORD = Path(__file__).parent / "answers.sha256"
TOGETHER = 50
"""Drawn descriptions whose answers share a line."""
_WHOLE, _SHORT, _OF_DESCRIPTION = 16, 4, 8
"""Hex digits of SHA-256: of a line's answer or answers, of each answer of those that share a line, of what a line describes."""


@dataclass(frozen=True, slots=True)
class Entry:
    """What a line is about; `described` is a digest of the description, so that a case that was edited is another one."""

    pack_id: str
    described: str
    name: str


@dataclass(frozen=True, slots=True)
class Bundle:
    """The descriptions of one line, by name: one worked case or near miss, or some that were drawn."""

    name: str
    descriptions: Mapping[str, bytes]

    def entry(self, pack_id: str) -> Entry:
        """What the line of a pack is about."""
        return Entry(pack_id, _hex(b"\n".join(self.descriptions.values()))[:_OF_DESCRIPTION], self.name)

    def digest(self, pack_id: str) -> str:
        """Digest of the answer; where several share a line, of their digests in order, and then the beginning of each."""
        each = [_hex(answered(description, pack_id)) for description in self.descriptions.values()]
        if len(each) == 1:
            return each[0][:_WHOLE]
        return _hex("".join(each).encode())[:_WHOLE] + "".join(one[:_SHORT] for one in each)

    def differing(self, pack_id: str, recorded: str, chosen: Iterable[str]) -> list[str]:
        """Those of the `chosen` names whose answer is not the one that the line records."""
        places = {name: place for place, name in enumerate(self.descriptions)}
        alone = len(places) == 1
        kept = [recorded[:_WHOLE] if alone else recorded[_WHOLE + _SHORT * place :][:_SHORT] for place in places.values()]
        return [name for name in chosen if not _hex(answered(self.descriptions[name], pack_id)).startswith(kept[places[name]])]


def bundles() -> tuple[Bundle, ...]:
    """Everything whose answers are held, in the order of the record."""
    names = tuple(drawn())
    several = [names[start : start + TOGETHER] for start in range(0, len(names), TOGETHER)]
    alone = [Bundle(name, {name: description}) for name, description in worked().items()]
    return (*alone, *(Bundle(f"{some[0]} to {some[-1][-4:]}", {name: drawn()[name] for name in some}) for some in several))


def held_of(pack_id: str) -> tuple[Bundle, ...]:
    """What is held of a pack: everything of the newest revision of an edition, of an older one what is recorded of it.

    So a pack keeps the answers that it gave when it was the newest, and later cases are about its successors.
    """
    if pack_id in newest_ids():
        return bundles()
    return tuple(bundle for bundle in bundles() if bundle.entry(pack_id) in recorded())


@cache
def newest_ids() -> frozenset[str]:
    """The newest revision of each edition, of the packs that stand."""
    return frozenset({pack_id.rpartition("-r")[0]: pack_id for pack_id in standing()}.values())


@cache
def recorded() -> dict[Entry, str]:
    """The digest of every line of the record; empty where there is none yet."""
    lines = RECORD.read_text(encoding="utf-8").splitlines() if RECORD.exists() else []
    split = [line.split(" ", 3) for line in lines]
    return {Entry(pack_id, described, name): digest for pack_id, described, digest, name in split}


def write(digests: Mapping[Entry, str]) -> None:
    """Nothing, once the record holds these."""
    lines = (f"{entry.pack_id} {entry.described} {digest} {entry.name}\n" for entry, digest in digests.items())
    RECORD.write_text("".join(lines), encoding="utf-8")


def judged(pack_id: str, some: Sequence[Bundle]) -> dict[Entry, str]:
    """What the record would hold of these answers of a pack, judged now."""
    return {bundle.entry(pack_id): bundle.digest(pack_id) for bundle in some}


def _hex(data: bytes) -> str:
    return hashlib.sha256(data).hexdigest()
