"""A JSON Schema of an edition file, made from a pack's own vocabulary, so that any YAML editor completes names and marks faults.

It helps while typing; the shelf decides. Editors read `yes` either as text or as true, so both are let through.
"""

from collections.abc import Mapping
from typing import Any

from bondwright.rulebook.facts import FactDefinition
from bondwright.rulebook.pack import RulePack
from bondwright.rulebook.rule import Polarity
from bondwright.shelf.drafts.cells import KINDS as CELLS
from bondwright.shelf.drafts.named import LISTS, NAMED_BY, OF_RULE
from bondwright.shelf.reading.values import CONFIDENCES, KINDS
from bondwright.units import UNITS

_YES_NO = [{"enum": ["yes", "no", True, False]}]
_ANY_TEXT = {"type": "string", "minLength": 1}
_COMPARISONS = ("at_least", "above", "at_most", "below")


def editor_schema(pack: RulePack) -> dict[str, Any]:
    """The schema (JSON Schema 2020-12) of a file with the edition, rules, values, series and tables of `pack`'s vocabulary."""
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": f"Edition file for the vocabulary of {pack.pack_id}",
        "type": "object",
        "properties": {
            "amends": {"type": "string", "description": "an amendment: the edition that it changes, its file without the ending"},
            "pack": _pack(),
            "values": {"type": "object", "additionalProperties": _backed({"value": {"$ref": "#/$defs/quantity"}})},
            "series": {"type": "object"},
            "tables": {"type": "object", "additionalProperties": _backed(_table(pack))},
            "rules": {"$ref": "#/$defs/rules"},
            "changes": {"type": "array", "items": _change(pack)},
            "lenient": {"type": "array", "items": _because(pack), "minItems": 1},
        },
        "additionalProperties": False,
        "$defs": {
            "quantity": {"type": "string", "pattern": rf"^[0-9]+(\.[0-9]+)? ({'|'.join(UNITS)})$"},
            "source": _source(pack),
            "condition": _condition(pack),
            "form": {"type": ["object", "string"], "description": "a number with unit, or one of the named forms of FORMAT.md"},
            "rule": _rule(pack),
            "named": _named(pack),
            "rules": {"type": "array", "items": {"$ref": "#/$defs/rule"}},
        },
    }


def _pack() -> dict[str, Any]:
    keys = dict.fromkeys(("id", "title", "standard", "note"), _ANY_TEXT)
    usable = {"type": "object", "properties": {"from": {}, "to": {}}, "required": ["from", "to"], "additionalProperties": False}
    properties = {**keys, "usable": usable, "review_by": {}, "on_request": {}, "format": {}, "beside": {"type": "array"}}
    required = [key for key in properties if key not in ("note", "on_request", "format", "beside")]
    return {"type": "object", "properties": properties, "required": required, "additionalProperties": False}


def _change(pack: RulePack) -> dict[str, Any]:
    """Any of the changes; the shelf sees to it that one change is not two."""
    cited = {"clause": _ANY_TEXT, "source": {"$ref": "#/$defs/source"}}
    was_now, named = {"was": _ANY_TEXT, "now": _ANY_TEXT}, {"$ref": "#/$defs/named"}
    rule_id = {"type": "string", "examples": sorted(rule.rule_id for rule in pack.rules)}
    return {
        "type": "object",
        "properties": {
            "add": {"if": {"type": "array"}, "then": {"$ref": "#/$defs/rules"}, "else": named},
            "change": named,
            "take_away": named,
            "withdraw": rule_id,
            "replace": rule_id,
            "was": {"description": "what the base says now; of a map, what of it is changed or taken away"},
            "now": {"description": "what takes its place"},
            "with": {"if": {"type": "array"}, "then": {"$ref": "#/$defs/rules"}, "description": "what is added, or what replaces a rule"},
            "after": _ANY_TEXT,
            "before": {"description": "the row that the new one stands before"},
            **cited,
            "set": _closed({"rule": rule_id}, dict.fromkeys(("clause", "says", "other_view", "source"), _closed({"was": {}, "now": {}}))),
            "set_value": _closed({"name": {"enum": sorted(pack.values)}, **was_now, **cited}),
            "set_cell": {"oneOf": [_closed({**of, "was": {}, "now": {}, **cited}) for of in _cells(pack)]},
        },
        "additionalProperties": False,
    }


def _cells(pack: RulePack) -> list[dict[str, Any]]:
    """What has cells, with the words that say which."""
    names = {"table": pack.tables, "reference": pack.references, "property": pack.properties}
    return [{kind: {"enum": sorted(names[kind])}, **{word: {} for word in words}} for kind, words in CELLS.items()]


def _named(pack: RulePack) -> dict[str, Any]:
    """What a change names; names of this pack are offered, and others may be."""
    rules = [rule.rule_id for rule in pack.rules]
    known = {
        "value": pack.values,
        "table": pack.tables,
        "fact": pack.facts,
        "question": pack.asks,
        "outcome": pack.outcomes,
        "advice": pack.advice,
        "reading": pack.readings,
        "property": pack.properties,
        "source": pack.sources,
        "reference": pack.references,
    }
    properties: dict[str, Any] = {kind: {"type": "string"} for kind in NAMED_BY}
    properties |= {kind: {"type": "string", "examples": sorted(names)} for kind, names in known.items()}
    properties |= {kind: {"type": ["string", "array"], "examples": sorted(rules)} for kind in OF_RULE}
    properties["row_of"] = {"type": "string", "examples": list(LISTS)}
    return {"type": "object", "properties": properties | {"row": {}}, "minProperties": 1, "maxProperties": 2, "additionalProperties": False}


