"""Sentences of an answer: those of the pack with their places filled, and sizes as people say them."""

from collections.abc import Iterable, Mapping

from bondwright.compose.answer import SizeVerdict, Verdict
from bondwright.facts.earthing_conductor import WORKED_OUT
from bondwright.rulebook.held import Roles


def words_said(verdicts: Iterable[Verdict], roles: Roles) -> dict[str, str]:
    """The words of duty and objection, by the names under which sentences take them; words that differ stand side by side."""
    names = {roles.duty: "duty", roles.objection: "objection"}
    words: dict[str, list[str]] = {name: [] for name in names.values()}
    for verdict in verdicts:
        if verdict.outcome in names:
            words[names[verdict.outcome]].append(verdict.words)
    return {name: "; ".join(dict.fromkeys(said)) for name, said in words.items()}


def size_words(size: SizeVerdict) -> str:
    """A size as people say it."""
    unit = size.unit.replace("mm2", "mm²")
    if size.firm:
        return f"{size.highest:g} {unit}"
    if size.provisional == size.highest:
        how = "if it is worked out" if all(asked.fact in WORKED_OUT for asked in size.questions) else "once what is open here is known"
        return f"{size.highest:g} {unit} (less, down to {size.lowest:g} {unit}, may do {how})"
    if size.provisional is not None:
        return f"{size.provisional:g} {unit} for now (confirm; up to {size.highest:g} {unit} is possible)"
    either_way = f"; {size.highest:g} {unit} serves either way" if len(size.questions) == 1 else ""
    return f"{size.lowest:g} to {size.highest:g} {unit}, still to be settled{either_way}"


def sentence(template: str, words: Mapping[str, str]) -> str:
    """A sentence of the pack with its places filled, starting with a capital."""
    text = template.format_map(words)
    return text[:1].upper() + text[1:]
