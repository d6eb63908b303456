"""Sentences of an answer: those of the pack with their places filled, and sizes as people say them."""

from collections.abc import Iterable, Mapping

from bondwright.compose.answer import SizeVerdict, Verdict
from bondwright.facts.earthing_conductor import WORKED_OUT
from bondwright.rulebook.held import Roles, Sentences
from bondwright.said import capital, filled, joined


def words_said(verdicts: Iterable[Verdict], roles: Roles) -> dict[str, str]:
    """The words of duty and objection, by the names under which sentences take them; words that differ stand side by side."""
    names = {roles.duty: "duty", roles.objection: "objection"}
    words: dict[str, list[str]] = {name: [] for name in names.values()}
    for verdict in verdicts:
        if verdict.outcome in names:
            words[names[verdict.outcome]].append(verdict.words)
    return {name: joined("; ", dict.fromkeys(said)) for name, said in words.items()}


def size_words(size: SizeVerdict, say: Sentences) -> str:
    """A size as people say it."""
    unit = size.unit.replace("mm2", "mm²")
    least, most = f"{size.lowest:g} {unit}", f"{size.highest:g} {unit}"
    if size.firm:
        return most
    if size.provisional == size.highest:
        worked_out = all(asked.fact in WORKED_OUT for asked in size.questions)
        return say("size_less_if_worked_out" if worked_out else "size_less_once_known", size=most, least=least)
    if size.provisional is not None:
        return say("size_for_now", size=f"{size.provisional:g} {unit}", most=most)
    return say("size_open_upper_does" if len(size.questions) == 1 else "size_open", lower=f"{size.lowest:g}", upper=most)


def sentence(template: str, words: Mapping[str, str]) -> str:
    """A sentence of the pack with its places filled, starting with a capital."""
    return capital(filled(template, words))
