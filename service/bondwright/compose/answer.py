"""The shape of an evaluation: what every answer says, built once; `compose.written` makes its bytes.

Holds no id, clock or service version: the same installation and pack give the same bytes.
"""

from typing import Final

from bondwright.compose.listed import Group, KeepOff, Plan
from bondwright.compose.pack_used import PackUsed
from bondwright.conclude.reasons import Reason
from bondwright.facts.told import ToldNotUsed
from bondwright.members import Described
from bondwright.said import Sentence, SentenceIfAny

FORM: Final = 4
"""The form of answers that `form` names; the first answers did not name theirs, form 1."""


class Question(Described, frozen=True):
    """Something that could change the verdict if it were known; `pointer` is the place in the description, if it has one."""

    fact: str
    ask: str
    pointer: str | None


class NotJudged(Described, frozen=True):
    """Something described that the rule pack has no rule for: nothing of it is cleared, and nothing ordered.

    `of`: location, item, service or premises, `kind` the word of the description for it. `section`: number of the part of the standard that
    governs it, if one does; `governed_by`: the same in words, with other standards. `known`: what is known to be special; `ask`: whom to
    ask. `questions`: what would settle it, where only the description leaves it open.
    """

    pointer: str
    name: Sentence
    of: str
    kind: str
    section: str | None
    governed_by: Sentence
    known: Sentence
    ask: Sentence
    questions: tuple[Question, ...] = ()


class Silent(Described, frozen=True):
    """A rule that would have changed the verdict but did not act, and the facts that it waits for."""

    rule: str
    clause: str
    says: str
    waiting_for: tuple[str, ...]


class Verdict(Described, frozen=True):
    """One outcome for one subject, on its ladder.

    `act_on`: what is safe to act on without a look at anything else, `words` the same as people say it: the level where it is settled,
    `covered` where the bond or connection of another part serves, `look_first` where nobody said whether a bond is there, else
    `not_shown` (look or measure), `ask_first` or `not_judged`.
    `worst_case`: the most cautious level that is not excluded; `lowest_possible`: the least cautious one. `firm`: true is a proof that
    no missing fact could change `worst_case` (readings that nobody must make set aside: they stand in `could_relax`); false may be
    pessimistic. `questions`: at most twelve, nearest first. `weakest_source`: the least trusted confidence on the path: rules, tables
    and the values behind their facts.
    """

    outcome: str
    act_on: str
    worst_case: str
    words: str
    firm: bool
    lowest_possible: str
    questions: tuple[Question, ...]
    could_relax: tuple[Question, ...]
    because: tuple[Reason, ...]
    did_not_act: tuple[Silent, ...]
    weakest_source: str


class Observation(Described, frozen=True):
    """What an inspection reports under a code such as `C2`, in words for the report; there only where the verdict behind it is settled."""

    code: str
    words: Sentence
    clause: str


class SizeVerdict(Described, frozen=True):
    """A number from `lowest` to `highest` in `unit`, one value when `firm`. `provisional`: usable until then, to be confirmed."""

    outcome: str
    unit: str
    lowest: float
    highest: float
    provisional: float | None
    firm: bool
    questions: tuple[Question, ...]
    because: tuple[Reason, ...]
    weakest_source: str


class NextReading(Described, frozen=True):
    """The one reading that would settle most: where, with what, what to part, and what each result means."""

    points: Sentence
    range: Sentence
    prepare: Sentence
    passes: Sentence
    between: Sentence
    fails: Sentence
    limit_ohm: float


class BondAnswer(Described, frozen=True):
    """An existing bond: does it connect (`counts`: as is safe to act on), does it comply for this work, what does an inspection report."""

    bond: str
    pointer: str
    counts: str
    line: Sentence
    verdicts: tuple[Verdict, ...]
    expected_continuity_ohm: float | None
    observation: Observation | None = None


class ReadingAnswer(Described, frozen=True):
    """A reading that was taken: whether it passes, proves nothing or fails; not firm, it is to be repeated."""

    reading: str
    pointer: str
    line: Sentence
    verdict: Verdict


