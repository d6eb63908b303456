"""One installation judged by one rule pack: the whole answer."""

from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import date

from bondwright.calculators.ranges import OutOfRange
from bondwright.evaluate.acts import Act, acts, bond_states, part_answer, plan_answer, sentence, words_said
from bondwright.evaluate.answer import FORM, Evaluation, NotJudged, PartAnswer, SizeVerdict
from bondwright.evaluate.bonds import JudgedBond, judged_bonds
from bondwright.evaluate.choosing.pack_used import PackUsed
from bondwright.evaluate.earthing.coming import about_earth, earth_facts, metal_shared, refuse_contradictions
from bondwright.evaluate.feeder import feeder_answer
from bondwright.evaluate.findings import findings_of, reported
from bondwright.evaluate.measuring import measured, refuse_contradicted
from bondwright.evaluate.parts import Part, about_duty, judged_parts, required, surely_shared
from bondwright.evaluate.readings import Limits, limits
from bondwright.evaluate.reasoning.stages import Acting, Subject
from bondwright.evaluate.reasoning.verdicts import size_verdict
from bondwright.evaluate.rooms.answers import room_answers
from bondwright.evaluate.rooms.house import House
from bondwright.evaluate.scope.answers import not_judged, size_not_judged, with_what_is_not_judged, words_of
from bondwright.evaluate.scope.deciding import Scope, scope
from bondwright.evaluate.shapes.plan import Group
from bondwright.evaluate.supply import flat_supply, judged_supply
from bondwright.installation.description import DesignedWork, InspectedWork, Installation
from bondwright.metalwork.known import either, known
from bondwright.metalwork.survey import survey
from bondwright.metalwork.worlds import reached
from bondwright.rulebook.facts import FactValue
from bondwright.rulebook.pack import NOT_JUDGED, PackHead, RulePack

_KILO = 1000
_OF_ITS_OWN = "{bond}"
"""What a line says of one part alone."""
_ALIKE = frozenset({"leave", "settle_first"})
"""Marks whose parts stand under one line."""


def evaluate(installation: Installation, pack: RulePack, acting: Acting) -> Evaluation:
    """Everything that `pack` says about `installation`.

    Raises: Contradiction, if the description contradicts itself, or the pack lacks what it needs; EngineDisagreement, from `acting`.
    """
    try:
        return _evaluated(installation, pack, acting)
    except OutOfRange as error:
        raise pack.fault(f"gives a number with which nothing can be worked out: {error}") from None


def _evaluated(installation: Installation, pack: RulePack, acting: Acting) -> Evaluation:
    refuse_contradictions(installation)
    limit, aside = limits(installation, pack), scope(installation, pack)
    found = survey(installation, pack)
    shared: dict[str, FactValue] = {
        "work_relies_on_bonding": pack.cell("works", installation.work.kind, "relies"),
        "flat_supply": flat_supply(installation),
        **earth_facts(installation.supply, pack),
    }
    asked = about_earth(installation, pack)
    parts = tuple(
        replace(part, judged=part.head.belongs_to not in aside.things) for part in judged_parts(found, pack, limit, shared, asked, acting)
    )
    shares_metal = metal_shared(installation, any(surely_shared(part) for part in parts))
    called_for = either(*(required(part, pack) for part in parts))
    supply = judged_supply(installation.supply, called_for, about_duty(parts, pack), shares_metal, pack, acting)
    bonds = judged_bonds(parts, supply, installation, pack, acting)
    states = bond_states(parts, bonds, pack)
    chosen = acts(parts, states, found, pack)
    size, earthing = (_size(name, supply, aside, pack) for name in ("main_bond_size", "earthing_conductor_size"))
    told = _told(installation, parts, bonds, chosen, states, size, pack, acting)
    answers = with_what_is_not_judged(told, parts, found, aside, installation, pack)
    by_conductor = reached(found.graph, "protective_conductor") if installation.locations else {}
    house = House(parts, chosen, states, bonds, found, by_conductor, known(installation.survey_complete))
    rooms = room_answers(installation, house, aside, pack, acting)
    unjudged = not_judged(answers, parts, rooms, aside, pack)
    return Evaluation(
        form=FORM,
        reference=installation.reference,
        pack=_pack_used(installation, pack),
        not_judged=unjudged,
        groups=_groups(answers, unjudged, pack),
        parts=answers,
        rooms=rooms,
        main_bond_size=size,
        earthing_conductor_size=earthing,
        plan=plan_answer(answers, size, states),
        choices=_choices(limit, installation, pack),
        cautions=pack.cautions,
        feeder=feeder_answer(installation, supply, aside, pack),
    )


