"""The claims of worked cases as one pack judges them, each with the rows of facts that its rules were asked about."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from functools import cached_property
from math import inf
from typing import Any, TypeAlias

from msgspec import Struct

from bondwright.cases.case import Claim
from bondwright.cases.comparing import compared
from bondwright.cases.keys import CLAUSES, LIMIT_CLAUSES, LINK_CLAUSES
from bondwright.conclude.concluding import begun, plainly, through
from bondwright.errors import BondwrightError, Contradiction
from bondwright.evaluate.order import evaluate
from bondwright.installation.description import Installation
from bondwright.members import replace
from bondwright.proofs.worked.calculations import WorkedRow
from bondwright.proofs.worked.content import digest_of
from bondwright.rulebook.condition import tests_in
from bondwright.rulebook.facts import UNKNOWN, Between, Facts, FactValue, Truth
from bondwright.rulebook.meaning import Acts, truth
from bondwright.rulebook.memory import Kept, Memory
from bondwright.rulebook.pack import RulePack
from bondwright.rulebook.rule import Rule

_OF_CLAUSES = frozenset({CLAUSES, LIMIT_CLAUSES, LINK_CLAUSES})
Row: TypeAlias = tuple[str, str, tuple[Any, ...]]
"""A stage, a kind of subject and the values of its facts, by which the rules of the stage decide."""


class Judged(Struct, frozen=True):
    """A claim that a pack bears out, and the rows that were asked about on the way."""

    name: str
    claim: Claim
    installation: Installation
    rows: frozenset[Row]

    def notices(self, pack: RulePack, memory: Memory | None = None) -> bool:
        """Whether another pack, judging alike, fails some expectation, or gives no answer at all."""
        try:
            answer = evaluate(self.installation, pack, plainly(pack), memory)
        except (BondwrightError, LookupError, ValueError, AssertionError):
            return True
        return any(one.fault for one in compared(self.claim.expectations, answer, pack))


class Claims:
    """The claims that a pack judges, and the worked calculations beside them.

    Read by the plain reader alone; whether the engine agrees is shown where they are judged.
    """

    @classmethod
    def borne_out(
        cls, pack: RulePack, described: Iterable[tuple[str, Claim, Installation]], calculated: Sequence[WorkedRow] = ()
    ) -> "Claims":
        """Those claims and calculations that the pack bears out, whatever the day of their work."""
        return cls(pack, described, calculated, only_borne_out=True)

    def __init__(
        self,
        pack: RulePack,
        described: Iterable[tuple[str, Claim, Installation]],
        calculated: Sequence[WorkedRow] = (),
        *,
        only_borne_out: bool = False,
    ) -> None:
        self.pack, self._described, self._calculated, self._chosen = pack, tuple(described), tuple(calculated), only_borne_out
        self._facts: dict[Row, Facts] = {}
        self._before: dict[Row, object] = {}

    @cached_property
    def rests_on(self) -> str:
        """A digest of the pack without its wording, and of all that is claimed and calculated; known before anything is judged."""
        claimed = [(name, claim.installation, claim.expectations) for name, claim, _ in self._described]
        calculated = [(row.name, row.calculation, row.inputs, row.gives) for row in self._calculated]
        return digest_of(self.pack, claimed, calculated, self._chosen)

    @cached_property
    def judged(self) -> tuple[Judged, ...]:
        """The claims, each with its rows; judged when they are first asked for."""
        memory = Kept()
        held = [one for one in self._described if not (self._chosen and Judged(*one, frozenset()).notices(self.pack, memory))]
        return tuple(self._judge(*one) for one in held)

    @cached_property
    def calculated(self) -> tuple[WorkedRow, ...]:
        """The worked calculations."""
        return tuple(row for row in self._calculated if not (self._chosen and row.notices(self.pack)))

    def expecting(self, clauses: frozenset[str]) -> Iterator[Judged]:
        """The claims that expect some of these clauses by name, of a link with its name before them."""
        for one in self.judged:
            named = (clause for expected in one.claim.expectations if expected.key in _OF_CLAUSES for clause in expected.wanted)
            if not clauses.isdisjoint(clause.rpartition(": ")[2] for clause in named):
                yield one

    def knowing_first(self, fact: str) -> Sequence[Judged]:
        """All claims, the shortest first; before them those that tell a fact by its name, or of which some row knows it."""
        judged = self.judged  # INVARIANT: before the rows, which come of judging
        knowing = {row for row, facts in self._facts.items() if _known(facts.get(fact, UNKNOWN))}
        return sorted(judged, key=lambda one: (fact not in self._told[one.name] and one.rows.isdisjoint(knowing), len(one.rows)))

    @cached_property
    def _told(self) -> Mapping[str, frozenset[str]]:
        """By claim, every key of its description, however deep."""
        return {one.name: frozenset(_keys(one.claim.installation)) for one in self.judged}

    def _judge(self, name: str, claim: Claim, installation: Installation) -> Judged:
        acts, asked = plainly(self.pack), set[Row]()

        def noting(stage: str, of: str, rows: Sequence[tuple[Facts, Facts]]) -> list[Acts]:
            for _, facts in rows:
                row = (stage, of, tuple(facts.values()))
                self._facts.setdefault(row, facts)
                asked.add(row)
            return acts(stage, of, rows)

        evaluate(installation, self.pack, noting)
        return Judged(name, claim, installation, frozenset(asked))

    @cached_property
    def _by_stage(self) -> dict[tuple[str, str], list[Row]]:
        found: dict[tuple[str, str], list[Row]] = {}
        for row in self._facts:
            found.setdefault(row[:2], []).append(row)
        return found

    def touched(self, other: RulePack, rules: Sequence[Rule]) -> Iterator[Judged]:
        """The claims of which some row comes out otherwise by `other`, in which just these rules are others; the shortest first."""
        judged = self.judged
        now = {rule.rule_id: rule for rule in other.rules}
        apart = {row for rule in rules for row in self._may_differ(rule, now.get(rule.rule_id)) if self._differs(row, rule, other)}
        yield from sorted((one for one in judged if one.rows & apart), key=lambda one: len(one.rows))

    def _may_differ(self, rule: Rule, now: Rule | None) -> Iterator[Row]:
        """The rows of the stage of a rule in which it, or what became of it, could speak, whatever earlier stages conclude."""
        conditions = [one.when for one in (rule, now) if one is not None]
        tested = {test.fact for condition in conditions for test in tests_in(condition)}
        concluded = [outcome for name, outcome in self.pack.outcomes.items() if name in tested]
        whole = {outcome.name: Between(0, len(outcome.levels) - 1 if outcome.levels else inf) for outcome in concluded}
        for row in self._by_stage.get((rule.stage, rule.of), ()):
            wide = {**self._facts[row], **whole}
            if any(truth(condition, wide) is not Truth.FALSE for condition in conditions):
                yield row

    def _differs(self, row: Row, rule: Rule, other: RulePack) -> bool:
        """Whether the stage of a row comes out otherwise, or would with less known of what earlier stages concluded."""
        facts = self._facts[row]
        if self._concluded(row, facts, self.pack) != _concluded(row, facts, other):
            return True
        levels = {test.fact for test in tests_in(rule.when) if test.fact in self.pack.outcomes and self.pack.outcomes[test.fact].levels}
        if not levels:
            return False
        wide = {**facts, **{name: Between(0, len(self.pack.outcomes[name].levels) - 1) for name in levels}}
        return _concluded(row, wide, self.pack) != _concluded(row, wide, other)

    def _concluded(self, row: Row, facts: Facts, pack: RulePack) -> object:
        if row not in self._before:
            self._before[row] = _concluded(row, facts, pack)
        return self._before[row]


def _concluded(row: Row, facts: Facts, pack: RulePack) -> object:
    """What the stage of a row comes to; a word where no size is given that is asked for."""
    stage, of, _ = row
    try:
        (one,) = through(pack, [stage], [begun(of, facts)], plainly(pack))
    except Contradiction:
        return "no rule gives a size that is asked for"
    return one.levels, one.sizes, one.acts.worst_case


def with_other_digest(pack: RulePack) -> RulePack:
    """The pack under a digest that no file has, so that nothing remembered of the right one speaks for it."""
    return replace(pack, digest="0" * len(pack.digest))


def _known(value: FactValue) -> bool:
    return value != UNKNOWN and not (isinstance(value, Between) and value.highest == inf)


def _keys(said: Any) -> Iterator[str]:
    if isinstance(said, Mapping):
        yield from said
    for inner in said.values() if isinstance(said, Mapping) else said if isinstance(said, list | tuple) else ():
        yield from _keys(inner)
