"""What is kept of the worked cases that a pack was published with, and where the cases at hand differ from it."""

import hashlib
from collections.abc import Iterable, Iterator, Mapping, Sequence

import orjson
from msgspec import Struct

from bondwright.cases.case import WHOLE, Case, Claim, Json
from bondwright.members import replace

Kept = Mapping[str, Mapping[str, Json]]
"""By name of the case and JSON Pointer into its file: each expectation, and a digest of what describes the installation."""


class Changed(Struct, frozen=True):
    """A kept expectation or description that the cases at hand do not have any more, or have otherwise.

    `pointer`: JSON Pointer into the file of the case; `/` where the whole case is gone. `was`, `now`: as JSON; `now` is empty for what is
    gone.
    """

    case: str
    pointer: str
    was: str
    now: str


def kept(claims: Iterable[tuple[Case, Claim]]) -> bytes:
    """What to keep of these claims, as JSON in one order: the same claims give the same bytes."""
    found: dict[str, dict[str, Json]] = {}
    for case, claim in claims:
        found.setdefault(case.name, {}).update(_of(claim))
    return orjson.dumps(found, option=orjson.OPT_SORT_KEYS | orjson.OPT_INDENT_2 | orjson.OPT_APPEND_NEWLINE)


def changes(before: Kept, cases: Sequence[Case]) -> tuple[Changed, ...]:
    """Every kept expectation that was changed or removed since, and every kept description that is another now; new ones are no change."""
    at_hand: dict[str, dict[str, Json]] = {
        case.name: {pointer: value for _, claim in case.claims for pointer, value in _of(claim).items()} for case in cases
    }
    return tuple(_changes(before, at_hand))


def as_kept(case: Case, kept: Kept) -> Iterator[tuple[str, Claim]]:
    """The claims of a case that were kept with the same description, each with its name and those of its expectations kept as they are."""
    then = kept.get(case.name, {})
    if not _stands(case.claim, then):
        return
    for name, claim in case.claims:
        if not _stands(claim, then):
            continue
        same = tuple(one for one in claim.expectations if one.pointer in then and then[one.pointer] == one.wanted)
        if same:
            yield name, replace(claim, expectations=same)


def _stands(claim: Claim, then: Mapping[str, Json]) -> bool:
    return bool(then.get(claim.described) == _of(claim)[claim.described])


def _changes(before: Kept, at_hand: Kept) -> Iterator[Changed]:
    for name, was in before.items():
        now = at_hand.get(name)
        if now is None:
            yield Changed(name, WHOLE, f"a case of {len(was)} lines", "")
            continue
        for pointer, value in was.items():
            if pointer not in now or now[pointer] != value:
                yield Changed(name, pointer, _json(value), _json(now[pointer]) if pointer in now else "")


def _of(claim: Claim) -> dict[str, Json]:
    described = orjson.dumps(claim.told, option=orjson.OPT_SORT_KEYS)
    return {
        claim.described: f"sha256:{hashlib.sha256(described).hexdigest()}",
        **{expectation.pointer: expectation.wanted for expectation in claim.expectations},
    }


def _json(value: Json) -> str:
    return orjson.dumps(value).decode()
