"""Tests with the figure to expect and room for the reading."""

from collections.abc import Iterator

from bondwright.compose.answer import BondAnswer, Evaluation, PartAnswer, RoomAnswer
from bondwright.compose.sentences import size_words
from bondwright.facts.conductors import ohm_of_metre
from bondwright.installation.proof import Bond
from bondwright.report.brief import kohm
from bondwright.report.page.acts import LEFT, TO_STAY_APART
from bondwright.report.page.naming import Names, place_of
from bondwright.report.page.shape import Entry
from bondwright.report.page.told import Subject, with_names
from bondwright.rulebook.facts import UNKNOWN
from bondwright.rulebook.pack import NOT_JUDGED

_METRES = 10
"""The length for which an expected figure is worked out where nobody told one."""
_MILLI = 1000


def readings(told: tuple[Subject, ...], names: Names) -> tuple[Entry, ...]:
    """The reading that decides most for parts that are measured first: how it is made once, its points and room for what it shows."""
    waiting = [one for one in told if isinstance(one.told, PartAnswer) and one.told.next_reading and _decides(one, names)]
    alike: dict[tuple[str, ...], list[Subject]] = {}
    for one in waiting:
        alike.setdefault(_recipe(one), []).append(one)
    return tuple(
        Entry(
            names.pack.say("site_reading", points=with_names(points, (one.name for one in some)), range=how, limit=limit),
            tuple(one.id for one in some),
            blanks=tuple(one.name if len(some) > 1 else "" for one in some),
        )
        for (points, how, limit), some in alike.items()
    )


def _recipe(subject: Subject) -> tuple[str, str, str]:
    """Its points with a slot for its name, how it is taken, and its limit in kohm."""
    assert isinstance(subject.told, PartAnswer) and subject.told.next_reading
    reading = subject.told.next_reading
    return subject.slotted(reading.points), reading.range, kohm(reading.limit_ohm)


def _decides(subject: Subject, names: Names) -> bool:
    """Whether a reading decides what is to be done; else it could only avoid a bond that is certainly called for."""
    return subject.told.mark != LEFT and any(one.outcome == names.pack.roles.duty and not one.firm for one in subject.verdicts)


def tests(told: tuple[Subject, ...], evaluation: Evaluation, names: Names) -> tuple[Entry, ...]:
    """What to test once the work is done, and the bonds that are there, with what they should read."""
    once: dict[str, list[Subject]] = {}
    say = names.pack.say
    figures = 0
    for subject in told:
        if subject.told.act == NOT_JUDGED:
            continue
        there = tuple(_bonds(subject, names))
        answered, figure = _figure(subject, evaluation, names)
        for test in subject.told.tests:
            figures += answered in test
            if not (there and subject.told.mark == LEFT):
                worded = figure if answered in test else _with_limit(test, subject, names)
                once.setdefault(worded, []).append(subject)
    found = [
        Entry(say("site_test", names=names.listed(one.name for one in some), test=test), tuple(one.id for one in some), blanks=("",))
        for test, some in once.items()
    ]
    bonds = tuple(bond for subject in told for bond in _bonds(subject, names))
    return (*found, *bonds, *([Entry(say("site_clearly_higher"))] if bonds or figures else []))


def _figure(subject: Subject, evaluation: Evaluation, names: Names) -> tuple[str, str]:
    """What the answer says of the resistance of a main bond, for each metre, and the test that the page names in place of it.

    That is of a bond as long as the one that is there, where somebody told its length.
    """
    pack, size = names.pack, evaluation.main_bond_size
    metre = ohm_of_metre(pack, size.provisional or size.highest)
    answered = pack.say("expected_reading", resistance=f"{metre * _MILLI:.3g}", size=size_words(size, pack.say))
    chosen = f"{size.provisional or size.highest:g} {size.unit.replace('mm2', 'mm²')}"
    there = subject.told.bonds if isinstance(subject.told, PartAnswer) else ()
    told = (length for bond in there if not isinstance(length := _length(bond, names), str))
    length = next(told, _METRES)
    return answered, pack.say("site_expect", ohm=f"{metre * length:.2g}", length=f"{length:g}", size=chosen)


def _length(bond: BondAnswer, names: Names) -> float | str:
    """Metres of a bond, as they were told."""
    described = place_of(names.installation, bond.pointer)
    return described.length_m if isinstance(described, Bond) else UNKNOWN


def _with_limit(test: str, subject: Subject, names: Names) -> str:
    """The test, with why its limit is so low where what is open of the circuits decides it."""
    if not isinstance(subject.told, RoomAnswer) or subject.told.resistance_limit is None or subject.told.resistance_limit.firm:
        return test
    limit = subject.told.resistance_limit
    said = f"{limit.lowest:.4g} {limit.unit}"
    return test.replace(said, names.pack.say("site_limit_open", limit=said))


def _bonds(subject: Subject, names: Names) -> Iterator[Entry]:
    """What the bonds that are there should read, but for those that are to come off."""
    if not isinstance(subject.told, PartAnswer) or subject.told.mark in TO_STAY_APART:
        return
    for bond in subject.told.bonds:
        length = _length(bond, names)
        if bond.expected_continuity_ohm is not None and not isinstance(length, str):
            words = {"name": subject.name, "ohm": f"{bond.expected_continuity_ohm:.2g}", "length": f"{length:g}"}
            yield Entry(names.pack.say("site_bond_expected", **words), (subject.id,), blanks=("",))
