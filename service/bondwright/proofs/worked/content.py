"""What a pack holds apart from its wording, and which parts of it are new or other than in the pack that it follows."""

import hashlib
from collections.abc import Mapping, Set
from datetime import date
from typing import Any

from bondwright.members import member_names
from bondwright.proofs.mutations import Part, condition_as_written
from bondwright.rulebook.facts import Place
from bondwright.rulebook.pack import RulePack
from bondwright.rulebook.rule import Rule

_UNSEEN = frozenset({"says", "read_examples", "own_file", "language_file", "digest", "pack_id", "title", "note", "lenient", "cases"})
"""What no worked case can notice: sentences, examples beside the rules, and what a pack says of itself."""
DATES = ("usable_from", "usable_to", "review_by")


def content(value: Any) -> Any:
    """A value as nested tuples of text, numbers and dates, without the places where anything stands and without sentences of rules."""
    if names := member_names(value):
        members = ((name, getattr(value, name)) for name in names if name not in _UNSEEN)
        return (type(value).__name__, *((name, content(member)) for name, member in members if not isinstance(member, Place)))
    if isinstance(value, Mapping):
        return tuple((content(name), content(member)) for name, member in value.items())
    if isinstance(value, Set):
        return tuple(sorted(map(repr, value)))
    return tuple(map(content, value)) if isinstance(value, tuple | list) else value


def digest_of(*values: Any) -> str:
    """A digest of the content of values, the same in every run."""
    return hashlib.sha256(repr(tuple(map(content, values))).encode()).hexdigest()


def changed_parts(old: RulePack, new: RulePack) -> frozenset[Part]:
    """The parts of the new pack that are not in the old one, or decide otherwise there or under another clause.

    Wording, sources and moved lines change nothing; of the joined table, where only the order of its rows is another, every act.
    """
    before, after = parts_of(old), parts_of(new)
    found = {part for part, held in after.items() if part not in before or before[part] != held}
    if content(old.joined) != content(new.joined) and not any(kind == "joined" for kind, _ in found):
        found |= {part for part in after if part[0] == "joined"}
    return frozenset(found)


def parts_of(pack: RulePack) -> Mapping[Part, Any]:
    """Every part in which a mistake can be made, with what it holds."""
    found: dict[Part, Any] = {("rule", rule.rule_id): _of_rule(rule, pack) for rule in pack.rules}
    found |= {("table", name): (one.reads, one.unit, one.gives, one.clause, content(one.rows)) for name, one in pack.tables.items()}
    found |= {("value", name): (one.value, one.unit, one.clause) for name, one in pack.values.items()}
    found |= {("fact", name): (one.kind, one.unit, one.lowest, one.highest, one.choices) for name, one in pack.facts.items()}
    found |= {("reference", name): (one.gives, one.unit, content(one.by), one.clause) for name, one in pack.references.items()}
    for act in dict.fromkeys(one.act for one in pack.joined):
        found["joined", act] = content([one for one in pack.joined if one.act == act])
    found |= {("advice", act): (advice.mark, advice.if_shared) for act, advice in pack.advice.items() if advice.if_shared}
    dates: dict[str, date | None] = {name: getattr(pack, name) for name in DATES}
    return found | {("date", name): day for name, day in dates.items()}


def _of_rule(rule: Rule, pack: RulePack) -> Any:
    decides = rule.stage, rule.of, rule.polarity.value, rule.outcome, rule.level, rule.targets
    return (*decides, content(condition_as_written(rule, pack)), content(rule.form), rule.clause)
