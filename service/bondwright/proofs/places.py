"""Each fact that a pack tells or works out of its places decides something: a rule tests it, or one that is tested is worked out of it."""

from bondwright.members import replace
from bondwright.proofs.findings import Finding
from bondwright.rulebook.condition import tests_in
from bondwright.rulebook.declared.places import Every, Having, Ranked, Some, WorkedOut
from bondwright.rulebook.facts import FactDefinition
from bondwright.rulebook.pack import RulePack

_CHECK = "places"


def decisive(pack: RulePack, old: RulePack | None) -> tuple[Finding, ...]:
    """An error for each fact that is new since the pack before, that no rule tests or reads, that no other is worked out of, and that
    nothing shows. Nothing for a pack that does not declare its places.
    """
    forms = pack.places.facts.values()
    used = set(_tested(pack)) | {having.field for form in forms for having in _conditions(form)}
    used |= {form.number for form in forms if isinstance(form, Ranked)}
    for duty in (duty for place in pack.places.kinds.values() for duty in place.duties):
        used |= {duty.present, duty.where, *(fact for link in duty.links for fact in (link.by, link.protected))}
    said = "no rule tests the fact `{}`, and no fact that one tests is worked out of it"
    return tuple(Finding(_CHECK, "error", pack.places.at[name], said.format(name)) for name in new_facts(pack, old) if name not in used)


def new_facts(pack: RulePack, old: RulePack | None) -> tuple[str, ...]:
    """The facts of which a pack itself says where they come from, which the pack before has not, or has otherwise than in words."""
    then = {} if old is None else {name: (_without_words(fact), old.places.facts.get(name)) for name, fact in old.facts.items()}
    return tuple(name for name in pack.places.at if then.get(name) != (_without_words(pack.facts[name]), pack.places.facts.get(name)))


def _without_words(fact: FactDefinition) -> FactDefinition:
    return replace(fact, meaning="", ask="")


def new_places(pack: RulePack, old: RulePack | None) -> tuple[str, ...]:
    """The kinds of places that the pack before does not judge, or otherwise."""
    then = old.places.kinds if old else {}
    return tuple(name for name, place in pack.places.kinds.items() if then.get(name) != place)


def _tested(pack: RulePack) -> set[str]:
    found: set[str] = set()
    for rule in pack.rules:
        for test in tests_in(rule.when):
            found |= {name for name in (test.fact, test.operand) if isinstance(name, str)}
        found |= set(pack.reads(rule))
    return found


def _conditions(form: WorkedOut) -> tuple[Having, ...]:
    match form:
        case Some(_, where):
            return where
        case Every(_, where, have):
            return (*where, *have)
        case Ranked():
            return form.where
        case _:
            return ()
