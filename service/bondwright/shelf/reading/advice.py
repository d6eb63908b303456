"""What people are told: the joined table of acts, the advice for each act, readings and cautions."""

import re
from collections.abc import Mapping

from bondwright.rulebook.declared.acts import INSTRUCTIONS, STOP
from bondwright.rulebook.facts import NO, YES
from bondwright.rulebook.pack import NOT_JUDGED, Advice, JoinedRow, Outcome
from bondwright.shelf.reading.nodes import Node, Scalar, refused, shown
from bondwright.shelf.reading.scalars import as_items, as_map, fields, listed, new_name, one_of, some_of, text, texts

MARKS = ("do", "leave", "do_not_connect", "measure_first", "settle_first", "stop", "remove", NOT_JUDGED)
"""What an act asks for."""
INSTRUCTION = "instruction"
"""The key of what programs do with an act."""
BONDS = ("none", "not_told", "counts", "departs", "cannot_rely", "mend", "failed", "covered")
"""States of the bond that is there already."""
PLACEHOLDERS = (
    "part",
    "place",
    "size",
    "bond",
    "before",
    "departure",
    "location",
    "earthing",
    "reading",
    "once",
    "duty",
    "objection",
    "governed_by",
    "known",
    "ask",
)
"""What may stand in braces in advice; `duty` and `objection` are the words of those verdicts, so that a line says no more than they,
the last three those of a kind that is not judged."""
_READING = ("points", "range", "prepare", "passes", "fails", "between")
_PLACEHOLDER = re.compile(r"\{([^{}]*)\}|[{}]")


def read_advice(node: Node) -> dict[str, Advice]:
    """The advice by act, in file order."""
    section = as_map(node, "`advice`")
    acts = {new_name(key, "an act"): _advice(key, section.entries[act], tuple(section.keys)) for act, key in section.keys.items()}
    for act, advice in acts.items():
        if advice.if_shared and acts[advice.if_shared].mark != advice.mark:
            place = as_map(section.entries[act], f"advice `{act}`").entries["if_shared"].place
            raise refused(place, f"`{advice.if_shared}` has another mark than `{act}`; name an act with the mark `{advice.mark}`")
    return acts


def _advice(key: Scalar, node: Node, acts: tuple[str, ...]) -> Advice:
    act = key.text
    mark = one_of(fields(node, f"advice `{act}`", ("mark",), None)["mark"], MARKS, "mark")
    own = ("verdict",) if mark == NOT_JUDGED else ()
    others = () if own else ("ways_out", "tests", "if_shared")
    entries = fields(node, f"advice `{act}`", ("mark", "line", "customer", *own), (INSTRUCTION, *others))
    return Advice(
        act=act,
        mark=mark,
        line=_sentence(entries["line"], "`line`"),
        customer=_sentence(entries["customer"], "`customer`"),
        ways_out=_sentences(entries, "ways_out"),
        tests=_sentences(entries, "tests"),
        verdict=text(entries["verdict"], "`verdict`") if own else "",
        if_shared=one_of(entries["if_shared"], acts, "act with advice") if "if_shared" in entries else "",
        instruction=_instruction(entries[INSTRUCTION]) if INSTRUCTION in entries else STOP,
        place=key.place,
    )


def _instruction(node: Node) -> str:
    return one_of(node, INSTRUCTIONS, f"instruction; known: {listed(INSTRUCTIONS)}")


def _sentences(entries: Mapping[str, Node], key: str) -> tuple[str, ...]:
    return tuple(_sentence(line, f"`{key}`") for line in as_items(entries[key], f"`{key}`")) if key in entries else ()


def _sentence(node: Node, what: str) -> str:
    line = text(node, what)
    for found in _PLACEHOLDER.finditer(line):
        if found[1] not in PLACEHOLDERS:
            known = listed(f"{{{name}}}" for name in PLACEHOLDERS)
            raise refused(node.place, f"{what} cannot fill {shown(found[0])}; it can fill {known}")
    return line


def read_joined(node: Node, outcomes: Mapping[str, Outcome], advice: Mapping[str, Advice]) -> tuple[JoinedRow, ...]:
    """The rows that join duty and objection into an act, in file order."""
    levels = tuple(dict.fromkeys(level for outcome in outcomes.values() for level in outcome.levels))
    return tuple(_joined_row(item, levels, tuple(advice)) for item in as_items(node, "`joined`"))


def _joined_row(node: Node, levels: tuple[str, ...], acts: tuple[str, ...]) -> JoinedRow:
    entries = fields(node, "a joined row", ("act",), ("duty", "duty_firm", "objection", "objection_firm", "bond"))
    return JoinedRow(
        duty=some_of(entries["duty"], levels, "level of an outcome") if "duty" in entries else (),
        duty_firm=_firm(entries, "duty_firm"),
        objection=some_of(entries["objection"], levels, "level of an outcome") if "objection" in entries else (),
        bond=some_of(entries["bond"], BONDS, "state of a bond") if "bond" in entries else (),
        act=one_of(entries["act"], acts, "act with advice"),
        place=node.place,
        objection_firm=_firm(entries, "objection_firm"),
    )


def _firm(entries: Mapping[str, Node], key: str) -> str:
    return one_of(entries[key], (YES, NO), f"value of `{key}`") if key in entries else "any"


def read_readings(node: Node) -> dict[str, dict[str, str]]:
    """How each kind of reading is taken and judged, by its name."""
    section = as_map(node, "`readings`")
    readings = {}
    for name, entry in section.entries.items():
        entries = fields(entry, f"reading `{name}`", _READING)
        readings[new_name(section.keys[name], "a reading")] = {key: text(entries[key], f"`{key}`") for key in _READING}
    return readings


def read_cautions(node: Node) -> tuple[str, ...]:
    """Warnings that every answer carries."""
    return texts(node, "`cautions`")
