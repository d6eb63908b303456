"""Rules: permanent id, polarity, condition, clause, sentence, source."""

from collections.abc import Mapping
from enum import Enum
from typing import TypeAlias

from msgspec import Struct

from bondwright.rulebook.condition import Condition
from bondwright.rulebook.facts import Facts, Place
from bondwright.rulebook.sizing import Form


class Polarity(Enum):
    """What a rule does, and so how it treats an unknown.

    RAISES, BLOCKS and SIZES act unless their condition is certainly false; RELAXES, PROVIDES (a usable
    provisional size) and REMARKS (a sentence) act only when it is certainly true.
    """

    RAISES = "raises"
    RELAXES = "relaxes"
    BLOCKS = "blocks"
    SIZES = "sizes"
    PROVIDES = "provides"
    REMARKS = "remarks"


class Example(Struct, frozen=True):
    """One worked example of a rule: facts given (all others unknown) and the outcomes expected, with the place of each."""

    given: Facts
    expect: tuple[tuple[str, str], ...]
    place: Place


Examples: TypeAlias = Mapping[str, tuple[Example, ...]]
"""The examples below rules, by the id of each rule that has any."""


class Rule(Struct, frozen=True):
    """One rule.

    `outcome` and `level`: what a raising rule raises, and to which level; for sizes, provides and remarks the
    outcome alone. `targets`: ids of the rules that a relaxing or blocking rule cancels. `form`: how a number is computed.
    `kind`: stated, our_reading or common_practice. `confidence`: checked_twice, checked_once, secondary or from_memory.
    `other_view`: another reading that people of the trade hold, where the point is disputed (empty: none).
    Its examples are those of its pack. `place`: in the published pack; `origin`: in the file that an editor changes.
    """

    rule_id: str
    stage: str
    of: str
    polarity: Polarity
    when: Condition
    clause: str
    says: str
    source: str
    kind: str
    confidence: str
    place: Place
    origin: Place
    outcome: str = ""
    level: str = ""
    targets: tuple[str, ...] = ()
    form: Form | None = None
    other_view: str = ""
