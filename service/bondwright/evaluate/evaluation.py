"""One installation judged by one rule pack: the whole answer."""

from collections.abc import Sequence
from dataclasses import replace
from datetime import date

from bondwright.evaluate.acts import acts, part_answer, plan_answer, required, sentence, words_said
from bondwright.evaluate.answer import FORM, Evaluation, Group, PackUsed, PartAnswer
from bondwright.evaluate.bonds import bond_state, judged_bonds
from bondwright.evaluate.feeder import feeder_answer
from bondwright.evaluate.findings import findings_of, reported
from bondwright.evaluate.measuring import measured
from bondwright.evaluate.parts import judged_parts
from bondwright.evaluate.readings import Limits, limits
from bondwright.evaluate.reasoning.stages import Acting
from bondwright.evaluate.reasoning.verdicts import size_verdict
from bondwright.evaluate.rooms.answers import room_answers
from bondwright.evaluate.rooms.touching import House
from bondwright.evaluate.supply import earth_used, flat_supply, judged_supply
from bondwright.installation.description import DesignedWork, InspectedWork, Installation
from bondwright.metalwork.known import either, known
from bondwright.metalwork.survey import survey
from bondwright.rulebook.facts import FactValue
from bondwright.rulebook.pack import PackHead, RulePack

_KILO = 1000


def evaluate(installation: Installation, pack: RulePack, acting: Acting) -> Evaluation:
    """Everything that `pack` says about `installation`.

    Raises: Contradiction, if the description contradicts itself; EngineDisagreement, from `acting`.
    """
    limit = limits(installation, pack)
    found = survey(installation, pack)
    shared: dict[str, FactValue] = {
        "work_relies_on_bonding": pack.properties["works"][installation.work.kind]["relies"],
        "flat_supply": flat_supply(installation),
        "protective_earth_used": earth_used(installation),
    }
    parts = judged_parts(found, pack, limit, shared, acting)
    supply = judged_supply(installation.supply, either(*(required(part) for part in parts)), pack, acting)
    bonds = judged_bonds(parts, supply, installation, pack, acting)
    chosen = acts(parts, bonds, found, pack)
    states = {name: bond_state(some, pack) for name, some in bonds.items()}
    size = size_verdict(supply, "main_bond_size", pack)
    names = {part.subject.name: part.head.name for part in parts}
    plain = {part.subject.name: part_answer(part, chosen[part.subject.name], bonds[part.subject.name], names, size, pack) for part in parts}
    tests = measured(parts, pack, acting)
    told = {name: replace(one, readings=tests[name].readings, test_to_make=tests[name].to_make) for name, one in plain.items()}
    if isinstance(installation.work, InspectedWork):
        findings = findings_of(parts, plain, chosen, states, pack, acting)
        told = {name: reported(one, findings[name], pack) for name, one in told.items()}
    answers = tuple(told.values())
    house = House(parts, chosen, states, found, known(installation.survey_complete))
    return Evaluation(
        form=FORM,
        reference=installation.reference,
        pack=_pack_used(installation, pack),
        groups=_groups(answers, pack),
        parts=answers,
        rooms=room_answers(installation, house, pack, acting),
        main_bond_size=size,
        earthing_conductor_size=size_verdict(supply, "earthing_conductor_size", pack),
        plan=plan_answer(answers, size, states),
        choices=_choices(limit, installation),
        cautions=pack.cautions,
        feeder=feeder_answer(installation, supply, pack),
    )


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


def _groups(parts: Sequence[PartAnswer], pack: RulePack) -> tuple[Group, ...]:
    """Like parts under one line: those to leave, by act; every other part stands alone."""
    grouped: dict[str, list[PartAnswer]] = {}
    for part in parts:
        grouped.setdefault(part.act if part.mark == "leave" else part.part, []).append(part)
    return tuple(Group(some[0].mark, _line(some, pack), tuple(one.part for one in some)) for some in grouped.values())


def _line(some: Sequence[PartAnswer], pack: RulePack) -> str:
    if len(some) == 1:
        return some[0].line
    words = {"part": ", ".join(one.name for one in some), "place": "", "size": "", "reading": "", "bond": ""}
    words |= words_said(verdict for one in some for verdict in one.verdicts)
    return sentence(pack.advice[some[0].act].line, words)


def _choices(limit: Limits, installation: Installation) -> tuple[str, ...]:
    acting = limit.decides.highest
    chosen = "the designer's raised touch current" if acting == limit.raised else "the default touch current"
    told = [f"Readings are judged against {acting / _KILO:.4g} kohm, from {chosen}; it is the designer's choice."]
    if installation.touch_current == "30_mA" and acting != limit.raised:
        told.append("A raised touch current was named, without a recorded reason or beside a bath or shower; the default decides.")
    return tuple(told)
