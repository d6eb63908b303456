"""Outcomes as a pack declares them: what rules decide, and what is safe to act on while it is not settled."""

from msgspec import Struct

from bondwright.rulebook.facts import Place

NOT_SETTLED = ("not_shown", "ask_first", "not_judged")
"""What may be safe to act on in place of a level that is not settled: look or measure, ask somebody, or nothing that rules cover."""
NOT_JUDGED = "not_judged"
"""What there is to act on, and the act, where a pack has no rule for a thing."""
COVERED = "covered"
"""What is safe to act on where the bond or connection of another part serves this one."""
LOOK_FIRST = "look_first"
"""What is safe to act on where nobody said whether a bond is there."""


class Unsettled(Struct, frozen=True):
    """What is told of an outcome that is not settled.

    `act_on`: one of NOT_SETTLED. `words`: what that is called on paper. `safe`: levels that are safe to act on all the same
    where nothing more cautious is possible, so that they keep their own name and words. `at_least`: levels that are acted on once no
    missing fact could bring about less, though more may still come out: what they say was found.
    """

    act_on: str
    words: str
    safe: tuple[str, ...] = ()
    at_least: tuple[str, ...] = ()


class Outcome(Struct, frozen=True):
    """Something that rules decide about one kind of subject.

    `levels`: ladder from least to most cautious, whose first level holds when no rule speaks; empty for a size, which has
    a `unit` and a `cautious` end (larger or smaller). `words`: what each level is called on paper. `codes`: the code under which
    an inspection reports each level, empty for one that it gives none. `unsettled`: none where every level is safe to act on though
    it is not settled. `covered`: what it is called where another part's bond serves, `look_first`: where nobody said whether
    a bond is there (empty: as its level). `otherwise_…`: why
    the first level holds when no rule speaks, and on what that rests.
    """

    name: str
    of: str
    stage: str
    levels: tuple[str, ...]
    words: tuple[str, ...]
    unit: str
    cautious: str
    otherwise_clause: str
    otherwise_why: str
    otherwise_source: str
    otherwise_kind: str
    otherwise_confidence: str
    place: Place
    codes: tuple[str, ...] = ()
    unsettled: Unsettled | None = None
    covered: str = ""
    look_first: str = ""
