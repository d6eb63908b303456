"""The parts of an installation as subjects: facts out of the graph, judged with each reading on them."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace

from bondwright.errors import Contradiction, Fault
from bondwright.evaluate.answer import Question
from bondwright.evaluate.neighbours import unsettle
from bondwright.evaluate.readings import Limits, proves_a_path, reading_facts
from bondwright.evaluate.reasoning.questions import open_questions, questions_of
from bondwright.evaluate.reasoning.stages import Acting, Subject, run_stages, subject
from bondwright.installation.proof import Measurement
from bondwright.metalwork.graph import Known, Run, Source, runs
from bondwright.metalwork.known import both, either
from bondwright.metalwork.lengths import Found, Length, Survey
from bondwright.metalwork.worlds import Deciding, near_deciding, reached
from bondwright.rulebook.facts import UNKNOWN, YES, Between, FactValue
from bondwright.rulebook.pack import RulePack

PART = "part"
DUTY = "main_bonding"
REQUIRED = "required"
EXTRANEOUS = "extraneous"
_REACH: Mapping[str, Source] = {
    "reaches_ground": "ground",
    "reaches_other_installation": "other_installation",
    "joined_to_other_earthing": "other_earthing_system",
    "joined_to_mixed_earthing": "mixed_earthing",
}
_TOLD_OF_LENGTHS = (
    "touches_soil_or_concrete",
    "owner_asset",
    "owner_consent",
    "protected_as",
    "insulating_section_at_entry",
    "insulating_section_length",
    "insulating_section_from_entry",
    "lead",
    "meter_outside",
)
"""Facts of a part whose questions the survey keeps with its lengths."""


@dataclass(frozen=True, slots=True)
class _Reach:
    """What one source reaches, by node, and the nearest questions about it."""

    answers: Mapping[str, Known]
    deciding: Callable[[str], Deciding]


@dataclass(frozen=True, slots=True)
class Part:
    """A part: its run in the graph (empty for plastic), its lengths, and what was concluded of it; `judged`: whether rules cover it."""

    run: Run
    lengths: tuple[Length, ...]
    subject: Subject
    judged: bool = True

    @property
    def head(self) -> Length:
        """The length that the part is named after."""
        return self.lengths[0]

    @property
    def bonds(self) -> tuple[Found, ...]:
        """Every bond found on it."""
        return tuple(bond for length in self.lengths for bond in length.bonds or ())

    @property
    def bonds_known(self) -> bool:
        """Whether the description says of every length which bonds it has."""
        return all(length.bonds is not None for length in self.lengths)


def judged_parts(
    found: Survey,
    pack: RulePack,
    limits: Limits,
    shared: Mapping[str, FactValue],
    asked_of_all: Mapping[str, tuple[Question, ...]],
    acting: Acting,
) -> tuple[Part, ...]:
    """Every part that somebody can reach, in the order of the description, with its outcomes.

    `shared`: facts that are the same for every part, of the work, the premises and the earth; `asked_of_all`: questions behind them.

    Raises: Contradiction, where a reading shows a path to earth that the description rules out.
    """
    graph = found.graph
    reach = {fact: _Reach(reached(graph, source), near_deciding(graph, source)) for fact, source in _REACH.items() if fact in pack.facts}
    pieces = [(run, _lengths(found, run)) for run in runs(graph)] + [
        (Run(), (length,)) for node, length in found.lengths.items() if graph.metal[node] == "no"
    ]
    order = {node: index for index, node in enumerate(graph.nodes)}
    pieces = sorted((piece for piece in pieces if piece[1]), key=lambda piece: order[piece[1][0].node])
    known = [_base(found, pack, limits, run, lengths, reach) for run, lengths in pieces]
    bases = [replace(_with(base, shared), questions={**base.questions, **asked_of_all}) for base in known]
    variants = [_variants(base, lengths, pack, limits) for base, (_, lengths) in zip(bases, pieces, strict=True)]
    judged = iter(run_stages(pack, PART, [one for group in variants for one in group], acting))
    least = [_least([next(judged) for _ in group]) for group in variants]
    settled = unsettle([(run, one) for (run, _), one in zip(pieces, least, strict=True)], graph, pack)
    return tuple(Part(run, lengths, one) for (run, lengths), one in zip(pieces, settled, strict=True))


def at_least(one: Subject, outcome: str, level: str, pack: RulePack) -> Known:
    """Whether an outcome comes to that level or a more cautious one; no where the pack has no such level."""
    ladder, stands = pack.outcomes[outcome].levels, one.levels[outcome]
    index = ladder.index(level) if level in ladder else len(ladder)
    return "yes" if stands.settled >= index else "unknown" if stands.worst_case >= index else "no"


def called_for(one: Subject, pack: RulePack) -> Known:
    """Whether main bonding is called for on a part that the pack judges."""
    return at_least(one, DUTY, REQUIRED, pack)


def required(part: Part, pack: RulePack) -> Known:
    """Whether main bonding is called for on a part; nobody knows where no rule covers it."""
    return called_for(part.subject, pack) if part.judged else "unknown"


def about_duty(parts: Sequence[Part], pack: RulePack) -> tuple[Question, ...]:
    """What would settle whether main bonding is called for on any part, where one alone is in doubt; else each part asks for itself."""
    doubtful = [part for part in parts if required(part, pack) == "unknown"]
    return open_questions(doubtful[0].subject, DUTY, pack, REQUIRED) if len(doubtful) == 1 and doubtful[0].judged else ()


def stays_outside(part: Part) -> bool:
    """Whether it is certain that none of a part stands inside the building."""
    return part.subject.facts.get("stands_inside") == "no"


def surely_shared(part: Part) -> bool:
    """Whether it is certain that the part is metal that reaches another installation."""
    return part.subject.facts["metal"] == "yes" and part.subject.facts["reaches_other_installation"] == "yes"


def _lengths(found: Survey, run: Run) -> tuple[Length, ...]:
    return tuple(found.lengths[node] for node in found.graph.nodes if node in run and found.lengths[node].seen)


def _base(found: Survey, pack: RulePack, limits: Limits, run: Run, lengths: Sequence[Length], reach: Mapping[str, _Reach]) -> Subject:
    head, node = lengths[0], lengths[0].node
    everywhere = [found.lengths[name] for name in found.graph.nodes if name in run] or [head]
    fluid = pack.cell("fluids", head.fluid, "conducts")
    known: dict[str, FactValue] = {
        "metal": found.graph.metal[node],
        "touches_soil_or_concrete": either(*(length.earthy for length in everywhere)),
        "carries_water": fluid,
        "owner_asset": either(*(length.owner_asset for length in everywhere)),
        "telecom": head.telecom,
        "owner_consent": head.owner_consent,
        **_entry_section(everywhere),
        "equipment_case": head.equipment_case,
        "sort": head.sort,
        "lead": either(*(length.lead for length in everywhere)),
        "meter_outside": head.meter_outside,
        **_position(everywhere, found.maybe_one_with(run)),
        "protected_as": head.protected_as,
        "isolation_limit": limits.decides,
        "isolation_limit_at_default_current": Between(limits.default, limits.default),
        "isolation_limit_at_rcd_current": Between(limits.raised, limits.raised),
    }
    known |= {fact: one.answers[node] if found.graph.metal[node] != "no" else "no" for fact, one in reach.items()}
    deciding = {fact: one.deciding(node) for fact, one in reach.items() if known[fact] == "unknown"}
    questions = {**_questions(found, pack, everywhere, deciding), **_about_position(found, run, everywhere, pack)}
    possible: dict[str, tuple[FactValue, ...]] = {fact: ways for fact, (_, ways) in deciding.items() if ways}
    if any(one.stands_inside == "unknown" and "stands_inside" not in one.gaps for one in everywhere):
        possible["stands_inside"] = (YES,)
    return replace(subject(pack, PART, node, head.pointer, known, questions), possible=possible)


def _entry_section(lengths: Sequence[Length]) -> Mapping[str, FactValue]:
    """The insulating section at the entry, which every length of the part must profit by: the shortest, the farthest in."""
    sections = [length.entry_section for length in lengths]
    long = [one.length_m for one in sections if not isinstance(one.length_m, str)]
    far = [one.from_entry_m for one in sections if not isinstance(one.from_entry_m, str)]
    known: dict[str, FactValue] = {"insulating_section_at_entry": both(*(one.there for one in sections))}
    if len(long) == len(far) == len(sections):
        known["insulating_section_length"] = Between(min(long), min(long))
        known["insulating_section_from_entry"] = Between(max(far), max(far))
    return known


def _questions(
    found: Survey, pack: RulePack, lengths: Sequence[Length], deciding: Mapping[str, Deciding]
) -> Mapping[str, tuple[Question, ...]]:
    node = lengths[0].node
    keys: dict[str, list[str | None]] = {fact: [*deciding[fact][0]] for fact in deciding}
    keys["metal"] = [found.graph.metal_gaps.get(node)]
    for fact in _TOLD_OF_LENGTHS:
        keys[fact] = [length.gaps.get(fact) for length in lengths]
    keys["touches_soil_or_concrete"] = [length.gaps.get("touches_soil_or_concrete") for length in lengths if length.earthy == "unknown"]
    keys["isolation_limit"] = ["touch_current_reason /touch_current_reason"]
    return {fact: questions for fact, some in keys.items() if (questions := questions_of(some, pack))}


def _position(lengths: Sequence[Length], others: Sequence[Length]) -> Mapping[str, FactValue]:
    """Whether any of it is inside, and can be touched from there; `others`: lengths that may be one piece with it."""
    told = [(one.stands_inside, one.touchable_with_building) for one in lengths]
    told += [(both(one.stands_inside, "unknown"), both(one.touchable_with_building, "unknown")) for one in others]
    inside, touchable = (either(*values) for values in zip(*told, strict=True))
    return {"stands_inside": inside, "touchable_with_building": touchable}


def _about_position(found: Survey, run: Run, lengths: Sequence[Length], pack: RulePack) -> Mapping[str, tuple[Question, ...]]:
    """The questions about where each length stands, what can be touched together with it, and whether it is one piece with others."""
    others = found.maybe_one_with(run)
    nearest = others[:1]
    near = {one.node for one in (*lengths, *nearest)}
    keys: list[str | None] = []
    if len(others) == 1 or any(one.stands_inside == "yes" for one in nearest):  # else no answer about one of them alone could tell
        keys += [link.gap for link in found.joints if {link.a, link.b} <= near]
        keys += [found.graph.metal_gaps.get(one.node) for one in nearest]
    about = {
        "stands_inside": [one.gaps.get("stands_inside") for one in lengths if one.stands_inside == "unknown"],
        "touchable_with_building": [one.gaps.get("touchable_with_building") for one in lengths],
    }
    return {fact: questions for fact, told in about.items() if (questions := questions_of([*told, *keys], pack))}


def _variants(base: Subject, lengths: Sequence[Length], pack: RulePack, limits: Limits) -> list[Subject]:
    """The part without a reading, and once with each reading on it; the least cautious of them stands.

    A reading that shows a path makes the reach certain, or contradicts a description that rules every path out.
    """
    taken = [(found, found.what) for length in lengths for found in length.measurements if isinstance(found.what, Measurement)]
    showing = [found for found, what in taken if proves_a_path(what, limits.decides.lowest, pack)]
    if showing:
        return [_with_path(base, showing, taken, pack, limits)]
    return [*(_with(base, reading_facts(what, pack)) for _, what in taken), base]


def _with_path(
    base: Subject, showing: Sequence[Found], taken: Sequence[tuple[Found, Measurement]], pack: RulePack, limits: Limits
) -> Subject:
    high = [found for found, what in taken if _reads_high(what, limits, pack)]
    if base.facts["reaches_ground"] == "no" and base.facts["reaches_other_installation"] == "no":
        way_out = "the reading shows a path to earth that the description rules out; describe an earthy length, or correct the reading"
        raise Contradiction(tuple(Fault(f"{found.pointer}/reading", way_out) for found in showing))
    if high:
        way_out = "one reading shows a path to earth and another none; say which conditions differed, or leave one out"
        raise Contradiction(tuple(Fault(f"{found.pointer}/reading", way_out) for found in high))
    reaching = "reaches_ground" if base.facts["reaches_ground"] != "no" else "reaches_other_installation"
    shown = [_with(base, {**reading_facts(what, pack), reaching: "yes"}) for found, what in taken if found in showing]
    return min(shown, key=_caution)


def _reads_high(what: Measurement, limits: Limits, pack: RulePack) -> bool:
    value = reading_facts(what, pack).get("isolation_reading")
    return isinstance(value, Between) and value.lowest >= limits.decides.highest


def _with(base: Subject, facts: Mapping[str, FactValue]) -> Subject:
    merged = {**base.facts, **{name: value for name, value in facts.items() if name in base.facts}}
    return Subject(base.of, base.name, base.pointer, merged, dict(merged), base.questions, possible=base.possible)


def _least(judged: Sequence[Subject]) -> Subject:
    """The least cautious variant; the last one, without a reading, stays with it, for a better reading could be made."""
    chosen = min(judged, key=_caution)
    return replace(chosen, bare=judged[-1]) if chosen is not judged[-1] else chosen


def _caution(one: Subject) -> tuple[object, ...]:
    """Least cautious first; of equals the one that knows most, and then one that does not depend on their order."""
    levels = tuple((level.worst_case, level.settled) for level in one.levels.values())
    return levels, sum(value == UNKNOWN for value in one.facts.values()), repr(one.facts)
