"""Why something in a pack is more lenient than in the pack that it follows, and what a pack keeps of its worked cases."""

import re
from dataclasses import dataclass
from datetime import date
from typing import Literal, TypeAlias

from bondwright.rulebook.facts import Place

About: TypeAlias = Literal["outcome", "change", "case"]

_AT_THE_END = re.compile(rb"^(?:(?:# ---- [^\n]*\n)?(?:lenient|words|cases):|# ==== words$)", re.MULTILINE)
_CASES = re.compile(rb"^(?:(?:# ---- [^\n]*\n)?cases:|# ==== words$)", re.MULTILINE)


@dataclass(frozen=True, slots=True)
class Because:
    """The reason for one step towards leniency from the pack `since`, in one sentence, with what it rests on.

    `about`: an outcome that becomes more lenient, a change whose direction cannot be worked out, or a worked case that was changed.
    `name`: which. `changed`: for a case, JSON Pointers into its file to what was changed or removed. `seen_on`: the day on which the
    source was seen, if that is told.
    """

    since: str
    about: About
    name: str
    changed: tuple[str, ...]
    says: str
    clause: str
    source: str
    kind: str
    confidence: str
    place: Place
    seen_on: date | None = None


@dataclass(frozen=True, slots=True)
class KeptCases:
    """The worked cases with which a pack was published: how many claims and expectations, and the SHA-256 of what is kept of them."""

    claims: int
    expectations: int
    digest: str


def rules_text(text: bytes) -> bytes:
    """The part of a pack's text that decides: what is said of leniency, words and cases stands behind it and is left out."""
    return _before(_AT_THE_END, text)


def draft_text(text: bytes) -> bytes:
    """The text of a pack as its rule files made it, without what publishing wrote of the cases and without its words."""
    return _before(_CASES, text)


def _before(end: re.Pattern[bytes], text: bytes) -> bytes:
    found = end.search(text)
    return text[: found.start()] if found else text
