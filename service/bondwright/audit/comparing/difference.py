"""Where an answer worked out again differs from the one that was kept."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import orjson


@dataclass(frozen=True, slots=True)
class Difference:
    """The first place where two answers differ: `pointer` is a JSON Pointer (RFC 6901) into both.

    `was` and `now` are the values there as JSON text; none, where the place is in the other answer only.
    """

    pointer: str
    was: str | None
    now: str | None


@dataclass(frozen=True, slots=True)
class Replay:
    """An evaluation worked out again from its record.

    `same`: every byte is. `difference`: the first one, if it is not. `not_evaluated`: why nothing could be compared, if so.
    `published_since`: packs usable on the day of the work that the answer does not name, for it was given before they were
    published. `not_at_hand`: packs that the answer names and that could not be asked again; what it says of them was taken as it stands.
    """

    evaluation_id: str
    pack_id: str
    pack_digest: str
    same: bool
    versions_then: Mapping[str, str]
    versions_now: Mapping[str, str]
    difference: Difference | None = None
    not_evaluated: str | None = None
    published_since: tuple[str, ...] = ()
    not_at_hand: tuple[str, ...] = ()


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


def packs_named(evaluation: bytes) -> dict[str, tuple[str, tuple[str, ...]]]:
    """What a stored answer says of other packs, in its order: standard and differing lines by pack id."""
    try:
        named = orjson.loads(evaluation)["pack"]["also_usable"]
        return {entry["pack_id"]: (entry["standard"], tuple(entry["differing"])) for entry in named}
    except (ValueError, TypeError, KeyError):
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
