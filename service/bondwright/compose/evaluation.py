"""The whole answer, made of all that was concluded of an installation; nothing is asked back."""

from collections.abc import Mapping, Sequence

from msgspec import Struct

from bondwright.compose.answer import FORM, Evaluation, PartAnswer, SizeVerdict
from bondwright.compose.choices import choices_made, pack_used
from bondwright.compose.earths.earthings import earthing_answers, earthings_not_judged
from bondwright.compose.earths.feeder import feeder_answer
from bondwright.compose.keep_off import keep_off
from bondwright.compose.not_judged import not_judged, size_not_judged, with_what_is_not_judged
from bondwright.compose.parts.findings import findings_of, reported
from bondwright.compose.parts.part import part_answer
from bondwright.compose.parts.plan import groups, plan_answer
from bondwright.compose.parts.readings import next_test, reading_answers, readings_reported
from bondwright.compose.rooms import room_answers
from bondwright.compose.verdicts import size_verdict
from bondwright.conclude.reasoning import Reasoning
from bondwright.facts.bonds import JudgedBond
from bondwright.facts.parts.part import Part
from bondwright.facts.parts.readings import Limits
from bondwright.facts.rooms.judging import JudgedRoom
from bondwright.facts.row import Judged
from bondwright.facts.scope import Scope
from bondwright.facts.tests import Tested
from bondwright.facts.told import unused
from bondwright.installation.description import InspectedWork, Installation
from bondwright.members import replace
from bondwright.metalwork.lengths import Survey
from bondwright.plan.acts import Act


class Concluded(Struct, frozen=True):
    """All that was concluded of one installation; what is kept of parts stands under the part's name.

    `scope`: what is not judged. `bonds`: the judged bonds of each part, `states`: what they come to. `acts`: one for each part. `tests` and
    `findings`: of the parts in scope, `findings` of an inspection alone. `earthings`: besides that of the supply.
    """

    installation: Installation
    survey: Survey
    scope: Scope
    limits: Limits
    parts: Sequence[Part]
    supply: Judged
    bonds: Mapping[str, tuple[JudgedBond, ...]]
    states: Mapping[str, str]
    acts: Mapping[str, Act]
    tests: Mapping[str, Tested]
    findings: Mapping[str, Judged]
    rooms: Sequence[JudgedRoom]
    earthings: Sequence[Judged]

    @property
    def inspected(self) -> bool:
        """Whether the work is an inspection, which reports."""
        return isinstance(self.installation.work, InspectedWork)


def composed(concluded: Concluded, reasoning: Reasoning) -> Evaluation:
    """The answer, in the order in which it is read."""
    installation, scope, pack = concluded.installation, concluded.scope, reasoning.pack
    size, earthing = (_size(name, concluded, reasoning) for name in (pack.roles.main_bond, pack.roles.earthing))
    told = _part_answers(concluded, size, reasoning)
    parts = with_what_is_not_judged(told, concluded.parts, concluded.survey, scope, installation, pack)
    connected_first = [part.head.name for part in concluded.parts if concluded.acts[part.name].advice.mark == "do"]
    rooms = room_answers(installation, concluded.rooms, connected_first, scope, reasoning)
    earthings = earthing_answers(installation, concluded.earthings, scope, reasoning)
    left_open = (*not_judged(parts, concluded.parts, rooms, scope, pack), *earthings_not_judged(installation, earthings, scope, pack))
    return Evaluation(
        form=FORM,
        reference=installation.reference,
        pack=pack_used(installation, pack),
        not_judged=left_open,
        groups=groups(parts, left_open, pack),
        parts=parts,
        rooms=rooms,
        main_bond_size=size,
        earthing_conductor_size=earthing,
        plan=plan_answer(parts, size, concluded.states, pack.say),
        choices=choices_made(concluded.limits, installation, pack),
        cautions=pack.cautions,
        feeder=feeder_answer(installation, concluded.supply, scope, reasoning),
        told_not_used=tuple(unused(installation, pack)),
        keep_off=keep_off(concluded.bonds, pack),
        earthings=earthings,
    )


def _size(name: str, concluded: Concluded, reasoning: Reasoning) -> SizeVerdict:
    premises = concluded.scope.premises
    return size_not_judged(name, premises, reasoning.pack) if premises else size_verdict(concluded.supply, name, reasoning)


def _part_answers(concluded: Concluded, size: SizeVerdict, reasoning: Reasoning) -> Mapping[str, PartAnswer]:
    """The answers of the parts in scope, by name, with readings and, of an inspection, findings."""
    parts = [part for part in concluded.parts if part.in_scope]
    names, work = {part.name: part.head.name for part in parts}, concluded.installation.work.kind
    answers = {
        part.name: part_answer(part, concluded.acts[part.name], concluded.bonds[part.name], names, size, work, reasoning) for part in parts
    }
    for name, test in concluded.tests.items():
        answers[name] = replace(answers[name], readings=reading_answers(test, reasoning), test_to_make=next_test(test, reasoning))
    if not concluded.inspected:
        return answers
    reports = {name: readings_reported(test, reasoning) for name, test in concluded.tests.items()}
    return {
        name: reported(answer, (*findings_of(concluded.findings.get(name), reasoning), *reports.get(name, ())), reasoning.pack)
        for name, answer in answers.items()
    }
