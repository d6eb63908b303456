"""The forms that answers have had, and where each says what every form says: which level or size, on what grounds.

An answer names its form as its first member; the first answers did not, and are of form 1. What is kept stays in its form, so whatever
reads answers from a record reads them through this module.
"""

import re
from collections.abc import Iterator, Mapping
from typing import Any, TypeAlias

import orjson
from msgspec import Struct

from bondwright.compose.written.opening import opened
from bondwright.errors import RecordBroken

FIRST = 1
"""The form of answers that name none. The same bytes again are promised for later forms only."""

NOT_JUDGED = "not_judged"
"""What a verdict says to act on where no rule covers what it is about."""

LEVELS: Mapping[int, Mapping[str, str]] = {
    1: {"worst_case": "act_on", "lowest_possible": "lowest_possible", "firm": "firm"},
    2: {"worst_case": "worst_case", "lowest_possible": "lowest_possible", "firm": "firm"},
    3: {"worst_case": "worst_case", "lowest_possible": "lowest_possible", "firm": "firm"},
    4: {"worst_case": "worst_case", "lowest_possible": "lowest_possible", "firm": "firm"},
}
"""By form: what a verdict is known by here, and the member that has it."""

WITH_TABLES = 4
"""The first form in which verdicts, sizes, reasons, questions and sentences stand once each, in tables."""

SIZES: Mapping[str, str] = {name: name for name in ("lowest", "highest", "provisional", "firm")}
"""What a size is known by, in every form under the same names."""

_NAMED = re.compile(rb'\s*\{\s*"form"\s*:\s*([^\s,}]*)')
_SUBJECTS = ("part", "bond", "reading", "location", "earthing", "joins")


_Trail: TypeAlias = "tuple[_Trail, str | int, Any] | None"
"""The way to a place: the way to what it stands in, its name or number there, and what stands there."""


class Judged(Struct, frozen=True):
    """A verdict or a size, as an answer of any form says it.

    `members`: what it is known by, each with its member in this form; `content`: all of it, found by way of `trail`.
    """

    members: Mapping[str, str]
    content: Mapping[str, Any]
    trail: _Trail

    @property
    def outcome(self) -> str:
        """The outcome that was judged."""
        return str(self.content["outcome"])

    @property
    def worst_case(self) -> str | None:
        """The most cautious level that was not excluded; none for a size."""
        return self.content[self.members["worst_case"]] if "worst_case" in self.members else None

    @property
    def found_by(self) -> Iterator[str]:
        """The words by which a search finds it: the worst case; and, where no rule covers what it is about, that it is not judged."""
        if self.worst_case is not None:
            yield self.worst_case
        if self.content.get("act_on") == NOT_JUDGED:
            yield NOT_JUDGED

    @property
    def because(self) -> list[Mapping[str, Any]]:
        """The reasons."""
        found: list[Mapping[str, Any]] = self.content["because"]
        return found

    @property
    def questions(self) -> list[Mapping[str, Any]]:
        """What would settle it if it were known, nearest first: each with `fact`, `ask` and `pointer`, which may be none."""
        found: list[Mapping[str, Any]] = self.content["questions"]
        return found

    @property
    def pointer(self) -> str:
        """Its place in the answer, a JSON Pointer (RFC 6901)."""
        return "".join(f"/{name}" for name, _ in _steps(self.trail))

    @property
    def subject(self) -> str:
        """Part, bond, reading, location, earthing and what a link joins, as the answer names them on the way; else empty."""
        around = [value for _, value in _steps(self.trail)][:-1]
        named = [value[name] for value in around if isinstance(value, dict) for name in _SUBJECTS if isinstance(value.get(name), str)]
        return "/".join(name for name in named if name)

    def said(self) -> dict[str, Any]:
        """What it is known by, in the words of no form; what the answer leaves out is left out."""
        return {name: self.content[member] for name, member in self.members.items() if member in self.content}


def form_of(evaluation: bytes) -> int:
    """The form of an answer as it is stored; only its first bytes are read. Raises: RecordBroken, if it is none that is known."""
    found = _NAMED.match(evaluation)
    if found is None:
        return FIRST
    named = next((form for form in LEVELS if str(form).encode() == found[1]), None)
    if named is None:
        raise RecordBroken(
            f"the answer is of form {found[1].decode(errors='backslashreplace')}; this service reads {min(LEVELS)} to {max(LEVELS)}"
        )
    return named


def content_of(evaluation: bytes) -> dict[str, Any]:
    """The answer as JSON, of whatever form with everything in its place; empty for bytes that are no answer.

    Of form 4 a reason is no more than rule, clause, what it says and pack; the rest stands in the pack.
    Raises: RecordBroken, if its form is not known, or it points to what is not there.

    >>> content_of(b"[]")
    {}
    """
    try:
        content = orjson.loads(evaluation)
    except ValueError:
        return {}
    if not isinstance(content, dict):
        return {}
    if form_of(evaluation) < WITH_TABLES:
        return content
    try:
        return opened(content)
    except (KeyError, IndexError, TypeError, AttributeError) as error:
        raise RecordBroken(f"the answer points to what it does not have: {error}") from None


def judged_in(content: Mapping[str, Any], form: int) -> Iterator[Judged]:
    """Every verdict and size of an answer of that form, in its order.

    Wherever it stands, what has `because` is a verdict or size: so an answer of an older shape is read too.
    Raises: RecordBroken, if one has neither level nor number.
    """
    levels = LEVELS[form]
    level = levels["worst_case"]
    for found, trail in _with_because(content, None):
        if level in found:
            yield Judged(levels, found, trail)
        elif "highest" in found:
            yield Judged(SIZES, found, trail)
        else:
            raise RecordBroken(f"the answer has neither level nor size at {Judged(SIZES, found, trail).pointer}")


def _with_because(value: Any, trail: _Trail) -> Iterator[tuple[dict[str, Any], _Trail]]:
    if isinstance(value, dict):
        if "because" in value:
            yield value, trail
            return
        for name, member in value.items():
            if isinstance(member, dict | list):
                yield from _with_because(member, (trail, name, member))
        return
    for number, member in enumerate(value):
        if isinstance(member, dict | list):
            yield from _with_because(member, (trail, number, member))


def _steps(trail: _Trail) -> list[tuple[str | int, Any]]:
    """The steps of a trail, the first one first."""
    steps = []
    while trail is not None:
        trail, name, value = trail
        steps.append((name, value))
    return steps[::-1]
