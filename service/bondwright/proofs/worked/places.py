"""Whether worked cases show what a pack declares of its places: each fact is noticed, and each duty has a case on either side."""

from collections.abc import Iterator
from math import inf

from bondwright.members import replace
from bondwright.proofs.findings import NEEDED, Finding
from bondwright.proofs.places import new_facts, new_places
from bondwright.proofs.worked.claims import Claims, Judged, with_other_digest
from bondwright.rulebook.declared.places import ROOM
from bondwright.rulebook.facts import Between, Truth
from bondwright.rulebook.meaning import truth
from bondwright.rulebook.memory import Kept
from bondwright.rulebook.pack import Outcome, RulePack

_CHECK = "worked cases of places"
_ROOMS = "rooms"


def unshown_places(claims: Claims, old: RulePack | None) -> tuple[Finding, ...]:
    """An error for each fact, new since the pack before, of which no claim notices that it is never known, and for each duty of a new place
    that no claim expects at its most cautious level there, or at no other. Nothing for a pack that does not declare its places.
    """
    return (*_unnoticed(claims, old), *_one_sided(claims, old)) if claims.pack.places.at else ()


def _unnoticed(claims: Claims, old: RulePack | None) -> Iterator[Finding]:
    for name in new_facts(claims.pack, old):
        pack, memory = with_other_digest(_without(claims.pack, name)), Kept()
        if not any(one.notices(pack, memory) for one in claims.knowing_first(name)):
            said = f"no worked case notices whether the fact `{name}` is known; {NEEDED} turns on it"
            yield Finding(_CHECK, "error", claims.pack.places.at[name], said)


def _without(pack: RulePack, name: str) -> RulePack:
    """The pack with a fact that is never known."""
    forms = {other: form for other, form in pack.places.facts.items() if other != name}
    facts = {**pack.facts, name: replace(pack.facts[name], told=())}
    return replace(pack, facts=facts, places=replace(pack.places, facts=forms))


def _one_sided(claims: Claims, old: RulePack | None) -> Iterator[Finding]:
    expected = {(kind, outcome, wanted) for one in claims.judged for kind, outcome, wanted in _expected(one)}
    pack = claims.pack
    for kind in new_places(pack, old):
        for duty in pack.places.kinds[kind].duties:
            outcome = pack.outcomes[duty.outcome]
            top = outcome.levels[-1]
            if not _can_come_to(outcome, top, kind, pack):
                continue
            for side, shown in (
                (f"`{top}`", (kind, outcome.name, top) in expected),
                (f"less than `{top}`", any((kind, outcome.name, level) in expected for level in outcome.levels[:-1])),
            ):
                if not shown:
                    said = f"no worked case expects `{outcome.name}` of a `{kind}` to be {side}; {NEEDED} does"
                    yield Finding(_CHECK, "error", outcome.place, said)


def _expected(one: Judged) -> Iterator[tuple[str, str, str]]:
    """What a claim expects of rooms: kind of location, outcome and level."""
    locations = one.installation.locations
    kinds = {location.id or f"locations-{index}": location.kind for index, location in enumerate(locations)}
    for expected in one.claim.expectations:
        if expected.subject == _ROOMS and isinstance(expected.wanted, str) and expected.name in kinds:
            yield kinds[expected.name], expected.key, expected.wanted


def _can_come_to(outcome: Outcome, level: str, kind: str, pack: RulePack) -> bool:
    """Whether some rule can raise an outcome to that level in a place of that kind."""
    rooms = (earlier for earlier in pack.outcomes.values() if earlier.of == ROOM)
    outcomes = {earlier.name: Between(0.0, float(len(earlier.levels) - 1) if earlier.levels else inf) for earlier in rooms}
    row = {**pack.unknown_of(ROOM), **outcomes, pack.kinds.facts["location"]: kind}
    return any(rule.level == level and truth(rule.when, row) is not Truth.FALSE for rule in pack.raising(outcome))
