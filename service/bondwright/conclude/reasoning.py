"""One rule pack with what reads it and what remembers: all that conclusions need besides rows."""

from collections.abc import Callable, Hashable, Sequence
from typing import cast

from msgspec import Struct, field

from bondwright.conclude.concluding import Acting, conclude
from bondwright.conclude.conclusion import Conclusion, Level
from bondwright.conclude.open_facts import open_evidence, open_facts
from bondwright.conclude.reasons import Reason, Waiting, reasons_of_level, reasons_of_size, waiting, weakest
from bondwright.conclude.what_if import Answers
from bondwright.rulebook.facts import Between, Facts
from bondwright.rulebook.memory import Memory, Remembered, remembered
from bondwright.rulebook.pack import RulePack


class Because(Struct, frozen=True):
    """Why an outcome came out so: the rules that determined it, those that wait, and the least trusted confidence on the path."""

    reasons: tuple[Reason, ...]
    weakest: str
    waiting: tuple[Waiting, ...] = ()


class Reasoning(Struct, frozen=True):
    """A pack, the rules of it that act (read by both channels, or plainly), and the memory of what was concluded.

    `own`: what is made more than once for one description alone, and forgotten with it.
    """

    pack: RulePack
    acting: Acting
    memory: Memory
    own: dict[Hashable, object] = field(default_factory=dict)

    def conclude(self, of: str, rows: Sequence[Facts]) -> tuple[Conclusion, ...]:
        """The conclusion of each row about a kind of subject. Raises: Contradiction, EngineDisagreement, as `conclude`."""
        return conclude(self.pack, of, rows, self.acting, self.memory)

    def because(self, conclusion: Conclusion, outcome: str, level: Level) -> Because:
        """Why an outcome comes to that level, which may be less certain than the conclusion alone says."""
        named, pack = self.pack.outcomes[outcome], self.pack

        def explained() -> Because:
            reasons = reasons_of_level(conclusion, named, level, pack)
            return Because(reasons, weakest(reasons, pack), waiting(conclusion, named, pack))

        return self.kept(("because", outcome, level, conclusion.alike), explained)

    def because_of_size(self, conclusion: Conclusion, outcome: str) -> Because:
        """Why a number comes out so."""
        pack, firm, acting = self.pack, conclusion.sizes[outcome].firm, conclusion.acts.worst_case

        def explained() -> Because:
            reasons = reasons_of_size(acting, pack.outcomes[outcome], firm, pack)
            return Because(reasons, weakest(reasons, pack))

        return self.kept(("because of size", outcome, firm, acting), explained)

    def open_facts(
        self, conclusion: Conclusion, outcome: str, level: str | Between, told: tuple[str, ...], answers: Answers
    ) -> tuple[tuple[str, ...], bool]:
        """The open facts that could move an outcome, and whether they only do so together; see `open_facts`."""
        return open_facts(conclusion, self.pack.outcomes[outcome], level, told, answers, self.pack, self.memory)

    def open_evidence(self, conclusion: Conclusion, outcome: str) -> tuple[str, ...]:
        """The facts of optional evidence that could relax an outcome."""
        return open_evidence(conclusion, self.pack.outcomes[outcome], self.pack)

    def kept(self, key: tuple[object, ...], make: Callable[[], Remembered]) -> Remembered:
        """What `make` gives, made once for each key as long as it is remembered; it must depend on the key and the pack alone."""
        return remembered(self.memory, (self.pack.digest, *key), make)

    def kept_here(self, key: tuple[object, ...], make: Callable[[], Remembered]) -> Remembered:
        """The same, for this description alone: of what may differ in each of thousands, which would drive out all else."""
        found = self.own.get(key)
        if found is None:
            found = self.own[key] = make()
        return cast("Remembered", found)
