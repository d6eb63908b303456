"""Where an answer worked out again differs from the one that was kept."""

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import orjson

from bondwright.audit.forms import FIRST, Judged, content_of, form_of, judged_in
from bondwright.errors import RecordBroken
from bondwright.members import replace
from bondwright.rulebook.withdrawal import Withdrawal

SAME, DIFFERENT, NOT_COMPARABLE = "same", "different", "not_comparable"
"""What two answers are byte for byte; not comparable where one is of form 1, or they are of two forms."""


@dataclass(frozen=True, slots=True)
class Difference:
    """The first place where two answers differ: `pointer` is a JSON Pointer (RFC 6901) into both.

    `was` and `now` are the values there as JSON text; none, where the place is in the other answer only. In answers that are not
    comparable byte for byte, `pointer` is into the one that was kept, if it has the place.
    """

    pointer: str
    was: str | None
    now: str | None


@dataclass(frozen=True, slots=True)
class Replay:
    """An evaluation worked out again from its record.

    `form_then`, `form_now`: the forms of the answer that was kept and of those that are worked out now. `same_bytes`: `same`, `different`,
    or `not_comparable` where the one that was kept is of form 1 or of another form than now. `same_levels`: every level and size is
    the same, in whatever form. `difference`: the first one, of bytes where these are comparable, else of levels and sizes.
    `not_evaluated`: why nothing could be compared, if so; then the three before it are none.
    `published_since`: packs usable on the day of the work that the answer does not name, for it was given before they were
    published. `not_at_hand`: packs that the answer names and that could not be asked again; what it says of them was taken as it stands.
    `withdrawn`: since when and why the pack is withdrawn that decided, if so.
    """

    evaluation_id: str
    pack_id: str
    pack_digest: str
    form_then: int
    form_now: int
    same_bytes: str | None
    same_levels: bool | None
    versions_then: Mapping[str, str]
    versions_now: Mapping[str, str]
    difference: Difference | None = None
    not_evaluated: str | None = None
    published_since: tuple[str, ...] = ()
    not_at_hand: tuple[str, ...] = ()
    withdrawn: Withdrawal | None = None

    @property
    def is_sound(self) -> bool:
        """Whether the record stands: its bytes are the same, or where they are not comparable, its levels and sizes."""
        return self.same_bytes == SAME or (self.same_bytes == NOT_COMPARABLE and self.same_levels is True)

    def compared(self, was: bytes, now: bytes) -> "Replay":
        """With what comes of comparing both answers, of the forms then and now. Raises: RecordBroken, if one of them cannot be read."""
        levels = first_difference_of_levels(was, now)
        if self.form_then == FIRST or self.form_then != self.form_now:
            return replace(self, same_bytes=NOT_COMPARABLE, same_levels=levels is None, difference=levels)
        found = first_difference(was, now)
        return replace(self, same_bytes=DIFFERENT if found else SAME, same_levels=levels is None, difference=found)


def first_difference(was: bytes, now: bytes) -> Difference | None:
    """The first difference between two JSON documents; none, if their bytes are the same.

    >>> first_difference(b'{"a":[1,2]}', b'{"a":[1,3]}')
    Difference(pointer='/a/1', was='2', now='3')
    """
    if was == now:
        return None
    try:
        found = next(_differences("", orjson.loads(was), orjson.loads(now)), None)
    except ValueError:
        found = None
    return found or Difference("", was.decode(errors="backslashreplace"), now.decode(errors="backslashreplace"))


def first_difference_of_levels(was: bytes, now: bytes) -> Difference | None:
    """The first verdict or size in which two answers differ, each of any form; none, if all their levels and sizes are the same.

    Raises: RecordBroken, if the form of one is not known, or a verdict in it cannot be read.

    >>> one = b'{"parts":[{"outcome":"main","act_on":"bond","because":[]}]}'
    >>> first_difference_of_levels(one, b'{"form":2,"parts":[{"outcome":"main","worst_case":"leave","act_on":"leave","because":[]}]}')
    Difference(pointer='/parts/0/act_on', was='"bond"', now='"leave"')
    """
    before, after = _by_subject(was), _by_subject(now)
    for key, one in before.items():
        other = after.get(key)
        if other is None:
            return Difference(one.pointer, _text(one.said()), None)
        here, there = one.said(), other.said()
        for name in {**here, **there}:
            if here.get(name) != there.get(name) or (name in here) != (name in there):
                member = one.members.get(name, name)
                return Difference(f"{one.pointer}/{member}", *(_text(some[name]) if name in some else None for some in (here, there)))
    return next((Difference(other.pointer, None, _text(other.said())) for key, other in after.items() if key not in before), None)


def _by_subject(evaluation: bytes) -> dict[tuple[str, str, int], Judged]:
    """Every verdict and size by subject and outcome, and which of several that one subject has."""
    found: dict[tuple[str, str, int], Judged] = {}
    seen: Counter[tuple[str, str]] = Counter()
    for one in judged_in(content_of(evaluation), form_of(evaluation)):
        about = (one.subject, one.outcome)
        found[*about, seen[about]] = one
        seen[about] += 1
    return found


def packs_named(evaluation: bytes) -> dict[str, tuple[str, tuple[str, ...]]]:
    """What a stored answer says of other packs, in its order: standard and differing lines by pack id."""
    try:
        named = content_of(evaluation)["pack"]["also_usable"]
        return {entry["pack_id"]: (entry["standard"], tuple(entry["differing"])) for entry in named}
    except (RecordBroken, TypeError, KeyError):
        return {}


def _differences(pointer: str, was: Any, now: Any) -> Iterator[Difference]:
    if isinstance(was, dict) and isinstance(now, dict):
        yield from _in_objects(pointer, was, now)
    elif isinstance(was, list) and isinstance(now, list):
        yield from _in_lists(pointer, was, now)
    elif orjson.dumps(was) != orjson.dumps(now):
        yield Difference(pointer, _text(was), _text(now))


def _in_objects(pointer: str, was: Mapping[str, Any], now: Mapping[str, Any]) -> Iterator[Difference]:
    for key in [*was, *(key for key in now if key not in was)]:
        inside = f"{pointer}/{key.replace('~', '~0').replace('/', '~1')}"
        if key in was and key in now:
            yield from _differences(inside, was[key], now[key])
        else:
            yield Difference(inside, _text(was[key]) if key in was else None, _text(now[key]) if key in now else None)
    if list(was) != list(now):
        yield Difference(pointer, _text(was), _text(now))


def _in_lists(pointer: str, was: Sequence[Any], now: Sequence[Any]) -> Iterator[Difference]:
    for number, (one, other) in enumerate(zip(was, now, strict=False)):
        yield from _differences(f"{pointer}/{number}", one, other)
    if len(was) != len(now):
        number = min(len(was), len(now))
        yield Difference(f"{pointer}/{number}", *(_text(side[number]) if number < len(side) else None for side in (was, now)))


def _text(value: Any) -> str:
    return orjson.dumps(value).decode()
