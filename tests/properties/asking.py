"""What an answer says and asks, verdict by verdict, whatever holds the verdict."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import lru_cache
from typing import Any, TypeAlias

from tests.properties.judged import ENDS, Judged

from bondwright.compose.answer import NotJudged, Question, SizeVerdict, Verdict
from bondwright.members import member_names

Key: TypeAlias = tuple[str, ...]
"""Where a verdict stands in an answer: what holds it, by name, then its own name."""

_NAMED = ("part", "bond", "reading", "location", "joins", "outcome", "pointer")


@dataclass(frozen=True, slots=True)
class Told:
    """What one verdict says, without its words, reasons and questions, and what it asks."""

    says: tuple[object, ...]
    asks: tuple[Question, ...]


@lru_cache(maxsize=256)
def told(judged: Judged) -> Mapping[Key, Told]:
    """Every verdict, size and thing not judged of an answer."""
    return dict(_told(judged.evaluation, ()))


def _told(value: Any, key: Key) -> Iterator[tuple[Key, Told]]:
    match value:
        case Verdict():
            yield (*key, value.outcome), Told((value.worst_case, value.act_on, value.firm), value.questions)
        case SizeVerdict():
            yield (*key, value.outcome), Told((value.lowest, value.highest, value.provisional, value.firm), value.questions)
        case NotJudged():
            yield (*key, value.pointer), Told((value.kind, value.governed_by), value.questions)
        case tuple():
            for one in value:
                if member_names(one):
                    name = next((str(getattr(one, name)) for name in _NAMED if hasattr(one, name)), "")
                    yield from _told(one, (*key, name))
        case _ if names := member_names(value):
            for name in names:
                inner = getattr(value, name)
                if isinstance(inner, tuple) or member_names(inner):
                    yield from _told(inner, (*key, name))


def same(key: Key, after: Judged) -> Iterator[Key]:
    """Where a verdict on a part of one answer stands in another: with the part that holds that length, or each end of it, there."""
    if key[:1] != ("parts",):
        yield key
        return
    node = key[1]
    whole = next((node.removesuffix(f"/{end}") for end in ENDS if node.endswith(f"/{end}")), node)
    for name in {name for one in (node, whole) for name in after.holding(one)}:
        yield ("parts", after.parts[name].part, *key[2:])