class PartAnswer(Described, frozen=True):
    """A part: a length of metalwork that is certainly continuous, with what to do about it.

    `mark`: do, leave, do_not_connect, measure_first, settle_first, stop, remove or not_judged. `line`: the first line, ready to read out.
    `covered_by`: parts whose connections serve this one. `test_to_make`: what to look at or measure next, if anything decides more.
    `findings`: what an inspection has to report of it, and how far that is verified; empty for other work, and what is wrong with a bond
    that is there stands with that bond. `observation`: the settled one of them that has a code.
    """

    part: str
    pointer: str
    name: Sentence
    kind: str
    count: float
    act: str
    mark: str
    line: Sentence
    place: SentenceIfAny
    customer: Sentence
    ways_out: tuple[Sentence, ...]
    tests: tuple[Sentence, ...]
    covered_by: tuple[str, ...]
    next_reading: NextReading | None
    verdicts: tuple[Verdict, ...]
    bonds: tuple[BondAnswer, ...]
    readings: tuple[ReadingAnswer, ...] = ()
    test_to_make: Verdict | None = None
    findings: tuple[Verdict, ...] = ()
    observation: Observation | None = None


class RoomLink(Described, frozen=True):
    """One supplementary connection: what it joins and its least size in mm² of copper."""

    joins: Sentence
    least_size: SizeVerdict


class RoomPart(Described, frozen=True):
    """A part that can be touched in a location and may be extraneous: is it shown to be connected to the main bonding."""

    part: str
    pointer: str
    line: Sentence
    verdict: Verdict


class RoomAnswer(Described, frozen=True):
    """A location: supplementary bonding, with the one act that would make omission possible, if there is one.

    `verdicts`: supplementary bonding first; for work that alters circuits also what is asked of residual current devices. `parts`: the
    connection of each part that can be touched there; empty where the rule pack does not judge it.
    `findings`: the supplementary bonding found, and what an inspection has to report, if anything; `observation`: that under a code.
    """

    location: str
    pointer: str
    name: Sentence
    act: str
    mark: str
    line: Sentence
    customer: Sentence
    ways_out: tuple[Sentence, ...]
    tests: tuple[Sentence, ...]
    omitted_once: Sentence | None
    verdicts: tuple[Verdict, ...]
    links: tuple[RoomLink, ...]
    resistance_limit: SizeVerdict | None
    findings: tuple[Verdict, ...] = ()
    observation: Observation | None = None
    parts: tuple[RoomPart, ...] = ()


class FeederAnswer(Described, frozen=True):
    """The circuit that feeds the premises from another installation: whether its protective conductor may serve as the main bond."""

    pointer: str
    act: str
    mark: str
    line: Sentence
    customer: Sentence
    ways_out: tuple[Sentence, ...]
    tests: tuple[Sentence, ...]
    verdict: Verdict


class EarthingAnswer(Described, frozen=True):
    """An earthing besides that of the supply: is it kept apart, and shown to work, or joined by what can carry the current of both.

    `verdicts`: of it; none where the rule pack has no rule for such an earthing. `findings`: what an inspection has to report, if
    anything; `observation`: that under a code.
    """

    earthing: str
    pointer: str
    name: Sentence
    act: str
    mark: str
    line: Sentence
    customer: Sentence
    ways_out: tuple[Sentence, ...]
    tests: tuple[Sentence, ...]
    verdicts: tuple[Verdict, ...]
    findings: tuple[Verdict, ...] = ()
    observation: Observation | None = None


class Evaluation(Described, frozen=True):
    """The whole answer, in the form that `form` names; without it, form 1. `not_judged`: what no rule of the pack covers.

    `groups`: to read on site; `choices`: made for the reader. Sizes for premises that are not judged are left open from end to end.
    `told_not_used`: facts told and not used; left out where there is none. `keep_off`: comes before all else; left out where nothing
    described calls for it. `earthings`: besides that of the supply; left out where none is described.
    """

    form: int
    reference: str
    pack: PackUsed
    not_judged: tuple[NotJudged, ...]
    groups: tuple[Group, ...]
    parts: tuple[PartAnswer, ...]
    rooms: tuple[RoomAnswer, ...]
    main_bond_size: SizeVerdict
    earthing_conductor_size: SizeVerdict
    plan: Plan
    choices: tuple[Sentence, ...]
    cautions: tuple[Sentence, ...]
    feeder: FeederAnswer | None = None
    told_not_used: tuple[ToldNotUsed, ...] = ()
    keep_off: tuple[KeepOff, ...] = ()
    earthings: tuple[EarthingAnswer, ...] = ()
