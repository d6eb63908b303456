"""Whether every question of an answer can be answered, and whether its answers matter; longer by `python -m tests.properties.questions`."""

import random
import sys
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any, TypeAlias

from tests.properties.asking import Key, Told, same, told
from tests.properties.descriptions import Said
from tests.properties.judged import Judged, judged
from tests.properties.places import answered, place

from bondwright.errors import BondwrightError

Answers: TypeAlias = dict[str, list[tuple[Any, Judged]]]
"""By pointer, each value that can be said there with what is then answered."""
_MOST_VALUES, _MOST_PAIRED, _JOINTLY = 8, 5, 40


@dataclass(slots=True)
class Examined:
    """What was found of the questions of some answers, and how many were examined. `idle`: those of which no answer moved anything."""

    counts: Counter[str] = field(default_factory=Counter)
    faults: list[str] = field(default_factory=list)
    idle: list[str] = field(default_factory=list)

    def examine(self, described: Said, seed: int) -> None:
        """Look at every question of what is answered to one description; one that is refused is passed over."""
        base = _judged(described)
        if base is None:
            return
        told_of = told(base)
        asking: dict[str, list[Key]] = {}
        for key, one in told_of.items():
            for pointer in {question.pointer for question in one.asks if question.pointer is not None}:
                asking.setdefault(pointer, []).append(key)
        answers: Answers = {pointer: self._answers(described, pointer) for pointer in asking}
        self.counts += Counter({"answers": 1, "places": len(asking), "questions": sum(map(len, asking.values()))})
        chance = random.Random(seed)
        for pointer, given in answers.items():
            if given:
                still = [key for key in asking[pointer] if not any(_says(key, after) != _says(key, base) for _, after in given)]
                for key in _unmoved(described, pointer, still, answers, asking, chance):
                    self.idle.append(f"{pointer} of {key}: no answer moves {told_of[key].says}")

    def _answers(self, described: Said, pointer: str) -> list[tuple[Any, Judged]]:
        """What can be said at a place, with each answer; faults where there is no such field, it is not open, or is asked again."""
        field_there = place(described, pointer)
        if field_there is None or not (field_there.may_be_unknown and field_there.open):
            self.faults.append(f"{pointer}: no field that is open and can be left unknown")
            return []
        found = [(value, after) for value in field_there.values(described) if (after := _judged(answered(described, {pointer: value})))]
        self.counts["values"] += len(found)
        if not found:
            self.faults.append(f"{pointer}: every value is refused")
        for value, after in found:
            if any(question.pointer == pointer for one in told(after).values() for question in one.asks):
                self.faults.append(f"{pointer}: asked again after {value}")
        return found


def _judged(described: Said) -> Judged | None:
    try:
        return judged(described)
    except BondwrightError:
        return None


def _says(key: Key, after: Judged) -> Sequence[str]:
    """What the verdict says in another answer: of every length that may be meant."""
    found: Mapping[Key, Told] = told(after)
    return sorted(str(found[one].says) for one in same(key, after) if one in found)


def _unmoved(
    described: Said, pointer: str, keys: Sequence[Key], answers: Answers, asking: Mapping[str, Sequence[Key]], chance: random.Random
) -> Sequence[Key]:
    """Those of the verdicts that no value at the place moves, beside no answers that were tried to the other questions."""
    for given in _others(pointer, keys, answers, asking, chance):
        if not keys:
            break
        before = _judged(answered(described, given))
        if before is None:
            continue
        for value in _some([value for value, _ in answers[pointer]], _MOST_VALUES, chance):
            after = _judged(answered(described, {**given, pointer: value}))
            if after is not None:
                keys = [key for key in keys if _says(key, after) == _says(key, before)]
    return keys


def _others(
    pointer: str, keys: Sequence[Key], answers: Answers, asking: Mapping[str, Sequence[Key]], chance: random.Random
) -> Iterator[Mapping[str, Any]]:
    """Answers to other questions: to one of them, those of the same verdicts first; then to many at once."""
    near = [other for other in answers if other != pointer and answers[other] and {*asking[other]} & {*keys}]
    far = [other for other in answers if other != pointer and answers[other] and other not in near]
    for other in (*near, *far):
        yield from ({other: value} for value in _some([value for value, _ in answers[other]], _MOST_PAIRED, chance))
    for turn in range(_JOINTLY):
        together = near if turn % 2 else (*near, *far)
        yield {other: _plain([value for value, _ in answers[other]], chance) for other in together if chance.random() < 0.9}


def _some(values: Sequence[Any], most: int, chance: random.Random) -> Sequence[Any]:
    return values if len(values) <= most else [values[0], *chance.sample(values[1:], most - 1)]


def _plain(values: Sequence[Any], chance: random.Random) -> Any:
    """One of them, mostly a word or number rather than a whole thing."""
    plain = [value for value in values if not isinstance(value, dict | list)]
    return chance.choice(plain if plain and chance.random() < 0.7 else values)


def generated(how_many: int, seed: int) -> list[Said]:
    """Descriptions drawn with a fixed seed."""
    from hypothesis import HealthCheck, Phase, given, settings
    from hypothesis import seed as seeded
    from tests.properties.descriptions import installations

    drawn: list[Said] = []

    @seeded(seed)
    @settings(max_examples=how_many, database=None, deadline=None, phases=[Phase.generate], suppress_health_check=list(HealthCheck))
    @given(installations())
    def draw(described: Said) -> None:
        drawn.append(described)

    draw()
    return drawn


if __name__ == "__main__":
    how_many, first = (int(word) for word in (*sys.argv[1:], "200", "1")[:2])
    longer = Examined()
    for number, one in enumerate(generated(how_many, first)):
        longer.examine(one, number)
    sys.stdout.write("\n".join([*longer.faults, *longer.idle, str(dict(longer.counts)), ""]))