def _because(pack: RulePack) -> dict[str, Any]:
    about = {"outcome": {"enum": list(pack.outcomes)}, "change": _ANY_TEXT, "case": _ANY_TEXT}
    plain = {"since": _ANY_TEXT, "because": _ANY_TEXT, "clause": _ANY_TEXT, "source": {"$ref": "#/$defs/source"}}
    pointers = {"type": "array", "items": {"type": "string", "pattern": "^/"}, "minItems": 1}
    return {
        "type": "object",
        "properties": {**plain, **about, "changed": pointers, "seen_on": {"type": "string", "pattern": "^[0-9]{4}-[0-9]{2}-[0-9]{2}$"}},
        "required": list(plain),
        "oneOf": [{"required": ["outcome"]}, {"required": ["change"]}, {"required": ["case", "changed"]}],
        "additionalProperties": False,
    }


def _closed(required: Mapping[str, Any], optional: Mapping[str, Any] | None = None) -> dict[str, Any]:
    properties = {**required, **(optional or {})}
    return {"type": "object", "properties": properties, "required": list(required), "additionalProperties": False}


def _table(pack: RulePack) -> dict[str, Any]:
    return {
        "reads": {"enum": [fact.name for fact in pack.facts.values() if fact.kind == "number"]},
        "gives": {"enum": sorted({unit.base for unit in UNITS.values()})},
        "rows": {"type": "array", "items": {"type": "array", "minItems": 2, "maxItems": 2}},
    }


def _backed(own: Mapping[str, Any]) -> dict[str, Any]:
    properties = {**own, "clause": _ANY_TEXT, "source": {"$ref": "#/$defs/source"}}
    return {"type": "object", "properties": properties, "required": list(properties), "additionalProperties": False}


def _source(pack: RulePack) -> dict[str, Any]:
    properties = {"from": {"enum": sorted(pack.sources)}, "kind": {"enum": list(KINDS)}, "confidence": {"enum": list(CONFIDENCES)}}
    return {"type": "object", "properties": properties, "required": list(properties), "additionalProperties": False}


def _condition(pack: RulePack) -> dict[str, Any]:
    here = {"$ref": "#/$defs/condition"}
    tests: dict[str, Any] = {"all": {"type": "array", "items": here}, "any": {"type": "array", "items": here, "minItems": 1}, "not": here}
    for fact in pack.facts.values():
        tests[fact.name] = {"description": f"{', '.join(fact.of)}: {fact.meaning}", **_test(fact)}
    for outcome in pack.outcomes.values():
        tests[outcome.name] = {"enum": list(outcome.levels[1:])} if outcome.levels else _compared()
    return {"type": "object", "properties": tests, "minProperties": 1, "additionalProperties": False}


def _test(fact: FactDefinition) -> dict[str, Any]:
    if fact.kind == "number":
        return _compared()
    values = _YES_NO if fact.kind == "yes_no" else [{"enum": list(fact.choices)}]
    return {"anyOf": [*values, {"type": "array", "items": {"anyOf": values}, "minItems": 1}]}


def _compared() -> dict[str, Any]:
    operand = {"type": "string", "description": "a number with unit, a number fact of the same subject, or a named value"}
    comparisons = dict.fromkeys(_COMPARISONS, operand)
    return {"type": "object", "properties": comparisons, "minProperties": 1, "maxProperties": 1, "additionalProperties": False}


def _rule(pack: RulePack) -> dict[str, Any]:
    raised = {outcome.name: {"enum": list(outcome.levels)} for outcome in pack.outcomes.values() if outcome.levels}
    sized = {outcome.name: {"$ref": "#/$defs/form"} for outcome in pack.outcomes.values() if not outcome.levels}
    rule_ids = {"type": "array", "items": {"type": "string", "examples": sorted(rule.rule_id for rule in pack.rules)}, "minItems": 1}
    actions: dict[str, Any] = {
        Polarity.RAISES.value: _one_of(raised),
        Polarity.RELAXES.value: rule_ids,
        Polarity.BLOCKS.value: rule_ids,
        Polarity.SIZES.value: _one_of(sized),
        Polarity.PROVIDES.value: _one_of(sized),
        Polarity.REMARKS.value: {"enum": list(pack.outcomes)},
    }
    plain = {
        "id": {"type": "string", "pattern": "^[a-z][a-z0-9-]*$"},
        "when": {"$ref": "#/$defs/condition"},
        "clause": _ANY_TEXT,
        "says": _ANY_TEXT,
        "source": {"$ref": "#/$defs/source"},
    }
    return {
        "type": "object",
        "properties": {
            **plain,
            **actions,
            "from": _ANY_TEXT,
            "other_view": _ANY_TEXT,
            "examples": _examples(pack),
        },
        "required": list(plain),
        "oneOf": [{"required": [action]} for action in actions],
        "additionalProperties": False,
    }


def _one_of(outcomes: Mapping[str, Any]) -> dict[str, Any]:
    return {"type": "object", "properties": dict(outcomes), "minProperties": 1, "maxProperties": 1, "additionalProperties": False}


def _examples(pack: RulePack) -> dict[str, Any]:
    """Each whole, or short: what is otherwise than in another."""
    expect = {"type": ["object", "string"]}
    whole = _closed({"given": {"type": "object"}, "expect": {"type": "object"}})
    told = {"like": {"type": "string", "examples": sorted(rule.rule_id for rule in pack.rules)}, "expect": expect}
    facts: dict[str, Any] = {name: {} for name in (*pack.facts, *pack.outcomes)}
    short = {"type": "object", "properties": {**facts, **told}, "minProperties": 1, "additionalProperties": False}
    return {"type": "array", "items": {"if": {"required": ["given"]}, "then": whole, "else": short}}
