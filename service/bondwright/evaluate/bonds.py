"""Existing bonds as subjects: do they connect, do they comply for this work, how are they reported."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from bondwright.calculators.instruments import true_value_between
from bondwright.evaluate.answer import BondAnswer, Question
from bondwright.evaluate.parts import DUTY, REQUIRED, Part, at_least, called_for
from bondwright.evaluate.readings import resistance_between, shown_resistance
from bondwright.evaluate.reasoning.questions import field_question, open_questions, questions_for, questions_of
from bondwright.evaluate.reasoning.stages import Acting, Subject, run_stages, subject
from bondwright.evaluate.reasoning.verdicts import is_finding, to_act_on, verdict
from bondwright.evaluate.supply import conductor_questions, cross_section, ohm_per_metre, size_between
from bondwright.installation.description import Installation
from bondwright.installation.proof import Bond
from bondwright.installation.words import LENGTH_BOUNDS_M
from bondwright.metalwork.known import both, opposite
from bondwright.metalwork.lengths import Found, Length
from bondwright.rulebook.facts import Between, FactValue
from bondwright.rulebook.pack import RulePack
from bondwright.units import rounded

BOND = "bond"
CONNECTION = "bond_connection"
COMPLIANCE = "bond_compliance"
_FAILED_FROM = "cannot_rely"
_DEPARTS = "improve"
_OBJECTION = "objection"
_NOTHING_NEW = "no_new_connection"
_APART = "must_not_be_connected"
REPORT = "bond_report"
_REMOVAL = "bond_removal"
_CONCLUDED = (COMPLIANCE, REPORT, _REMOVAL)
NO_BOND = frozenset({"none", "not_told"})
"""States of a part without a bond, as far as anybody said."""
SERVING = frozenset({"counts", "departs", "mend"})
"""States of a part with a bond that connects."""
_SIZE = "main_bond_size"
_LIMIT, _EXPECTED, _LAST_DIGIT = "bond_continuity_limit", "bond_continuity_expected", "continuity_last_digit"
_FIELDS: Mapping[str, str] = {
    "bond_far_end": "connected_to",
    "bond_continuity": "continuity",
    "bond_continuity_shown": "continuity",
    "bond_parted": "continuity_parted",
    "bond_joint": "joint",
    "bond_accessible": "accessible",
    "bond_labelled": "labelled",
    "bond_before_branch": "before_first_branch",
    "bond_from_meter": "from_meter_m",
    "bond_closer_practicable": "closer_place_practicable",
}
"""The field of a bond that tells a fact."""


@dataclass(frozen=True, slots=True)
class JudgedBond:
    """An existing bond with what was concluded of it, and the continuity in ohm that it should show, if its length is known."""

    found: Found
    subject: Subject
    expected_ohm: float | None


def judged_bonds(
    parts: Sequence[Part], supply: Subject, installation: Installation, pack: RulePack, acting: Acting
) -> Mapping[str, tuple[JudgedBond, ...]]:
    """The bonds of each part by the part's name, in the order found."""
    asked = supply.facts[_SIZE]
    new = pack.cell("works", installation.work.kind, "new")
    rows: list[tuple[str, Found, Subject, float | None]] = []
    for part in parts:
        about_part = _about_place(part.subject, pack) if part.bonds else {}
        for length in part.lengths:
            for found in length.bonds or ():
                assert isinstance(found.what, Bond)
                known, expected = _facts(found.what, length, pack)
                known |= {"bond_size_asked": asked, "work_new": new, **_place_of(part.subject, pack)}
                about_size = _about_size(supply, known["bond_size"], pack)
                questions = {**_questions(found.what, found.pointer, length, pack), **about_part, "bond_size_asked": about_size}
                rows.append((part.subject.name, found, subject(pack, BOND, found.name, found.pointer, known, questions), expected))
    judged = run_stages(pack, BOND, [row[2] for row in rows], acting)
    grouped: dict[str, list[JudgedBond]] = {part.subject.name: [] for part in parts}
    for (name, found, _, expected), one in zip(rows, judged, strict=True):
        grouped[name].append(JudgedBond(found, one, expected))
    return {name: tuple(some) for name, some in grouped.items()}