def _size(name: str, supply: Subject, aside: Scope, pack: RulePack) -> SizeVerdict:
    return size_not_judged(name, aside.premises, pack) if aside.premises else size_verdict(supply, name, pack)


def _told(
    installation: Installation,
    parts: Sequence[Part],
    bonds: Mapping[str, tuple[JudgedBond, ...]],
    chosen: Mapping[str, Act],
    states: Mapping[str, str],
    size: SizeVerdict,
    pack: RulePack,
    acting: Acting,
) -> Mapping[str, PartAnswer]:
    """The answers of the parts that are judged, by name, with readings and, of an inspection, findings."""
    names = {part.subject.name: part.head.name for part in parts}
    judged = [part for part in parts if part.judged]
    plain = {
        part.subject.name: part_answer(part, chosen[part.subject.name], bonds[part.subject.name], names, size, installation.work.kind, pack)
        for part in judged
    }
    tests = measured(judged, pack, acting)
    refuse_contradicted(judged, bonds, tests, pack)
    told = {name: replace(one, readings=tests[name].readings, test_to_make=tests[name].to_make) for name, one in plain.items()}
    if not isinstance(installation.work, InspectedWork):
        return told
    findings = findings_of(judged, chosen, states, pack, acting)
    return {name: reported(one, (*findings[name], *tests[name].reports), pack) for name, one in told.items()}


def chosen_date(installation: Installation) -> tuple[str, date]:
    """The date that picks the edition, with the name of its field."""
    work = installation.work
    return ("designed_on", work.designed_on) if isinstance(work, DesignedWork) else ("inspected_on", work.inspected_on)


def in_use(pack: PackHead, day: date) -> bool:
    """Whether the edition may be worked to on that day."""
    return pack.usable_from <= day and (pack.usable_to is None or day <= pack.usable_to)


def _pack_used(installation: Installation, pack: RulePack) -> PackUsed:
    field, day = chosen_date(installation)
    return PackUsed(
        pack_id=pack.pack_id,
        digest=pack.digest,
        standard=pack.standard,
        title=pack.title,
        usable_from=pack.usable_from.isoformat(),
        usable_to=pack.usable_to.isoformat() if pack.usable_to else None,
        review_by=pack.review_by.isoformat(),
        chosen_by="rule_pack" if installation.rule_pack else field,
        chosen_on=day.isoformat(),
        in_use_on_that_day=in_use(pack, day),
        note=pack.note,
    )


def _groups(parts: Sequence[PartAnswer], unjudged: Sequence[NotJudged], pack: RulePack) -> tuple[Group, ...]:
    """Like parts under one line: those to leave or to ask about, by act, those not judged, by what governs them; others stand alone."""
    aside = {one.pointer: one for one in unjudged}
    grouped: dict[tuple[str, ...], list[PartAnswer]] = {}
    for part in parts:
        if part.act == NOT_JUDGED:
            key: tuple[str, ...] = (part.act, part.verdicts[0].because[0].rule)
        else:
            alike = part.mark in _ALIKE and _OF_ITS_OWN not in pack.advice[part.act].line
            key = (part.act,) if alike else ("", part.part)
        grouped.setdefault(key, []).append(part)
    return tuple(Group(some[0].mark, _line(some, aside, pack), tuple(one.part for one in some)) for some in grouped.values())


def _line(some: Sequence[PartAnswer], aside: Mapping[str, NotJudged], pack: RulePack) -> str:
    if len(some) == 1:
        return some[0].line
    names = ", ".join(one.name for one in some)
    if some[0].act == NOT_JUDGED:
        return sentence(pack.advice[NOT_JUDGED].line, words_of(aside[some[0].pointer], names))
    words = {"part": names, "place": "", "size": "", "reading": "", "bond": ""}
    words |= words_said(verdict for one in some for verdict in one.verdicts)
    return sentence(pack.advice[some[0].act].line, words)


def _choices(limit: Limits, installation: Installation, pack: RulePack) -> tuple[str, ...]:
    acting = limit.decides.highest
    chosen = "the designer's raised touch current" if acting == limit.raised else "the default touch current"
    told = [f"Readings are judged against {acting / _KILO:.4g} kohm, from {chosen}; it is the designer's choice."]
    if installation.touch_current == "30_mA" and acting != limit.raised:
        told.append(
            "A raised touch current was named, without a recorded reason or beside a place where it is not allowed; the default decides."
        )
    premises = pack.kind("premises", installation.premises)
    if premises.judged and (taken := premises.word("known", "")):
        told.append(taken)
    return tuple(told)
