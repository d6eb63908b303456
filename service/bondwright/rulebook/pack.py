"""A rule pack: one edition's rules with the vocabulary, outcomes, tables and sources they use."""

from abc import ABC, abstractmethod
from collections.abc import Callable, Hashable, Mapping
from dataclasses import dataclass, field
from datetime import date
from functools import cached_property
from typing import TypeAlias, TypeVar, cast

from msgspec import Struct

from bondwright.errors import UnknownName
from bondwright.rulebook.because import Because, KeptCases
from bondwright.rulebook.declared.acts import Advice as Advice
from bondwright.rulebook.declared.acts import JoinedRow as JoinedRow
from bondwright.rulebook.declared.outcomes import COVERED as COVERED
from bondwright.rulebook.declared.outcomes import LOOK_FIRST as LOOK_FIRST
from bondwright.rulebook.declared.outcomes import NOT_JUDGED as NOT_JUDGED
from bondwright.rulebook.declared.outcomes import NOT_SETTLED as NOT_SETTLED
from bondwright.rulebook.declared.outcomes import Outcome as Outcome
from bondwright.rulebook.declared.outcomes import Unsettled as Unsettled
from bondwright.rulebook.declared.places import Places
from bondwright.rulebook.facts import NO, UNKNOWN, YES, FactDefinition, FactValue, Known
from bondwright.rulebook.held import Held, Roles, Row, Sentences, grouped
from bondwright.rulebook.kinds import Kind, KindOf, Kinds
from bondwright.rulebook.reference import NamedValue, ReferenceTable
from bondwright.rulebook.rule import Example, Examples, Polarity, Rule
from bondwright.rulebook.sizing import Computes, LimitsTable, computing, facts_in, tables_in

Derived = TypeVar("Derived")


class Source(Struct, frozen=True):
    """A document or practice that rules rest on."""

    name: str
    title: str
    note: str


@dataclass(frozen=True, slots=True)
class PackHead(ABC):
    """A pack by what it says of itself, which chooses it; `digest` is the SHA-256 of its bytes as they were published, in hex.

    `usable_to`: the last day, if there is one. `on_request`: no date chooses it.
    """

    pack_id: str
    digest: str
    title: str
    standard: str
    usable_from: date
    usable_to: date | None
    review_by: date
    note: str
    on_request: bool

    @abstractmethod
    def pieces(self) -> tuple[bytes, bytes]:
        """The bytes of its file, and those of its language file, empty where it has none. Raises: UnreadableRules."""

    @property
    def text(self) -> bytes:
        """All its bytes, as they are digested. Raises: UnreadableRules."""
        return b"".join(self.pieces())

    @abstractmethod
    def whole(self) -> "RulePack":
        """The pack with its rules. Raises: UnreadableRules, if they cannot be read."""


Sizing: TypeAlias = tuple[tuple[str, Computes], ...]
"""Ids of rules with what they compute."""


