"""What stands in the tables of an answer: each sentence, question, reason, verdict and size once."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Annotated, TypeAlias

Place: TypeAlias = Annotated[int, "place"]
"""The place of something in its table, from 0."""


@dataclass(frozen=True, slots=True)
class Sentence:
    """A sentence, and how it was made; so whoever has the language file of the rule pack can say it in another language.

    `code`: of its text in the language file; left out where it is `made_of` others, or was described as it stands. `slots`: what
    stands in the place of each `{slot}` of that text. `made_of`: what stands one after the other. In both, a number is the place of a
    sentence in `sentences`, a text stands for itself, and a list is what stands one after the other. `words`: the whole; its
    first letter may be a capital where that of the text is not.
    """

    words: str
    code: str | None = None
    slots: Mapping[str, str | Place | list[str | Place]] | None = None
    made_of: list[str | Place] | None = None


@dataclass(frozen=True, slots=True)
class Question:
    """Something that could change the verdict if it were known; `pointer` is the place in the description, left out where it has none.

    `ask`: the question in words. `code`: of these words in the language file; left out where it is `fact.FACT.ask`, and empty where there
    is none.
    """

    fact: str
    ask: str
    pointer: str | None = None
    code: str | None = None


@dataclass(frozen=True, slots=True)
class Reason:
    """A rule that determined a verdict. What else its pack says of it stands at `/v1/rule-packs/{pack_id}/rules/{rule_id}`: its source, how
    far that is trusted, its condition, its places.

    `says`: what it says, in one sentence of our own. `code`: of that in the language file; left out where it is `rule.RULE.says`, or
    `outcome.OUTCOME.otherwise` of a rule `OUTCOME-otherwise`, and empty where there is none. `disputed`: there, and true, where others read
    the point otherwise; the other view stands with the rule. The more cautious one is acted on.
    """

    rule: str
    clause: str
    says: str
    code: str | None = None
    disputed: bool | None = None


@dataclass(frozen=True, slots=True)
class Silent:
    """A rule that would have changed the verdict but did not act, and the facts that it waits for."""

    rule: str
    waiting_for: list[str]


@dataclass(frozen=True, slots=True)
class Verdict:
    """One outcome for one subject, on its ladder.

    `act_on`: what is safe to act on without a look at anything else, `words` the same as people say it: the level where it is settled,
    `covered` where the bond or connection of another part serves, `look_first` where nobody said whether a bond is there, else
    `not_shown` (look or measure), `ask_first` or `not_judged`. `code`: of the words in the language file; left out where it is
    `outcome.OUTCOME.level.ACT_ON`, and empty where there is none.

    `worst_case`: the most cautious level that is not excluded; left out where it is what `act_on` says. `lowest_possible`: the least
    cautious level that anything not told could bring about; left out where it is the worst case. `firm`: true is a proof that no missing
    fact could change the worst case (readings that nobody must make set aside: they stand in `could_relax`); false may be pessimistic.
    `questions`: at most twelve, nearest first. `weakest_source`: the least trusted confidence on the path: rules, tables and the values
    behind their facts.
    """

    outcome: str
    act_on: str
    words: str
    firm: bool
    because: list[Place]
    weakest_source: str
    code: str | None = None
    worst_case: str | None = None
    lowest_possible: str | None = None
    questions: list[Place] | None = None
    could_relax: list[Place] | None = None
    did_not_act: list[Silent] | None = None


@dataclass(frozen=True, slots=True)
class SizeVerdict:
    """A number from `lowest` to `highest` in `unit`, one value when `firm`. `provisional`: usable until then, to be confirmed."""

    outcome: str
    unit: str
    lowest: float
    highest: float
    firm: bool
    because: list[Place]
    weakest_source: str
    provisional: float | None = None
    questions: list[Place] | None = None
