"""What programs do with each act of a pack: as its acts say, or as packs are read that were published before acts said so."""

from collections.abc import Mapping
from functools import lru_cache
from pathlib import Path
from typing import Final

from msgspec import Struct

from bondwright.members import replace
from bondwright.rulebook.declared.acts import INSTRUCTIONS, Advice
from bondwright.shelf.declared.declaration import declaration
from bondwright.shelf.lines import file_bytes
from bondwright.shelf.reading.advice import INSTRUCTION
from bondwright.shelf.reading.nodes import Node, Scalar, read_nodes, refused
from bondwright.shelf.reading.scalars import as_map, fields, listed, one_of

UNDECLARED_INSTRUCTIONS: Final = "undeclared-instructions.yaml"
"""The file in the folder of rules of what programs do with the acts of packs in which no act says so."""


class Undeclared(Struct, frozen=True):
    """What programs do with an act, by its name, and with one that has none of these names."""

    by_act: Mapping[str, str]
    otherwise: str


def with_instructions(advice: Mapping[str, Advice], node: Node, folder: Path) -> dict[str, Advice]:
    """The acts, each with what programs do with it; `node`: the section in which they stand, `folder`: of the rules.

    Where one act says it, all do. Raises: UnreadableRules, for one that does not, or that says something milder than its mark.
    """
    section = as_map(node, "`advice`")
    said = {act: as_map(entry, f"advice `{act}`").entries.get(INSTRUCTION) for act, entry in section.entries.items()}
    if not any(said.values()):
        older = undeclared_instructions(folder)
        return {act: replace(one, instruction=older.by_act.get(act, older.otherwise)) for act, one in advice.items()}
    no_milder = declaration(folder).instructions
    for act, instruction in said.items():
        _check(section.keys[act], instruction, advice[act], no_milder)
    return dict(advice)


def _check(key: Scalar, said: Node | None, one: Advice, no_milder: Mapping[str, tuple[str, ...]]) -> None:
    fitting = listed(word for word, marks in no_milder.items() if one.mark in marks)
    if said is None:
        raise refused(key.place, f"act `{one.act}` does not say what programs do with it; write `{INSTRUCTION}: ` and one of {fitting}")
    if one.mark not in no_milder[one.instruction]:
        told = f"`{one.instruction}` is not what the mark `{one.mark}` of `{one.act}` asks for; write one of {fitting}"
        raise refused(said.place, told)


@lru_cache(maxsize=2)
def undeclared_instructions(folder: Path) -> Undeclared:
    """What the file says, its name within `folder` as above. Raises: UnreadableRules."""
    root = read_nodes(file_bytes(folder / UNDECLARED_INSTRUCTIONS, UNDECLARED_INSTRUCTIONS), UNDECLARED_INSTRUCTIONS)
    entries = fields(root, f"file `{UNDECLARED_INSTRUCTIONS}`", ("otherwise", "instructions"))
    by_act = as_map(entries["instructions"], "`instructions`").entries
    return Undeclared(
        {act: one_of(entry, INSTRUCTIONS, "instruction") for act, entry in by_act.items()},
        one_of(entries["otherwise"], INSTRUCTIONS, "instruction"),
    )
