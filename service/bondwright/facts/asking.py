"""What is asked of the description: where a field says nothing, and where its answer could still move an outcome."""

from collections.abc import Iterable

from bondwright.conclude.reasoning import Reasoning
from bondwright.facts.row import Asked, Judged
from bondwright.metalwork.keys import asked as asked_by
from bondwright.metalwork.worlds import MOST_GAPS
from bondwright.rulebook.facts import UNKNOWN, Between
from bondwright.rulebook.pack import RulePack


def ask_field(ask: str, pointer: str, said: object, pack: RulePack) -> tuple[Asked, ...]:
    """The question about one field of the description, by its name among the pack's questions or facts; none where it says something.

    None either where the pack has no such question.
    """
    return (Asked(ask, pointer),) if (said is None or said == UNKNOWN) and words_of(ask, pack) else ()


def words_of(ask: str, pack: RulePack) -> str:
    """The words of a question, by its name among the pack's questions or facts; empty where it has none."""
    return pack.asks.get(ask) or (pack.facts[ask].ask if ask in pack.facts else "")


def ask_keys(keys: Iterable[str | None], pack: RulePack) -> tuple[Asked, ...]:
    """The questions that keys of the survey stand for, once each."""
    there = [key for key in keys if key]
    return tuple([Asked(ask, pointer) for ask, pointer in asked_by(there) if words_of(ask, pack)]) if there else ()


def ask_open(judged: Judged, outcome: str, reasoning: Reasoning, level: str = "") -> tuple[Asked, ...]:
    """What would settle an outcome: nothing where it is firm, at most MOST_GAPS questions where it is not, nearest first.

    `level`: what it takes to know whether it comes to that level.
    """
    if judged.levels[outcome].firm or (level and level not in reasoning.pack.outcomes[outcome].levels):
        return ()
    moving = ask_moving(judged, outcome, reasoning, level)
    return (tuple(dict.fromkeys((*moving, *judged.doubts))) if judged.doubts else moving)[:MOST_GAPS]


def ask_moving(judged: Judged, outcome: str, reasoning: Reasoning, level: str | Between = "") -> tuple[Asked, ...]:
    """The questions whose answers could move this outcome, once each; none for a firm one.

    `level`: then only those whose answers could move whether it comes to that level, or of a size, whether it is more than that.
    """
    behind = judged.row.asked
    facts, together = reasoning.open_facts(judged.conclusion, outcome, level, judged.row.told_of, judged.row.answers)
    if len(facts) == 1:
        return tuple(dict.fromkeys(behind[facts[0]]))
    every = tuple(dict.fromkeys([question for fact in facts for question in behind[fact]]))
    if together:  # what stands behind each of them comes first: while it is open, the rest moves nothing
        behind_all = set(every).intersection(*(behind[fact] for fact in facts))
        common = tuple(question for question in every if question in behind_all)
        return common or every
    return every
