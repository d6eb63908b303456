"""Rule packs as they can be read: which there are, what is in one, one rule with its source."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from typing import Annotated, Any, TypeAlias

from fastapi import FastAPI, Path, Response
from pydantic import Field

from bondwright.api.callers.access import may
from bondwright.api.pack_outcomes import PackAct, PackOutcome, acts_of, outcomes_of
from bondwright.api.problems import INTERNAL, UNKNOWN_NAME, problem
from bondwright.assembly import Bondwright
from bondwright.facts.scope import without_rules
from bondwright.members import replace
from bondwright.rulebook.condition import All, Condition, Not, Test
from bondwright.rulebook.condition import Any as AnyOf
from bondwright.rulebook.kinds import Kind
from bondwright.rulebook.pack import NOT_JUDGED, Outcome, PackHead, RulePack
from bondwright.rulebook.rule import Polarity, Rule
from bondwright.rulebook.withdrawal import Withdrawal

PackId: TypeAlias = Annotated[str, Path(description="Id of a rule pack, or its digest in 64 hexadecimal digits.")]

_FIRST_PACK = {"read_first": {"operationId": "get_rule_pack", "parameters": {"pack_id": "$response.body#/rule_packs/0/pack_id"}}}
_FIRST_RULE = {
    "read_first_rule": {
        "operationId": "get_rule",
        "parameters": {"pack_id": "$response.body#/pack_id", "rule_id": "$response.body#/rules/0/rule_id"},
    }
}

WITHDRAWN: dict[str, Any] = {
    "Rule-Pack-Withdrawn": {
        "description": "There only where the rule pack is withdrawn: since when, and its successor (RFC 9651). It may come at any time.",
        "schema": {"type": "string"},
        "example": '"2026-12-01"; successor="bs7671-2018-a4-r11"',
    }
}
"""The header by which every answer that rests on a rule pack says that the pack is withdrawn."""


@dataclass(frozen=True, slots=True)
class PackWithdrawn:
    """That a published rule pack judges nothing any more: why, since which day, and the id of the pack that stands in its place."""

    reason: str
    since: date
    successor: str


@dataclass(frozen=True, slots=True)
class PackSummary:
    """A published rule pack; its content never changes. `digest` is the SHA-256 of its file, with that of its words behind it
    where it has one. `usable_to`: the last day, if there is one.

    `withdrawn`: why and since when it judges nothing any more, if so; what it answered before stays on record.
    """

    pack_id: str
    digest: str
    standard: str
    title: str
    usable_from: date
    usable_to: date | None
    review_by: date
    note: str
    withdrawn: PackWithdrawn | None


@dataclass(frozen=True, slots=True)
class PackList:
    """Every published rule pack, the first usable first."""

    rule_packs: tuple[PackSummary, ...]


@dataclass(frozen=True, slots=True)
class RuleSummary:
    """A rule in short."""

    rule_id: str
    stage: str
    of: str
    polarity: Annotated[
        str, Field(description="What it does: raises, relaxes, blocks, sizes, provides, remarks; or otherwise, or not_judged.")
    ]
    clause: str
    says: str


@dataclass(frozen=True, slots=True)
class PackContents(PackSummary):
    """A rule pack with its outcomes, acts, stages and rules, all in the order of the pack."""

    outcomes: tuple[PackOutcome, ...]
    acts: tuple[PackAct, ...]
    stages: tuple[str, ...]
    rules: tuple[RuleSummary, ...]


@dataclass(frozen=True, slots=True)
class SourceCited:
    """The document or practice that a rule rests on."""

    name: str
    title: str


@dataclass(frozen=True, slots=True)
class RuleInFull(RuleSummary):
    """A rule with its condition and source. `file` and `line` are of the published pack, `origin` of the file that editors change.

    `other_view`: where the point is disputed, the reading that others hold.
    """

    outcome: str
    level: str
    other_view: str | None
    targets: tuple[str, ...]
    condition: Annotated[dict[str, Any], Field(description="As rule files write it: tests of facts, `all`, `any`, `not`.")]
    source: SourceCited
    kind: str
    confidence: str
    file: str
    line: int
    origin: str
    examples: Annotated[int, Field(description="How many worked examples the rule carries.")]
    pack_id: str
    pack_digest: str


def add_rule_packs(app: FastAPI, bondwright: Bondwright) -> None:
    """Adds the routes under /v1/rule-packs."""

    @app.get(
        "/v1/rule-packs",
        tags=["rule packs"],
        summary="List the published rule packs",
        responses={200: {"links": _FIRST_PACK}, **problem(INTERNAL)},
        dependencies=[may("rules")],
    )
    def list_rule_packs() -> PackList:
        """Each with the days on which it may judge, and whether it is withdrawn."""
        return PackList(tuple(PackSummary(**_header(pack, bondwright)) for pack in bondwright.packs))

    @app.get(
        "/v1/rule-packs/{pack_id}",
        tags=["rule packs"],
        summary="Read a rule pack",
        responses={200: {"links": _FIRST_RULE, "headers": WITHDRAWN}, **problem(UNKNOWN_NAME, INTERNAL)},
        dependencies=[may("rules")],
    )
    def get_rule_pack(pack_id: PackId, response: Response) -> PackContents:
        """Its outcomes with their levels and words, its acts, its stages, and its rules in short."""
        pack = bondwright.pack(pack_id)
        response.headers.update(withdrawn_headers(bondwright.withdrawn.get(pack.pack_id)))
        rules = tuple(RuleSummary(**_summary(rule)) for rule in pack.rules)
        about: dict[str, Any] = {"outcomes": outcomes_of(pack), "acts": acts_of(pack)}
        return PackContents(**_header(pack, bondwright), **about, stages=pack.stages, rules=rules)

    @app.get(
        "/v1/rule-packs/{pack_id}/rules/{rule_id}",
        tags=["rule packs"],
        summary="Read one rule",
        responses={200: {"headers": WITHDRAWN}, **problem(UNKNOWN_NAME, INTERNAL)},
        dependencies=[may("rules")],
    )
    def get_rule(pack_id: PackId, rule_id: str, response: Response) -> RuleInFull:
        """Also under the id `OUTCOME-otherwise`, which answers name where no rule spoke: the outcome's own reason for its first level; and
        under ids such as `location-sauna-not-judged`, which they name where no rule covers a kind of thing.
        """
        pack = bondwright.pack(pack_id)
        response.headers.update(withdrawn_headers(bondwright.withdrawn.get(pack.pack_id)))
        if kind := without_rules(rule_id, pack, bondwright.terms):
            return _not_judged(kind, pack)
        for outcome in pack.outcomes.values():
            if rule_id == f"{outcome.name}-otherwise":
                return _otherwise(outcome, pack)
        return _in_full(pack.rule(rule_id), pack)


def withdrawn_headers(withdrawal: Withdrawal | None) -> dict[str, str]:
    """The headers that say that a pack is withdrawn; none, if it is not."""
    return dict.fromkeys(WITHDRAWN, f'"{withdrawal.since}"; successor="{withdrawal.successor}"') if withdrawal else {}


def withdrawn_json(withdrawal: Withdrawal | None) -> PackWithdrawn | None:
    """The same as it stands in a body."""
    return PackWithdrawn(withdrawal.reason, withdrawal.since, withdrawal.successor) if withdrawal else None


def condition_json(condition: Condition, pack: RulePack) -> dict[str, Any]:
    """The condition as rule files write it, numbers with their unit."""
    match condition:
        case Test():
            return {condition.fact: _tested(condition, pack)}
        case All(members):
            return {"all": [condition_json(member, pack) for member in members]}
        case AnyOf(members):
            return {"any": [condition_json(member, pack) for member in members]}
        case Not(member):
            return {"not": condition_json(member, pack)}


def _tested(test: Test, pack: RulePack) -> str | list[str] | Mapping[str, str]:
    if isinstance(test.operand, tuple):
        return test.operand[0] if len(test.operand) == 1 else list(test.operand)
    if isinstance(test.operand, str):
        return {test.operator: test.operand}
    outcome = pack.outcomes.get(test.fact)
    if outcome and outcome.levels:
        return outcome.levels[int(test.operand)]
    unit = outcome.unit if outcome else pack.facts[test.fact].unit
    return {test.operator: f"{test.operand:.12g} {unit}"}


def _header(pack: PackHead, bondwright: Bondwright) -> dict[str, Any]:
    own = {name: getattr(pack, name) for name in PackSummary.__dataclass_fields__ if name != "withdrawn"}
    return own | {"withdrawn": withdrawn_json(bondwright.withdrawn.get(pack.pack_id))}


def _summary(rule: Rule) -> dict[str, Any]:
    return {name: getattr(rule, name) for name in RuleSummary.__dataclass_fields__} | {"polarity": rule.polarity.value}


def _in_full(rule: Rule, pack: RulePack) -> RuleInFull:
    return RuleInFull(
        **_summary(rule),
        outcome=rule.outcome,
        level=rule.level,
        other_view=rule.other_view or None,
        targets=rule.targets,
        condition=condition_json(rule.when, pack),
        source=SourceCited(rule.source, pack.sources[rule.source].title),
        kind=rule.kind,
        confidence=rule.confidence,
        file=rule.place.file,
        line=rule.place.line,
        origin=f"{rule.origin.file}:{rule.origin.line}",
        examples=len(pack.examples_of(rule)),
        pack_id=pack.pack_id,
        pack_digest=pack.digest,
    )


def _otherwise(outcome: Outcome, pack: RulePack) -> RuleInFull:
    rule = Rule(
        rule_id=f"{outcome.name}-otherwise",
        stage=outcome.stage,
        of=outcome.of,
        polarity=Polarity.REMARKS,
        when=All(()),
        clause=outcome.otherwise_clause,
        says=outcome.otherwise_why,
        source=outcome.otherwise_source,
        kind=outcome.otherwise_kind,
        confidence=outcome.otherwise_confidence,
        place=outcome.place,
        origin=outcome.place,
        outcome=outcome.name,
        level=outcome.levels[0] if outcome.levels else "",
    )
    return replace(_in_full(rule, pack), polarity="otherwise")


def _not_judged(kind: Kind, pack: RulePack) -> RuleInFull:
    assert kind.governed is not None, "a kind that is judged has rules"
    rule = Rule(
        rule_id=kind.rule_id,
        stage="",
        of=kind.of,
        polarity=Polarity.REMARKS,
        when=All(()),
        clause=kind.governed.governed_by,
        says=kind.governed.known,
        source=kind.governed.source,
        kind=kind.governed.basis,
        confidence=kind.governed.confidence,
        place=kind.place,
        origin=kind.place,
    )
    return replace(_in_full(rule, pack), polarity=NOT_JUDGED)
