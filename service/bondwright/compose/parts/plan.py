"""The bonding plan, and the lines to read on site: like parts under one of them."""

from collections.abc import Mapping, Sequence

from bondwright.compose.answer import NotJudged, PartAnswer, SizeVerdict
from bondwright.compose.listed import Connection, Group, Plan
from bondwright.compose.not_judged import words_of
from bondwright.compose.sentences import sentence, size_words, words_said
from bondwright.plan.acts import CONNECTING
from bondwright.plan.bond_states import SERVING
from bondwright.rulebook.held import Sentences
from bondwright.rulebook.pack import COVERED, NOT_JUDGED, RulePack
from bondwright.said import joined

_OF_ITS_OWN = "{bond}"
"""What a line says of one part alone."""
_ALIKE = frozenset({"leave", "settle_first"})
"""Marks whose parts stand under one line."""


def plan_answer(parts: Sequence[PartAnswer], size: SizeVerdict, states: Mapping[str, str], say: Sentences) -> Plan:
    """The plan: new connections, parts bonded already, parts covered."""
    return Plan(
        connections=tuple(Connection(part.part, part.place, size_words(size, say)) for part in parts if part.act in CONNECTING),
        bonded=tuple(part.part for part in parts if states[part.part] in SERVING),
        covered=tuple(part.part for part in parts if part.act == COVERED),
    )


def groups(parts: Sequence[PartAnswer], left_open: Sequence[NotJudged], pack: RulePack) -> tuple[Group, ...]:
    """Like parts under one line: those to leave or to ask about, by act, those not judged, by what governs them; others stand alone."""
    governed = {thing.pointer: thing for thing in left_open}
    grouped: dict[tuple[str, ...], list[PartAnswer]] = {}
    for part in parts:
        if part.act == NOT_JUDGED:
            key: tuple[str, ...] = (part.act, part.verdicts[0].because[0].rule)
        else:
            alike = part.mark in _ALIKE and _OF_ITS_OWN not in pack.advice[part.act].line
            key = (part.act,) if alike else ("", part.part)
        grouped.setdefault(key, []).append(part)
    return tuple(
        Group(like_parts[0].mark, _line(like_parts, governed, pack), tuple(part.part for part in like_parts))
        for like_parts in grouped.values()
    )


def _line(like_parts: Sequence[PartAnswer], governed: Mapping[str, NotJudged], pack: RulePack) -> str:
    if len(like_parts) == 1:
        return like_parts[0].line
    names = joined(", ", (part.name for part in like_parts))
    if like_parts[0].act == NOT_JUDGED:
        return sentence(pack.advice[NOT_JUDGED].line, words_of(governed[like_parts[0].pointer], names))
    words = {"part": names, "place": "", "size": "", "reading": "", "bond": ""}
    words |= words_said((verdict for part in like_parts for verdict in part.verdicts), pack.roles)
    return sentence(pack.advice[like_parts[0].act].line, words)