@dataclass(frozen=True)
class RulePack(PackHead, Held):
    """One published pack, whole.

    `own_file`, `language_file`: the bytes of its files, the second empty where it has none. `stages` in order; `properties`: tables keyed
    by a choice, such as material → property → value; `kinds`: of the things described. `places`: how kinds of locations are judged.
    `references`: printed numbers for calculations; none in a pack that was published before there were any. `format`: 1 as packs were
    published at first, 2 with all declared that code reads by name, 3 with `bounds_for_now`: whether what serves for now is never less
    cautious than what is certain, 4 with its sentences in a file of their own. `say`: the sentences around the words of rules; `words`: the
    digest of its language file, by language; none of a draft or an older format; `wording`: columns of tables that hold texts, each with
    its table. `otherwise`: what is read where the first format lacks a column of a table; `telling`: facts of a part that columns tell, by
    table and column.
    `roles`: what outcomes are to the work; `undeclared`: rows and cells of `properties` that a pack of a format before the fourth lacks.
    `lenient`: why something is more lenient than in the pack that it follows. `cases`: what is kept of the worked cases with which it was
    published; nothing in a draft, and in a pack that was published before any was kept.
    """

    own_file: bytes = field(repr=False)
    language_file: bytes = field(repr=False)
    stages: tuple[str, ...]
    facts: Mapping[str, FactDefinition]
    outcomes: Mapping[str, Outcome]
    tables: Mapping[str, LimitsTable]
    values: Mapping[str, NamedValue]
    properties: Mapping[str, Mapping[str, Mapping[str, str]]]
    asks: Mapping[str, str]
    joined: tuple[JoinedRow, ...]
    advice: Mapping[str, Advice]
    readings: Mapping[str, Mapping[str, str]]
    cautions: tuple[str, ...]
    sources: Mapping[str, Source]
    rules: tuple[Rule, ...]
    kinds: Kinds
    places: Places = field(default_factory=Places)
    references: Mapping[str, ReferenceTable] = field(default_factory=dict)
    say: Sentences = field(default_factory=Sentences)
    words: Mapping[str, str] = field(default_factory=dict)
    wording: frozenset[tuple[str, str]] = frozenset()
    format: int = 1
    roles: Roles = field(default_factory=Roles)
    undeclared: Mapping[str, Mapping[str, Row]] = field(default_factory=dict)
    bounds_for_now: bool = False
    otherwise: Mapping[tuple[str, str], str] = field(default_factory=dict)
    telling: Mapping[str, Mapping[str, str]] = field(default_factory=dict)
    lenient: tuple[Because, ...] = ()
    cases: KeptCases | None = None
    read_examples: Callable[[], Examples] = field(default=dict, repr=False, compare=False)
    _reads: dict[str, tuple[str, ...]] = field(default_factory=dict, init=False, repr=False, compare=False)
    _sizing: dict[str, tuple[Sizing, Sizing]] = field(default_factory=dict, init=False, repr=False, compare=False)
    _derived: dict[Hashable, object] = field(default_factory=dict, init=False, repr=False, compare=False)

    def pieces(self) -> tuple[bytes, bytes]:
        """The bytes of its file, and of its language file."""
        return self.own_file, self.language_file

    @cached_property
    def text(self) -> bytes:
        """All its bytes, as they are digested; kept, for each record that is made of its answers has them."""
        return self.own_file + self.language_file

    @cached_property
    def examples(self) -> Examples:
        """The examples below its rules; read when they are first asked for, for no evaluation needs them."""
        return self.read_examples()

    def examples_of(self, rule: Rule) -> tuple[Example, ...]:
        """The examples below a rule; none, where it is not in the file of the pack."""
        return self.examples.get(rule.rule_id, ())

    # Every evaluation looks these up hundreds of times; of most of the packs that proofs make with one mistake, only one or two.
    @cached_property
    def _groups(self) -> Mapping[tuple[str, str], tuple[Rule, ...]]:
        return grouped(((rule.stage, rule.of), rule) for rule in self.rules)

    @cached_property
    def _against(self) -> Mapping[str, tuple[Rule, ...]]:
        return grouped((target, rule) for rule in self.rules for target in rule.targets)

    @cached_property
    def _raising(self) -> Mapping[tuple[str, str, str], tuple[Rule, ...]]:
        raising = (rule for rule in self.rules if rule.polarity is Polarity.RAISES)
        return grouped(((rule.stage, rule.of, rule.outcome), rule) for rule in raising)

    @cached_property
    def _raised_by(self) -> Mapping[tuple[str, str, str], frozenset[str]]:
        return {key: frozenset([rule.rule_id for rule in some]) for key, some in self._raising.items()}

    @cached_property
    def _facts_of(self) -> Mapping[str, tuple[FactDefinition, ...]]:
        return grouped((of, fact) for fact in self.facts.values() for of in fact.of)

    @cached_property
    def _unknown_of(self) -> Mapping[str, Mapping[str, FactValue]]:
        return {of: {fact.name: fact.unknown() for fact in some} for of, some in self._facts_of.items()}

    @cached_property
    def _evidence_of(self) -> Mapping[str, frozenset[str]]:
        return {of: frozenset(fact.name for fact in some if fact.evidence) for of, some in self._facts_of.items()}

    @cached_property
    def _by_id(self) -> Mapping[str, Rule]:
        return {rule.rule_id: rule for rule in self.rules}

    @cached_property
    def _outcomes_of(self) -> Mapping[tuple[str, str], tuple[Outcome, ...]]:
        return grouped(((outcome.stage, outcome.of), outcome) for outcome in self.outcomes.values())

    @cached_property
    def _telling(self) -> Mapping[tuple[str, str], Mapping[str, Known]]:
        rows = ((name, row, columns) for name, columns in self.telling.items() for row in (*self.rows(name), UNKNOWN))
        return {(name, row): {fact: self._tells(name, row, column) for column, fact in columns.items()} for name, row, columns in rows}

    def derived(self, key: Hashable, make: Callable[[], Derived]) -> Derived:
        """What `make` works out of the pack alone, never None: worked out once for each key, and gone with the pack."""
        found = self._derived.get(key)
        if found is None:
            found = self._derived[key] = make()
        return cast("Derived", found)

    def telling_of(self, table: str, word: str) -> Mapping[str, Known]:
        """What the columns of a row tell of a part, by the fact; of a word that the pack has no row for, that of the unknown."""
        return self._telling.get((table, word)) or self._telling.get((table, UNKNOWN), {})

    def _tells(self, table: str, row: str, column: str) -> Known:
        """As `known`; unknown where the pack has no such column."""
        found = self.rows(table).get(row, {}).get(column, self.otherwise.get((table, column), UNKNOWN))
        return "yes" if found == YES else "no" if found == NO else "unknown"

    def whole(self) -> "RulePack":
        """Itself."""
        return self

    def rule(self, rule_id: str) -> Rule:
        """The rule of that id. Raises: UnknownName."""
        if rule_id not in self._by_id:
            raise UnknownName("rule", rule_id)
        return self._by_id[rule_id]

    def has_rule(self, rule_id: str) -> bool:
        """Whether a rule of that id is in the pack."""
        return rule_id in self._by_id

    def rules_of(self, stage: str, of: str) -> tuple[Rule, ...]:
        """The rules of one stage about one kind of subject, in file order."""
        return self._groups.get((stage, of), ())

    def raising(self, outcome: Outcome) -> tuple[Rule, ...]:
        """The rules that raise an outcome, in file order."""
        return self._raising.get((outcome.stage, outcome.of, outcome.name), ())

    def raised_by(self, outcome: Outcome) -> frozenset[str]:
        """Ids of those rules."""
        return self._raised_by.get((outcome.stage, outcome.of, outcome.name), frozenset())

    def against(self, rule: Rule) -> tuple[Rule, ...]:
        """The rules that relax or block `rule`, in file order."""
        return self._against.get(rule.rule_id, ())

    def outcomes_of(self, stage: str, of: str) -> tuple[Outcome, ...]:
        """The outcomes of one stage about one kind of subject, in file order."""
        return self._outcomes_of.get((stage, of), ())

    def evidence_of(self, of: str) -> frozenset[str]:
        """Names of the facts of one kind of subject that are evidence, which nobody must supply."""
        return self._evidence_of.get(of, frozenset())

    def facts_of(self, of: str) -> tuple[FactDefinition, ...]:
        """The declared facts of one kind of subject, in file order."""
        return self._facts_of.get(of, ())

    def unknown_of(self, of: str) -> Mapping[str, FactValue]:
        """A row about one kind of subject of which nothing is known: every declared fact, in file order."""
        return self._unknown_of.get(of, {})

    def reads(self, rule: Rule) -> tuple[str, ...]:
        """Names of the facts and earlier sizes that a sizing rule's form reads."""
        if rule.form is None:
            return ()
        if rule.rule_id not in self._reads:
            self._reads[rule.rule_id] = facts_in(rule.form, self.tables)
        return self._reads[rule.rule_id]

    def sizing(self, outcome: Outcome) -> tuple[Sizing, Sizing]:
        """The rules that give a size, and those that give what serves for now, each with what it computes, in file order."""
        if outcome.name not in self._sizing:
            rules = [rule for rule in self.rules_of(outcome.stage, outcome.of) if rule.outcome == outcome.name]
            sizes, provides = (
                tuple((rule.rule_id, computing(rule.form, self.tables)) for rule in rules if rule.polarity is polarity and rule.form)
                for polarity in (Polarity.SIZES, Polarity.PROVIDES)
            )
            self._sizing[outcome.name] = sizes, provides
        return self._sizing[outcome.name]

    def tables_of(self, rule: Rule) -> tuple[LimitsTable, ...]:
        """The tables that a sizing rule's form looks up."""
        return tables_in(rule.form, self.tables) if rule.form is not None else ()

    @property
    def asks_what_can_move(self) -> bool:
        """Whether it asks of circuits only what an answer could move: those do that judge further earthings, and no older pack."""
        return bool(self.roles.further_earthing)

    def kind(self, of: KindOf, name: str) -> Kind:
        """A kind of location, item, service or premises; one that the pack has no row for is not judged."""
        return self.kinds.kind(of, name)
