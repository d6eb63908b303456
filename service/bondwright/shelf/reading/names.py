"""The names that rules may use, and which of them one rule can reach."""

from collections.abc import Mapping

from msgspec import Struct

from bondwright.rulebook.facts import Between, FactDefinition
from bondwright.rulebook.pack import Outcome, Source
from bondwright.rulebook.reference import NamedValue
from bondwright.rulebook.sizing import LimitsTable
from bondwright.shelf.reading.nodes import Scalar, refused, shown
from bondwright.shelf.reading.scalars import listed, suggestion


class Series(Struct, frozen=True):
    """Rising numbers in `unit`, such as the stocked conductor sizes."""

    unit: str
    members: tuple[float, ...]


class Vocabulary(Struct, frozen=True):
    """All that a pack declares for its rules to name."""

    stages: tuple[str, ...]
    facts: Mapping[str, FactDefinition]
    outcomes: Mapping[str, Outcome]
    sources: Mapping[str, Source]
    values: Mapping[str, NamedValue]
    series: Mapping[str, Series]
    tables: Mapping[str, LimitsTable]


class Quantity(Struct, frozen=True):
    """A number that a rule reads from its subject: its unit, and the range it can have."""

    unit: str
    limits: Between


class Reach(Struct, frozen=True):
    """What a rule about one kind of subject may use in one stage."""

    of: str
    stage: str
    vocabulary: Vocabulary

    def fact_or_outcome(self, key: Scalar) -> FactDefinition | Outcome:
        """What `key` names: a fact of this kind of subject, or an outcome of it from an earlier stage."""
        facts, outcomes = self.vocabulary.facts, self.vocabulary.outcomes
        found = facts.get(key.text) or outcomes.get(key.text)
        if found is None:
            known = (*(name for name in facts if self.of in facts[name].of), *(name for name in outcomes if outcomes[name].of == self.of))
            raise refused(key.place, f"{shown(key.text)} is no fact or outcome of `{self.of}`{suggestion(key.text, known)}")
        owners = (found.of,) if isinstance(found, Outcome) else found.of
        if self.of not in owners:
            raise refused(
                key.place, f"`{key.text}` belongs to {listed(owners)}; a rule about `{self.of}` tests only what belongs to `{self.of}`"
            )
        if isinstance(found, Outcome) and found.stage not in self._earlier_stages():
            detail = (
                f"outcome `{key.text}` is decided in stage `{found.stage}`; a rule of stage `{self.stage}` may test only earlier stages"
            )
            raise refused(key.place, detail)
        return found

    def quantity(self, key: Scalar) -> Quantity:
        """The number fact, or the size from an earlier stage, that `key` names."""
        found = self.fact_or_outcome(key)
        if isinstance(found, Outcome) and not found.levels:
            return Quantity(found.unit, Between(0.0, float("inf")))
        if isinstance(found, FactDefinition) and found.kind == "number":
            return Quantity(found.unit, Between(found.lowest, found.highest))
        raise refused(key.place, f"`{key.text}` is not a number")

    def numbers(self) -> dict[str, Between]:
        """Every number fact and size of this kind of subject as when nothing is known."""
        facts = {fact.name: Between(fact.lowest, fact.highest) for fact in self.vocabulary.facts.values() if fact.kind == "number"}
        sizes = {outcome.name: Between(0.0, float("inf")) for outcome in self.vocabulary.outcomes.values() if not outcome.levels}
        return facts | sizes

    def _earlier_stages(self) -> tuple[str, ...]:
        stages = self.vocabulary.stages
        return stages[: stages.index(self.stage)]
