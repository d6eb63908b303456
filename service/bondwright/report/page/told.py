"""Parts, locations, earthings and the feeding circuit as the page tells of them: alike where they say the same of different names."""

from collections.abc import Iterable, Iterator, Sequence

from msgspec import Struct

from bondwright.compose.answer import (
    EarthingAnswer,
    Evaluation,
    FeederAnswer,
    Observation,
    PartAnswer,
    Question,
    RoomAnswer,
    SizeVerdict,
    Verdict,
)
from bondwright.conclude.reasons import Reason
from bondwright.report.page.naming import Names

_SLOT = "\0"
FEEDER = "feeder"
"""What the feeding circuit is called where one thing is asked about."""


class Subject(Struct, frozen=True):
    """One thing that the answer has an act for, with its short and its full name; the feeding circuit has none in its line."""

    told: PartAnswer | RoomAnswer | EarthingAnswer | FeederAnswer
    name: str
    full: str

    @property
    def id(self) -> str:
        """Its id in the answer."""
        match self.told:
            case PartAnswer():
                return self.told.part
            case RoomAnswer():
                return self.told.location
            case EarthingAnswer():
                return self.told.earthing
            case FeederAnswer():
                return FEEDER

    @property
    def verdicts(self) -> tuple[Verdict, ...]:
        """Its verdicts, the first of which says what is asked of it."""
        return (self.told.verdict,) if isinstance(self.told, FeederAnswer) else self.told.verdicts

    @property
    def all_verdicts(self) -> tuple[Verdict, ...]:
        """Those and the ones on its bonds, readings, findings and connections."""
        match self.told:
            case PartAnswer() as part:
                bonds = tuple(verdict for bond in part.bonds for verdict in bond.verdicts)
                readings = tuple(reading.verdict for reading in part.readings)
                return (*part.verdicts, *bonds, *readings, *((part.test_to_make,) if part.test_to_make else ()), *part.findings)
            case RoomAnswer() as room:
                return (*room.verdicts, *(part.verdict for part in room.parts), *room.findings)
            case EarthingAnswer() as earthing:
                return (*earthing.verdicts, *earthing.findings)
            case FeederAnswer() as feeder:
                return (feeder.verdict,)

    @property
    def sizes(self) -> tuple[SizeVerdict, ...]:
        """The sizes that are its own."""
        if not isinstance(self.told, RoomAnswer):
            return ()
        return (*(link.least_size for link in self.told.links), *((self.told.resistance_limit,) if self.told.resistance_limit else ()))

    @property
    def observations(self) -> tuple[Observation, ...]:
        """What an inspection reports of it under a code, the part's own first."""
        match self.told:
            case PartAnswer() as part:
                found = (part.observation, *(bond.observation for bond in part.bonds))
            case RoomAnswer() | EarthingAnswer() as one:
                found = (one.observation,)
            case FeederAnswer():
                found = ()
        return tuple(one for one in found if one)

    @property
    def template(self) -> str:
        """Its line with a slot in place of its name."""
        return self.slotted(self.told.line)

    def slotted(self, sentence: str) -> str:
        """A sentence with a slot in place of its name."""
        if isinstance(self.told, FeederAnswer):
            return sentence
        capital = f"{self.told.name[:1].upper()}{self.told.name[1:]}"
        return sentence.replace(self.told.name, _SLOT).replace(capital, _SLOT)


def subjects(evaluation: Evaluation, names: Names) -> tuple[Subject, ...]:
    """Everything that has an act: parts, locations, further earthings, the feeding circuit, in this order."""
    parts = (Subject(part, names.short(part), names.full(part)) for part in evaluation.parts)
    rooms = (Subject(room, room.name, room.name) for room in evaluation.rooms)
    earthings = (Subject(earthing, earthing.name, earthing.name) for earthing in evaluation.earthings)
    feeder = names.pack.say("name_feeder")
    return (*parts, *rooms, *earthings, *((Subject(evaluation.feeder, feeder, feeder),) if evaluation.feeder else ()))


def full_names(like: Sequence[Subject], names: Names) -> list[str]:
    """The full names of some subjects, parts of one kind with the kind once."""
    parts = [one.told for one in like if isinstance(one.told, PartAnswer)]
    return [*([names.grouped(parts)] if parts else []), *(one.full for one in like if not isinstance(one.told, PartAnswer))]


def with_names(template: str, names: Iterable[str]) -> str:
    """A line with names in its slot, beginning with a capital where the line did."""
    text = template.replace(_SLOT, ", ".join(dict.fromkeys(names)))
    return text if template.startswith(_SLOT) else f"{text[:1].upper()}{text[1:]}"


def clauses(reasons: Iterable[Reason]) -> str:
    """The clauses behind reasons, each once."""
    return listed_clauses(reason.clause for reason in reasons)


def listed_clauses(cited: Iterable[str]) -> str:
    """Clauses each once, of lists that are divided by semicolons."""
    return "; ".join(dict.fromkeys(clause.strip() for some in cited for clause in some.split(";") if clause.strip()))


def raised(verdicts: Sequence[Verdict]) -> Iterator[Reason]:
    """The reasons of the verdicts that a rule raised, or of the first where none was."""
    spoken = [one for one in verdicts if one.because and not one.because[0].rule.endswith("-otherwise")] or verdicts[:1]
    return (reason for one in spoken for reason in one.because)


def questions_of(subject: Subject) -> Iterator[tuple[Question, str]]:
    """What is asked about a subject, with the outcome that it could change."""
    everything: tuple[Verdict | SizeVerdict, ...] = (*subject.all_verdicts, *subject.sizes)
    for judged in everything:
        yield from ((question, judged.outcome) for question in judged.questions)