def _about_size(supply: Subject, found: FactValue, pack: RulePack) -> tuple[Question, ...]:
    """What would settle whether the size that is asked for is more than the one found; all of it, where that is open itself."""
    fixed = found if isinstance(found, Between) and found.known else ""
    return questions_for(supply, pack.outcomes[_SIZE], pack, fixed)


def bond_state(part: Part, bonds: Sequence[JudgedBond], pack: RulePack) -> str:
    """What the bonds of a part come to.

    `counts`: one surely connects. `departs`: the same, but it surely departs from the edition. `mend`: it must surely be put right.
    `failed`: none can be relied on, surely. `cannot_rely`: none is shown to connect. `none`: there is none. `not_told`: nobody said.
    Packs that know no `departs` or `not_told` take these for `counts` and `none`.
    """
    if not bonds:
        return "none" if part.bonds_known or not _knows("not_told", pack) else "not_told"
    counting = [bond.subject.levels[COMPLIANCE] for bond in bonds if bond.subject.levels[CONNECTION].worst_case == 0]
    if counting:
        top = len(pack.outcomes[COMPLIANCE].levels) - 1
        if all(level.lowest == top for level in counting):
            return "mend"
        departs = pack.outcomes[COMPLIANCE].levels.index(_DEPARTS)
        surely = all(level.lowest >= departs for level in counting) and any(level.worst_case == departs for level in counting)
        return "departs" if surely and _knows("departs", pack) else "counts"
    failed = pack.outcomes[CONNECTION].levels.index(_FAILED_FROM)
    return "failed" if all(bond.subject.levels[CONNECTION].lowest >= failed for bond in bonds) else "cannot_rely"


def _knows(state: str, pack: RulePack) -> bool:
    return any(state in row.bond for row in pack.joints)


def findings(bonds: Sequence[JudgedBond], pack: RulePack) -> str:
    """What is surely wrong with the bonds of a part, in the words of the pack."""
    levels = [(pack.outcomes[name], level) for bond in bonds for name, level in bond.subject.levels.items() if is_found(name)]
    told = [(outcome, level.firm, *to_act_on(outcome, level)) for outcome, level in levels]
    return "; ".join(dict.fromkeys(words for outcome, firm, act_on, words in told if is_finding(outcome, act_on, firm)))


def is_found(outcome: str) -> bool:
    """Whether an outcome of a bond is about something found on it, not concluded from what was found."""
    return outcome not in _CONCLUDED


def _place_of(part: Subject, pack: RulePack) -> dict[str, FactValue]:
    apart = at_least(part, _OBJECTION, _APART, pack)
    return {
        "bond_needed": called_for(part, pack),
        "bond_joins_what_must_stay_apart": apart,
        "bond_on_metal_outside": both(at_least(part, _OBJECTION, _NOTHING_NEW, pack), opposite(apart)),
    }


def _about_place(part: Subject, pack: RulePack) -> dict[str, tuple[Question, ...]]:
    """The questions behind what a bond is judged by of the part that it is on."""
    return {
        "bond_needed": open_questions(part, DUTY, pack, REQUIRED),
        "bond_joins_what_must_stay_apart": open_questions(part, _OBJECTION, pack, _APART),
        "bond_on_metal_outside": open_questions(part, _OBJECTION, pack, _NOTHING_NEW) + open_questions(part, _OBJECTION, pack, _APART),
    }


def _questions(bond: Bond, pointer: str, length: Length, pack: RulePack) -> dict[str, tuple[Question, ...]]:
    """The questions behind what is unknown of a bond itself, each at its field."""
    size = conductor_questions("bond_size", pointer, bond, pack)
    return {
        **{fact: field_question(fact, f"{pointer}/{field}", getattr(bond, field), pack) for fact, field in _FIELDS.items()},
        "bond_size": size,
        "bond_metal": field_question("bond_metal", f"{pointer}/material", bond.material, pack),
        "bond_cross_section": field_question("bond_cross_section", f"{pointer}/size", bond.size, pack),
        **{name: size + field_question(name, f"{pointer}/length_m", bond.length_m, pack) for name in (_LIMIT, _EXPECTED)},
        "bond_after_inside_meter": questions_of([length.gaps.get("meter_inside")], pack),
    }


