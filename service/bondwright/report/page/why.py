"""One thing of the page with everything behind it: all reasons, questions, readings, and the rules that did not apply."""

from collections.abc import Iterable, Iterator

from msgspec import Struct, field

from bondwright.compose.answer import BondAnswer, EarthingAnswer, Evaluation, PartAnswer, RoomAnswer, Silent, SizeVerdict, Verdict
from bondwright.compose.sentences import size_words
from bondwright.installation.description import Installation
from bondwright.report.page.naming import Names
from bondwright.report.page.told import FEEDER, Subject, subjects
from bondwright.report.rows import plain, row, rows, wrapped
from bondwright.report.text import asked_once, cited, recipe_rows, words_of
from bondwright.rulebook.held import Sentences
from bondwright.rulebook.pack import RulePack

SUPPLY = "supply"
"""What the sizes and the feeding circuit are asked for by."""


def names_known(evaluation: Evaluation, installation: Installation, pack: RulePack) -> tuple[str, ...]:
    """Every name by which one thing can be asked for, as the page and the answer call it."""
    names = Names(evaluation, installation, pack)
    told = subjects(evaluation, names)
    return (*dict.fromkeys(name for one in told for name in (names.owner(one.told.pointer), one.name) if name), SUPPLY)


def why_text(evaluation: Evaluation, installation: Installation, pack: RulePack, name: str) -> str | None:
    """Everything behind one thing, or several of that name, such as all lengths of a service; none where nothing is called so."""
    names = Names(evaluation, installation, pack)
    wanted = name.strip().lower()
    told = subjects(evaluation, names)
    found = [one for one in told if wanted in (known.lower() for known in _called(one, names)) or (wanted == SUPPLY and one.id == FEEDER)]
    blocks = [[*_block(subject, names)] for subject in found]
    if wanted == SUPPLY:
        blocks.insert(0, [*_supply(evaluation, pack.say)])
    return "\n\n".join("\n".join(block) for block in blocks) + "\n" if blocks else None


def _called(subject: Subject, names: Names) -> tuple[str, ...]:
    """Its id, its names on the page, and the name of the service that it is a length of."""
    return tuple(dict.fromkeys(one for one in (subject.id, subject.name, subject.full, names.owner(subject.told.pointer)) if one))


class _Once(Struct):
    """What was said already, so that each thing stands once."""

    say: Sentences
    said: set[str] = field(default_factory=set)

    def new(self, texts: Iterable[str]) -> list[str]:
        """Those not yet said."""
        found = [text for text in dict.fromkeys(texts) if text not in self.said]
        self.said.update(found)
        return found

    def judged(self, one: Verdict) -> Iterator[str]:
        """The reasons of a verdict, what is asked, what could ease it, and what did not apply."""
        say = self.say
        yield from rows(say("label_because"), self.new(cited(reason, say) for reason in one.because))
        yield from rows(say("label_missing"), self.new(asked_once([one.questions])))
        yield from rows(say("label_could_ease"), self.new(asked_once([one.could_relax])))
        yield from rows(say("site_label_silent"), self.new(_silent(rule, say) for rule in one.did_not_act))

    def sized(self, label: str, size: SizeVerdict) -> Iterator[str]:
        """A size with its reasons and questions."""
        yield row(label, size_words(size, self.say))
        yield from rows(self.say("label_because"), self.new(cited(reason, self.say) for reason in size.because))
        yield from rows(self.say("label_missing"), self.new(asked_once([size.questions])))


def _silent(rule: Silent, say: Sentences) -> str:
    facts = ", ".join(map(plain, rule.waiting_for))
    return say("site_silent", says=rule.says, facts=facts, clause=rule.clause, rule=rule.rule)


def _supply(evaluation: Evaluation, say: Sentences) -> Iterator[str]:
    once = _Once(say)
    yield say("heading_sizes")
    yield from once.sized(say("label_main_bond"), evaluation.main_bond_size)
    yield from once.sized(say("label_earthing"), evaluation.earthing_conductor_size)
    yield from rows(say("label_chosen"), evaluation.choices)


def _block(subject: Subject, names: Names) -> Iterator[str]:
    say, once, told = names.pack.say, _Once(names.pack.say), subject.told
    yield wrapped(f"{subject.full} [{told.pointer}]: {told.line}")
    for one in subject.verdicts:
        yield row(say("label_verdict"), words_of(one, say))
        yield from once.judged(one)
    match told:
        case PartAnswer():
            yield from _of_part(told, names, once)
        case RoomAnswer():
            yield from _of_room(told, once)
        case EarthingAnswer():
            yield from _found(told.findings, once)
    yield from rows(say("label_way_out"), told.ways_out)
    yield from rows(say("label_test"), told.tests)
    yield row(say("label_customer"), told.customer)


def _of_part(part: PartAnswer, names: Names, once: _Once) -> Iterator[str]:
    say = once.say
    if part.covered_by:
        yield row(say("label_served_by"), say("page_connection_on", parts=", ".join(map(names.of, part.covered_by))))
    for bond in part.bonds:
        yield from _of_bond(bond, once)
    for reading in part.readings:
        yield row(say("label_reading"), f"{reading.line} [{reading.pointer}]")
        yield from once.judged(reading.verdict)
    if part.test_to_make:
        yield row(say("label_test_to_make"), words_of(part.test_to_make, say))
        yield from once.judged(part.test_to_make)
    if part.next_reading:
        yield row(say("label_next_reading"), part.next_reading.points)
        yield from recipe_rows(part.next_reading, say)
    yield from _found(part.findings, once)


def _found(findings: Iterable[Verdict], once: _Once) -> Iterator[str]:
    for found in findings:
        yield row(once.say("label_report"), words_of(found, once.say))
        yield from once.judged(found)


def _of_bond(bond: BondAnswer, once: _Once) -> Iterator[str]:
    yield row(once.say("label_bond_there"), f"{bond.line} [{bond.pointer}]")
    for one in bond.verdicts:
        yield from once.judged(one)


def _of_room(room: RoomAnswer, once: _Once) -> Iterator[str]:
    say = once.say
    if room.omitted_once:
        yield row(say("label_may_be_omitted"), room.omitted_once)
    for part in room.parts:
        yield row(say("label_connection"), f"{part.line} [{part.pointer}]")
        yield from once.judged(part.verdict)
    for link in room.links:
        yield row(say("label_join"), link.joins)
        yield from once.sized("", link.least_size)
    if room.resistance_limit:
        yield from once.sized(say("label_limit"), room.resistance_limit)
    yield from _found(room.findings, once)
