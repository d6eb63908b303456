"""The same installation under other names and in another order, and evaluations without names and order."""

import random
from collections.abc import Callable, Iterator, Mapping
from typing import Any, TypeAlias

from hypothesis import strategies as st
from tests.members import as_mapping
from tests.properties.descriptions import Said
from tests.properties.judged import Judged

from bondwright.compose.answer import BondAnswer, PartAnswer, Question, SizeVerdict, Verdict

_REORDERED = frozenset({"services", "detailed_services", "items", "locations", "circuits", "bonds", "measurements"})
_NAMED = _REORDERED | {"sections"}
_TAILS = frozenset({"entering", "inside", "beyond", "near-end", "far-end"})

Moves: TypeAlias = Mapping[str, str]
"""Old pointer by new pointer, of every object that moved or may hold one that did."""


@st.composite
def relabelled(draw: st.DrawFn, said: Said) -> tuple[Said, Moves]:
    """`said` in another order and with other names."""
    moves: dict[str, str] = {}
    numbers = iter(random.Random(draw(st.integers(0, 255))).sample(range(300), 300))

    def copy(value: Any, old: str, new: str) -> Any:
        moves[new] = old
        if isinstance(value, dict):
            return {key: copy(inner, f"{old}/{key}", f"{new}/{key}") for key, inner in value.items()}
        if not isinstance(value, list):
            return value
        key = old.rsplit("/", 1)[-1]
        if value and not isinstance(value[0], dict):
            return value
        order = draw(st.permutations(range(len(value)))) if key in _REORDERED else range(len(value))
        copied = [copy(value[index], f"{old}/{index}", f"{new}/{number}") for number, index in enumerate(order)]
        nameable = key in _NAMED and not (key == "services" and "/locations" in old)
        return [{**one, "id": f"n{next(numbers)}"} for one in copied] if nameable else copied

    return copy(said, "", ""), moves


def unnamed(one: Judged, moves: Moves | None = None) -> Mapping[str, Any]:
    """Everything that an evaluation says but names, order and the lines that hold names; places as they were before `moves`."""

    def was(pointer: str) -> str:
        return pointer if moves is None else moves[pointer]

    keys = {node: _key(node, length.pointer, was) for node, length in one.surveyed.lengths.items()}
    evaluation = one.evaluation
    return {
        "parts": {keys[part.part]: _part(part, keys, was) for part in evaluation.parts},
        "rooms": {
            was(room.pointer): (
                room.act,
                room.tests,
                [_verdict(verdict, was) for verdict in room.verdicts],
                [_verdict(verdict, was) for verdict in room.findings],
                [_size(link.least_size, was) for link in room.links],
                _size(room.resistance_limit, was),
            )
            for room in evaluation.rooms
        },
        "sizes": [_size(evaluation.main_bond_size, was), _size(evaluation.earthing_conductor_size, was)],
        "plan": {
            "connections": {(keys[made.part], made.place, made.size) for made in evaluation.plan.connections},
            "bonded": {keys[name] for name in evaluation.plan.bonded},
            "covered": {keys[name] for name in evaluation.plan.covered},
        },
        "earthings": [
            (was(one.pointer), one.act, [_verdict(verdict, was) for verdict in (*one.verdicts, *one.findings)])
            for one in evaluation.earthings
        ],
        "feeder": evaluation.feeder and _verdict(evaluation.feeder.verdict, was),
        "choices": evaluation.choices,
    }


def _key(node: str, pointer: str, was: Callable[[str], str]) -> str:
    tail = node.rsplit("/", 1)[-1]
    return f"{was(pointer)} {tail if tail in _TAILS else ''}"


def _part(part: PartAnswer, keys: Mapping[str, str], was: Callable[[str], str]) -> Mapping[str, Any]:
    return {
        "act": (part.act, part.mark, part.place, part.customer, part.count),
        "covered_by": {keys[name] for name in part.covered_by},
        "next_reading": part.next_reading is None,
        "verdicts": [_verdict(verdict, was) for verdict in part.verdicts],
        "bonds": {was(bond.pointer): _bond(bond, was) for bond in part.bonds},
        "readings": {was(reading.pointer): _verdict(reading.verdict, was) for reading in part.readings},
        "test_to_make": part.test_to_make and _verdict(part.test_to_make, was),
        "findings": [_verdict(verdict, was) for verdict in part.findings],
    }


def _bond(bond: BondAnswer, was: Callable[[str], str]) -> object:
    return (bond.counts, bond.expected_continuity_ohm, [_verdict(verdict, was) for verdict in bond.verdicts])


def _verdict(verdict: Verdict, was: Callable[[str], str]) -> Mapping[str, Any]:
    questions = {name: _questions(getattr(verdict, name), was) for name in ("questions", "could_relax")}
    silent = {one.rule: set(one.waiting_for) for one in verdict.did_not_act}
    return {**as_mapping(verdict), **questions, "did_not_act": silent}


def _size(size: SizeVerdict | None, was: Callable[[str], str]) -> Mapping[str, Any] | None:
    return None if size is None else {**as_mapping(size), "questions": _questions(size.questions, was)}


def _questions(asked: tuple[Question, ...], was: Callable[[str], str]) -> set[tuple[str, str | None]]:
    """The questions as a set. Whether two services meet may be asked of either, so the place of that question is left out."""
    return {(one.fact, None if one.fact == "joined_to" else _place(one.pointer, was)) for one in asked}


def _place(pointer: str | None, was: Callable[[str], str]) -> str | None:
    """A pointer to a key that may be left out follows the object that it would stand in."""
    if pointer is None:
        return None
    try:
        return was(pointer)
    except KeyError:
        holder, _, key = pointer.rpartition("/")
        return f"{was(holder)}/{key}"


def metal_places(said: Said) -> Iterator[tuple[tuple[str | int, ...], str]]:
    """The place and word of every stated material that is metal right through."""
    yield from _metal(said, ())


def _metal(value: Any, place: tuple[str | int, ...]) -> Iterator[tuple[tuple[str | int, ...], str]]:
    if isinstance(value, dict):
        for key, inner in value.items():
            if key in ("material", "enters_as", "inside", "hidden_as") and inner in ("copper", "steel", "lead", "aluminium"):
                if place[-2:-1] != ("bonds",) and place[:1] != ("supply",):
                    yield (*place, key), inner
            else:
                yield from _metal(inner, (*place, key))
    elif isinstance(value, list):
        for index, inner in enumerate(value):
            yield from _metal(inner, (*place, index))
