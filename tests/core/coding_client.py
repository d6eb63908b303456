"""A vendor's program at its simplest: it codes and bonds by `act_on` alone, and reads nothing that would tell it to wait."""

from collections.abc import Mapping
from typing import Any, TypeAlias

Json: TypeAlias = Any

CODES = {"improvement": "C3", "potentially_dangerous": "C2", "further_investigation": "FI"}
"""Codes that the program writes for what it acts on, whatever the outcome."""
READS = frozenset({"parts", "rooms", "bonds", "verdicts", "findings", "outcome", "act_on", "part", "location", "bond"})
"""All that it knows of an answer."""


def as_it_reads(answer: Json) -> Json:
    """An answer with nothing in it but what the program reads."""
    if isinstance(answer, dict):
        return {name: as_it_reads(value) for name, value in answer.items() if name in READS}
    return [as_it_reads(member) for member in answer] if isinstance(answer, list) else answer


def codes(answer: Json) -> Mapping[str, set[str]]:
    """The codes that the program writes of each part and room, those of the bonds on a part included."""
    subjects = {part["part"]: part for part in answer["parts"]} | {room["location"]: room for room in answer["rooms"]}
    return {name: _codes(subject) for name, subject in subjects.items()}


def to_bond(answer: Json) -> set[str]:
    """The parts of which the program says "bond it": a duty, nothing against it, and no bond there."""
    return {part["part"] for part in answer["parts"] if not part["bonds"] and _wants_a_bond(part)}


def _codes(subject: Json) -> set[str]:
    verdicts = [*subject["verdicts"], *subject["findings"], *(one for bond in subject.get("bonds", ()) for one in bond["verdicts"])]
    return {CODES[one["act_on"]] for one in verdicts if one["act_on"] in CODES}


def _wants_a_bond(part: Json) -> bool:
    acted_on = {one["outcome"]: one["act_on"] for one in part["verdicts"]}
    return (acted_on["main_bonding"], acted_on["objection"]) == ("required", "no_objection")
