"""Questions as they are answered: the words of the pack, and the place in the description."""

from collections.abc import Iterable

from bondwright.compose.answer import Question
from bondwright.conclude.reasoning import Reasoning
from bondwright.facts.asking import words_of
from bondwright.facts.row import Asked
from bondwright.rulebook.pack import RulePack


def questions_of(asked: Iterable[Asked], reasoning: Reasoning) -> tuple[Question, ...]:
    """The same, each made once for a description."""
    own, pack, found = reasoning.own, reasoning.pack, list[Question]()
    for one in asked:
        question = own.get(one)
        if not isinstance(question, Question):
            question = own[one] = _question(one, pack)
        found.append(question)
    return tuple(found)


def questions(asked: Iterable[Asked], pack: RulePack) -> tuple[Question, ...]:
    """Each with its words. Raises: Contradiction, if the pack has none."""
    return tuple([_question(one, pack) for one in asked])


def _question(asked: Asked, pack: RulePack) -> Question:
    return Question(asked.ask, words_of(asked.ask, pack) or pack.ask(asked.ask), asked.pointer)
