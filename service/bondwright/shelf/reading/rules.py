"""Rules: first who they are and what they act on, then everything else within that reach."""

import re
from collections.abc import Mapping

from msgspec import Struct

from bondwright.rulebook.facts import Place
from bondwright.rulebook.pack import Outcome
from bondwright.rulebook.rule import Example, Examples, Polarity, Rule
from bondwright.rulebook.sizing import Form
from bondwright.shelf.reading.conditions import read_condition
from bondwright.shelf.reading.examples import read_examples
from bondwright.shelf.reading.forms import read_form
from bondwright.shelf.reading.names import Reach, Vocabulary
from bondwright.shelf.reading.nodes import Map, Node, Scalar, refused
from bondwright.shelf.reading.scalars import HYPHENED, as_items, as_map, fields, listed, new_name, one_of, some_of, text
from bondwright.shelf.reading.values import read_backing

_ACTIONS = tuple(polarity.value for polarity in Polarity)
_TARGETS = {Polarity.RELAXES: Polarity.RAISES, Polarity.BLOCKS: Polarity.RELAXES}
_ORIGIN = re.compile(r"(.+):([1-9][0-9]{0,6})")


class _Head(Struct, frozen=True):
    """A rule's id and action, read before the rest because other rules name it."""

    rule_id: str
    polarity: Polarity
    action: Node
    entries: Mapping[str, Node]
    place: Place
    origin: Place


def read_rules(node: Node, vocabulary: Vocabulary) -> tuple[Rule, ...]:
    """The rules in file order, without their examples."""
    heads = _heads(node)
    return tuple(_rule(head, heads, vocabulary) for head in heads.values())


def read_all_examples(node: Node, vocabulary: Vocabulary) -> Examples:
    """The examples below each rule that has any, by its id."""
    heads = _heads(node)
    return {name: _examples(head, heads, vocabulary) for name, head in heads.items() if "examples" in head.entries}


def _heads(node: Node) -> dict[str, _Head]:
    heads: dict[str, _Head] = {}
    for item in as_items(node, "`rules`"):
        head = _head(item)
        if head.rule_id in heads:
            first = heads[head.rule_id].origin
            raise refused(head.place, f"rule id `{head.rule_id}` is already used at {first.file}:{first.line}; an id is never used twice")
        heads[head.rule_id] = head
    return heads


def _head(node: Node) -> _Head:
    entries = fields(node, "a rule", ("id", "when", "clause", "says", "source"), ("from", "examples", "other_view", *_ACTIONS))
    keys = as_map(node, "a rule").keys
    rule_id = new_name(entries["id"], "a rule", HYPHENED)
    actions = [polarity for polarity in Polarity if polarity.value in entries]
    if len(actions) != 1:
        found = f"both {' and '.join(f'`{action.value}`' for action in actions)}" if actions else "no action"
        raise refused(keys["id"].place, f"rule `{rule_id}` has {found}; it has exactly one of {listed(_ACTIONS)}")
    place = keys["id"].place
    origin = _origin(entries["from"], place.column) if "from" in entries else place
    return _Head(rule_id, actions[0], entries[actions[0].value], entries, place, origin)


def _origin(node: Node, column: int) -> Place:
    found = _ORIGIN.fullmatch(text(node, "`from`"))
    if not found:
        raise refused(node.place, '`from` is the file and line of the rule, such as "bs7671/2018-a4.yaml:61"; publishing writes it')
    return Place(found[1], int(found[2]), column)


def _rule(head: _Head, heads: Mapping[str, _Head], vocabulary: Vocabulary) -> Rule:
    acted_on = _acted_on(head, heads, vocabulary)
    reach = Reach(acted_on.of, acted_on.stage, vocabulary)
    backing = read_backing(head.entries["source"], vocabulary.sources)
    level, form = _level(head, acted_on), _form(head, acted_on, reach)  # first: a wrong outcome explains a wrong condition
    through_targets = head.polarity in _TARGETS
    return Rule(
        rule_id=head.rule_id,
        stage=reach.stage,
        of=reach.of,
        polarity=head.polarity,
        when=read_condition(head.entries["when"], reach),
        clause=text(head.entries["clause"], "`clause`"),
        says=text(head.entries["says"], "`says`"),
        source=backing.source,
        kind=backing.kind,
        confidence=backing.confidence,
        place=head.place,
        origin=head.origin,
        outcome="" if through_targets else acted_on.name,
        level=level,
        targets=_targets(head, heads) if through_targets else (),
        form=form,
        other_view=text(head.entries["other_view"], "`other_view`") if "other_view" in head.entries else "",
    )


def _examples(head: _Head, heads: Mapping[str, _Head], vocabulary: Vocabulary) -> tuple[Example, ...]:
    acted_on = _acted_on(head, heads, vocabulary)
    reach = Reach(acted_on.of, acted_on.stage, vocabulary)
    return read_examples(head.entries["examples"], reach, of_remark=head.polarity is Polarity.REMARKS)


def _acted_on(head: _Head, heads: Mapping[str, _Head], vocabulary: Vocabulary) -> Outcome:
    """The outcome a rule acts on, directly or through its targets; it settles the rule's stage and kind of subject."""
    if head.polarity not in _TARGETS:
        return vocabulary.outcomes[one_of(_outcome_key(head), vocabulary.outcomes, "outcome")]
    first, *others = (_acted_on(heads[target], heads, vocabulary) for target in _targets(head, heads))
    for other in others:
        if (other.of, other.stage) != (first.of, first.stage):
            detail = f"the targets differ: stage `{first.stage}` of `{first.of}`, and stage `{other.stage}` of `{other.of}`"
            raise refused(head.action.place, f"{detail}; write one rule for each")
    return first


def _targets(head: _Head, heads: Mapping[str, _Head]) -> tuple[str, ...]:
    verb, wanted = head.polarity.value, _TARGETS[head.polarity]
    for node in as_items(head.action, f"`{verb}`"):
        if isinstance(node, Scalar) and node.text in heads and heads[node.text].polarity is not wanted:
            actual = heads[node.text].polarity.value
            raise refused(node.place, f"`{node.text}` {actual}; `{verb}` names only rules that have `{wanted.value}`")
    return some_of(head.action, (name for name, other in heads.items() if other.polarity is wanted), f"rule with `{wanted.value}`")


def _outcome_key(head: _Head) -> Scalar:
    if head.polarity is Polarity.REMARKS:
        if isinstance(head.action, Scalar):
            return head.action
        raise refused(head.action.place, "`remarks` names one outcome")
    if not isinstance(head.action, Map) or len(head.action.keys) != 1:
        raise refused(head.action.place, f"`{head.polarity.value}` is a map of one outcome, such as `{{outcome: …}}`")
    (key,) = head.action.keys.values()
    return key


def _level(head: _Head, outcome: Outcome) -> str:
    if head.polarity is not Polarity.RAISES:
        return ""
    if not outcome.levels:
        raise refused(head.action.place, f"`{outcome.name}` is a size and has no levels; use `sizes` or `provides`")
    return one_of(as_map(head.action, "`raises`").entries[outcome.name], outcome.levels, f"level of `{outcome.name}`")


def _form(head: _Head, outcome: Outcome, reach: Reach) -> Form | None:
    if head.polarity not in (Polarity.SIZES, Polarity.PROVIDES):
        return None
    if outcome.levels:
        raise refused(head.action.place, f"`{outcome.name}` has levels and is not a size; use `raises`")
    return read_form(as_map(head.action, "a size").entries[outcome.name], outcome.unit, reach)
