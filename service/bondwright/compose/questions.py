"""Questions as they are answered: the words of the pack, and the place in the description."""

from collections.abc import Iterable

from bondwright.compose.answer import Question
from bondwright.facts.asking import words_of
from bondwright.facts.row import Asked
from bondwright.rulebook.pack import RulePack


def questions(asked: Iterable[Asked], pack: RulePack) -> tuple[Question, ...]:
    """Each with its words. Raises: Contradiction, if the pack has none."""
    return tuple([Question(ask, words_of(ask, pack) or pack.ask(ask), pointer) for ask, pointer in asked])
