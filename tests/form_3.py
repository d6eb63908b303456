"""An answer of form 4 turned back into the bytes of form 3, by the rule pack that it names: so form 4 says no less."""

from collections.abc import Mapping, Sequence
from typing import Any

import orjson

from bondwright.audit.forms import content_of
from bondwright.compose.answer import Evaluation
from bondwright.conclude.reasons import Reason
from bondwright.facts.scope import named
from bondwright.installation.terms import Terms
from bondwright.members import member_names
from bondwright.rulebook.pack import RulePack

NOT_IN_FORM_3 = ("keep_off", "earthings")


def as_form_3(evaluation: bytes, pack: RulePack, terms: Terms) -> bytes:
    """The bytes of form 3; an answer that is none of form 4, as a refusal, as it is. `terms`: what descriptions may say."""
    if not evaluation.startswith(b'{"form":4,'):
        return evaluation
    content, rules = content_of(evaluation), _Rules(pack, terms)
    told = {name: said for name, said in content.items() if name not in NOT_IN_FORM_3}
    return orjson.dumps(_told(told, rules) | {"form": 3})


class _Rules:
    """What a pack says of a rule, as answers of form 3 did."""

    def __init__(self, pack: RulePack, terms: Terms) -> None:
        self._pack = pack
        self._kinds = {kind.rule_id: kind for kind in (pack.kind(of, name) for of, name in named(terms)) if not kind.judged}

    def silent(self, silent: Mapping[str, Any]) -> dict[str, Any]:
        """A rule that did not act."""
        rule = self._pack.rule(silent["rule"])
        return {"rule": rule.rule_id, "clause": rule.clause, "says": rule.says, "waiting_for": silent["waiting_for"]}

    def reason(self, told: Mapping[str, Any]) -> dict[str, Any]:
        """A reason; what an answer of form 4 says of it stands before what its pack says."""
        name = told["rule"]
        if name in self._kinds:
            kind = self._kinds[name]
            assert kind.governed is not None
            place, origin = kind.place, f"{kind.place.file}:{kind.place.line}"
            source, basis, confidence, view = kind.governed.source, kind.governed.basis, kind.governed.confidence, None
        elif self._pack.has_rule(name):
            rule = self._pack.rule(name)
            place, origin = rule.place, f"{rule.origin.file}:{rule.origin.line}"
            source, basis, confidence, view = rule.source, rule.kind, rule.confidence, rule.other_view or None
        else:
            outcome = self._pack.outcomes[name.removesuffix("-otherwise")]
            place, origin, view = outcome.place, f"{outcome.place.file}:{outcome.place.line}", None
            source, basis, confidence = outcome.otherwise_source, outcome.otherwise_kind, outcome.otherwise_confidence
        more = {"file": place.file, "line": place.line, "origin": origin, "source": source, "kind": basis, "confidence": confidence}
        whole = {**told, **more, "other_view": view}
        return {name: whole[name] for name in Reason.__struct_fields__}


def _told(value: Any, rules: _Rules) -> Any:
    if isinstance(value, Mapping):
        told = {name: _told(member, rules) for name, member in value.items() if name not in ("because", "did_not_act")}
        if "because" in value:
            told["because"] = [rules.reason(one) for one in value["because"]]
            if "did_not_act" in value:
                told["did_not_act"] = [rules.silent(one) for one in value["did_not_act"]]
        return {name: told[name] for name in value}
    if isinstance(value, Sequence) and not isinstance(value, str):
        return [_told(one, rules) for one in value]
    return value


def written_in_form_3(evaluation: Evaluation) -> bytes:
    """The bytes that answers of form 3 had: every shape with all its members, each reason and sentence wherever it belongs."""
    pack = _members(evaluation.pack, "words")
    members = _members(evaluation, "told_not_used")
    for name in NOT_IN_FORM_3:
        members.pop(name)
    return orjson.dumps(members | {"form": 3, "pack": pack}, default=lambda one: {name: getattr(one, name) for name in member_names(one)})


def _members(shape: Any, left_out_if_empty: str) -> dict[str, Any]:
    members = {name: getattr(shape, name) for name in member_names(shape)}
    return {name: member for name, member in members.items() if member or name != left_out_if_empty}
