"""What an answer claims of each outcome, in JSON and in words, measured by the words that the rule pack has for its own levels.

A level claims what it says, the more the further up its ladder it stands; what is not settled claims more than the first level and less
than any other. Nothing here looks at `firm` to decide what words mean.
"""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, TypeAlias

from bondwright.rulebook.pack import COVERED, LOOK_FIRST, NOT_SETTLED, Outcome, RulePack

Json: TypeAlias = Any

NEITHER_NOR = 0.5
"""How much is claimed by what is not settled, covered by another part's bond, or looked for first: more than level 0, less than 1."""

WORDS = "the words are more severe than the JSON"
JSON = "the JSON is more severe than the words"
APART = "words and JSON are about different things"


@dataclass(frozen=True, slots=True)
class Disagreement:
    """Two places of one answer that differ, and which of them says more."""

    where: str
    what: str
    which: str


def claimed_by_act_on(outcome: Outcome, act_on: str) -> frozenset[float]:
    """How much `act_on` claims; a word that is a level and also stands for what is not settled may claim either."""
    levels = {float(index) for index, level in enumerate(outcome.levels) if level == act_on}
    unsettled = outcome.unsettled is not None and act_on in NOT_SETTLED
    return frozenset(levels | ({NEITHER_NOR} if unsettled or act_on in (COVERED, LOOK_FIRST) else set()))


def claimed_by_words(outcome: Outcome, words: str) -> frozenset[float]:
    """How much the words of a verdict claim; nothing, if they are none of this outcome."""
    levels = {float(index) for index, one in enumerate(outcome.words) if one == words}
    unsettled = outcome.unsettled is not None and words == outcome.unsettled.words
    return frozenset(levels | ({NEITHER_NOR} if unsettled or words in (outcome.covered, outcome.look_first) else set()))


def compared(where: str, words: frozenset[float], json: frozenset[float], what: str) -> Iterator[Disagreement]:
    """The disagreement of two claims of one outcome, if they disagree."""
    if words & json:
        return
    if not words or not json:
        yield Disagreement(where, what, APART)
    elif min(words) > max(json):
        yield Disagreement(where, what, WORDS)
    else:
        yield Disagreement(where, what, JSON)


def phrases(text: str, outcomes: Iterable[Outcome]) -> set[str]:
    """The words of levels that stand in `text`, the longest ones first, so that "not shown to connect" is not "not shown"."""
    known = sorted({words for outcome in outcomes for words in _all_words(outcome)}, key=len, reverse=True)
    found = set()
    for words in known:
        if words in text:
            found.add(words)
            text = text.replace(words, "\n")
    return found


def _all_words(outcome: Outcome) -> Iterator[str]:
    yield from outcome.words
    if outcome.unsettled is not None:
        yield outcome.unsettled.words
    yield from filter(None, (outcome.covered, outcome.look_first))


def in_text(where: str, text: str, verdicts: Sequence[Json], pack: RulePack) -> Iterator[Disagreement]:
    """Words of levels in a text that none of the verdicts claims in JSON."""
    by_name = {one["outcome"]: one["act_on"] for one in verdicts}
    outcomes = [pack.outcomes[name] for name in by_name]
    for words in sorted(phrases(text, outcomes)):
        said = [(outcome, claimed_by_words(outcome, words)) for outcome in outcomes if claimed_by_words(outcome, words)]
        apart = [list(compared(where, claim, claimed_by_act_on(one, by_name[one.name]), f"{one.name}: {words!r}")) for one, claim in said]
        if all(apart):
            yield from apart[0]


def codes_of(verdicts: Iterable[Json], pack: RulePack) -> set[str]:
    """The codes that a program reports which goes by `act_on` alone."""
    found = (dict(zip(pack.outcomes[one["outcome"]].levels, pack.outcomes[one["outcome"]].codes, strict=True)) for one in verdicts)
    return {code for codes, one in zip(found, verdicts, strict=True) if (code := codes.get(one["act_on"], ""))}


def verdicts_of(subject: Mapping[str, Json]) -> list[Json]:
    """Every verdict with levels of a part, a room, a bond or the feeding circuit, those of its bonds and readings included."""
    own = [*subject.get("verdicts", ()), *subject.get("findings", ())]
    own += [subject[name] for name in ("verdict", "test_to_make") if subject.get(name)]
    return own + [one for name in ("bonds", "readings") for inner in subject.get(name, ()) for one in verdicts_of(inner)]