def bond_answer(bond: JudgedBond, inspected: bool, pack: RulePack) -> BondAnswer:
    """A judged bond as it is answered; `inspected`: whether the work is one that reports."""
    told = [name for name in pack.outcomes if pack.outcomes[name].of == BOND and (inspected or name != REPORT)]
    verdicts = tuple(verdict(bond.subject, name, pack) for name in told)
    words = {one.outcome: one.words for one in verdicts}
    findings = [
        one.words
        for one in verdicts
        if one.outcome != CONNECTION and is_found(one.outcome) and one.act_on != pack.outcomes[one.outcome].levels[0]
    ]
    detail = f" ({'; '.join(findings)})" if findings else ""
    return BondAnswer(
        bond=bond.found.name,
        pointer=bond.found.pointer,
        counts=next(one.act_on for one in verdicts if one.outcome == CONNECTION),
        line=f"Bond {bond.found.name}: {'; '.join(words[name] for name in (CONNECTION, *_CONCLUDED) if name in words)}{detail}.",
        verdicts=verdicts,
        expected_continuity_ohm=bond.expected_ohm,
    )


def _facts(bond: Bond, length: Length, pack: RulePack) -> tuple[dict[str, FactValue], float | None]:
    size = size_between(pack, bond.size, bond.material, "bond_size")
    assert isinstance(size, Between)
    sound = _sound(bond, size, pack)
    known: dict[str, FactValue] = {
        "bond_far_end": bond.connected_to,
        "bond_size": size,
        "bond_metal": bond.material,
        _LIMIT: _widened(sound, pack),
        "bond_parted": bond.continuity_parted,
        "bond_joint": bond.joint,
        "bond_accessible": bond.accessible,
        "bond_labelled": bond.labelled,
        "bond_before_branch": bond.before_first_branch,
        "bond_after_inside_meter": length.meter_inside,
        "bond_closer_practicable": bond.closer_place_practicable,
    }
    if not isinstance(bond.from_meter_m, str):
        known["bond_from_meter"] = Between(bond.from_meter_m, bond.from_meter_m)
    if bond.size != "unknown":
        area = cross_section(bond.size)
        known["bond_cross_section"] = Between(area, area)
    if pack.has_value(_LAST_DIGIT):
        digit = pack.number(_LAST_DIGIT)
        known[_EXPECTED] = Between(sound.lowest + digit, sound.highest + digit)
    measured = resistance_between(bond.continuity, pack)
    shown = shown_resistance(bond.continuity, pack.fact("bond_continuity").highest)
    if measured is not None and shown is not None:
        known |= {"bond_continuity": measured, "bond_continuity_shown": shown}
    return known, rounded(sound.highest) if sound.known else None


def _sound(bond: Bond, size: Between, pack: RulePack) -> Between:
    """Resistance in ohm that the bond has at most if it is sound: length times resistance per metre, as far as both are told."""
    shortest, longest = LENGTH_BOUNDS_M if isinstance(bond.length_m, str) else (bond.length_m, bond.length_m)
    return Between(shortest * ohm_per_metre(pack, size.highest), longest * ohm_per_metre(pack, size.lowest))


def _widened(sound: Between, pack: RulePack) -> Between:
    """What a sound bond may read at most: its resistance widened by the instrument, and an allowance."""
    allowance, uncertainty = pack.number("continuity_allowance"), pack.number("reading_uncertainty")
    top = pack.fact(_LIMIT).highest
    return Between(*(min(true_value_between(ohm, uncertainty, allowance)[1], top) for ohm in (sound.lowest, sound.highest)))
