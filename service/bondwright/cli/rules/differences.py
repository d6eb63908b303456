"""Where two packs differ, rule by rule, table by table, value by value; wording, comments and places of lines aside."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import zip_longest
from typing import Any

from bondwright.cli.rules.sections import OTHERS
from bondwright.cli.rules.sections import differences as of_sections
from bondwright.cli.rules.written import written, written_under
from bondwright.members import member_names
from bondwright.rulebook.facts import Place
from bondwright.rulebook.pack import RulePack
from bondwright.rulebook.reference import Cell, NamedValue, ReferenceTable
from bondwright.rulebook.rule import Example, Rule
from bondwright.rulebook.sizing import LimitsTable, Row


@dataclass(frozen=True, slots=True)
class Change:
    """One difference: `kind` and `name` of what differs, and `was` and `now` of one field of it; all of it where `field` is empty."""

    kind: str
    name: str
    field: str
    was: str
    now: str

    def line(self) -> str:
        """The change in one line."""
        what = f"{self.kind} {self.name}"
        if self.field:
            return f"{what}: {self.field}: was {self.was or 'nothing'}; now {self.now or 'nothing'}"
        return f"{what}: {'added' if self.now else 'removed'}"


_HEADER = ("format", "title", "standard", "usable_from", "usable_to", "review_by", "note", "on_request")
_SHARED = ("fact", "question", "outcome", "advice", "reading", "property", "source")
"""What packs hold by name and compare as a whole, each under the name of its section."""
_WHOLE = "says"
"""What is told of something that is one text."""
_SHAPE = ""
"""Where a value that was taken apart says what it was."""
_MOST_TOLD = 3
"""Examples of a rule that are told one by one."""
_LISTS = {"stages": "stages", "joints": "joined", "cautions": "cautions"}
"""By the name under which published packs give reasons for a change of the list."""


def changes(old: RulePack, new: RulePack) -> list[Change]:
    """Every difference between two packs but their ids, in the order header, values, tables, rules, and what editions share."""
    pairs = {field: tuple(str(getattr(pack, field) or "") for pack in (old, new)) for field in _HEADER}
    found = [Change("pack", "header", field, was, now) for field, (was, now) in pairs.items() if was != now]
    found += _by_name("value", old.values, new.values, lambda name: _of_value(old.values[name], new.values[name]))
    found += _by_name("table", old.tables, new.tables, lambda name: _of_table(old.tables[name], new.tables[name]))
    found += _by_name(
        "reference table", old.references, new.references, lambda name: _of_reference(old.references[name], new.references[name])
    )
    olds, news = {rule.rule_id: rule for rule in old.rules}, {rule.rule_id: rule for rule in new.rules}
    found += _by_name("rule", olds, news, lambda name: changes_of_rule(old, new, name))
    for kind in _SHARED:
        found += _shared(kind, getattr(old, OTHERS[kind]), getattr(new, OTHERS[kind]))
    found += _by_name("sentence", old.say.by_code, new.say.by_code, lambda code: _of_sentence(code, old, new))
    found += _shared("list of", *({name: getattr(pack, field) for name, field in _LISTS.items()} for pack in (old, new)))
    return [*found, *(Change(*one) for one in of_sections(old, new))]


def changes_of_rule(old: RulePack, new: RulePack, rule_id: str) -> list[Change]:
    """What differs between one rule of two packs: what it does, `when`, `clause`, `says`, `source`, `examples`."""
    before, after = old.rule(rule_id), new.rule(rule_id)
    was, now = _rule_fields(before, old), _rule_fields(after, new)
    differing = [field for field in now if _placeless(was[field]) != _placeless(now[field])]
    olds, news = written(old, before.place), written(new, after.place)
    found = []
    for field in differing:
        if field == "examples":
            found += _of_examples(rule_id, *([_example(pack, one) for one in pack.examples_of(pack.rule(rule_id))] for pack in (old, new)))
            continue
        if field == "does":
            told = [f"{rule.polarity.value} {written_under(lines, rule.polarity.value)}" for rule, lines in ((before, olds), (after, news))]
        else:
            told = [written_under(olds, field), written_under(news, field)]
        through = " (through a value that it names)" if told[0] == told[1] else ""
        found.append(Change("rule", rule_id, field, told[0], told[1] + through))
    return found


def _of_examples(rule_id: str, old: Sequence[str], new: Sequence[str]) -> list[Change]:
    """The examples that only one of both has, side by side; only how many there are, where those are many."""
    gone, added = [one for one in old if one not in new], [one for one in new if one not in old]
    if not gone + added or max(len(gone), len(added)) > _MOST_TOLD:
        return [Change("rule", rule_id, "examples", f"{len(old)} of them", f"{len(new)}, not the same")]
    pairs = zip_longest(gone, added, fillvalue="")
    return [Change("rule", rule_id, "example", was, now) for was, now in pairs]


def _example(pack: RulePack, example: Example) -> str:
    return " ".join(line.strip().removeprefix("- ") for line in written(pack, example.place))


def changes_of_its_tables(old: RulePack, new: RulePack, rule_id: str) -> list[Change]:
    """What differs between the tables that a rule of both packs looks up."""
    names = dict.fromkeys(table.table_id for pack in (old, new) for table in pack.tables_of(pack.rule(rule_id)))
    return [
        change for name in names if name in old.tables and name in new.tables for change in _of_table(old.tables[name], new.tables[name])
    ]


def changed_rules(old: RulePack, new: RulePack) -> list[Rule]:
    """The rules of both packs that are missing in the other or decide otherwise there, tables that they look up included."""
    found = []
    for pack, other in ((old, new), (new, old)):
        for rule in pack.rules:
            if not other.has_rule(rule.rule_id) or _decides(pack, rule) != _decides(other, other.rule(rule.rule_id)):
                found.append(rule)
    return found


def _decides(pack: RulePack, rule: Rule) -> Any:
    fields = _rule_fields(rule, pack)
    return fields["does"], fields["when"], [(table.reads, _rows(table.rows)) for table in pack.tables_of(rule)]


def _rule_fields(rule: Rule, pack: RulePack) -> Mapping[str, Any]:
    return {
        "does": (rule.stage, rule.of, rule.polarity.value, rule.outcome, rule.level, rule.targets, rule.form),
        "when": rule.when,
        "clause": rule.clause,
        "says": rule.says,
        "other_view": rule.other_view,
        "source": (rule.source, rule.kind, rule.confidence),
        "examples": pack.examples_of(rule),
    }


def _by_name(kind: str, old: Mapping[str, Any], new: Mapping[str, Any], of_both: Any) -> list[Change]:
    found = [Change(kind, name, "", name, "") for name in old if name not in new]
    for name in new:
        found += of_both(name) if name in old else [Change(kind, name, "", "", name)]
    return found


def _of_value(old: NamedValue, new: NamedValue) -> list[Change]:
    pairs = {"value": (f"{old.value:g} {old.unit}", f"{new.value:g} {new.unit}"), **_backing(old, new)}
    return [Change("value", old.name, field, was, now) for field, (was, now) in pairs.items() if was != now]


def _of_table(old: LimitsTable, new: LimitsTable) -> list[Change]:
    pairs = {"reads": (old.reads, new.reads), "gives": (old.gives, new.gives)}
    was_rows, now_rows = _rows(old.rows), _rows(new.rows)
    for limit in [*was_rows, *(limit for limit in now_rows if limit not in was_rows)]:
        pairs[f"row {limit}"] = (was_rows.get(limit, ""), now_rows.get(limit, ""))
    pairs["clause"] = (old.clause, new.clause)
    pairs["source"] = (f"{old.source} ({old.confidence})", f"{new.source} ({new.confidence})")
    return [Change("table", old.table_id, field, was, now) for field, (was, now) in pairs.items() if was != now]


def _of_reference(old: ReferenceTable, new: ReferenceTable) -> list[Change]:
    was, now = ({", ".join(map(str, keys)): _cell(cell) for keys, cell in table} for table in (old, new))
    pairs = {f"row {keys}".strip(): (was.get(keys, ""), now.get(keys, "")) for keys in [*was, *(keys for keys in now if keys not in was)]}
    for field in ("title", "clause", "gives", "unit", "by"):
        pairs[field] = (str(getattr(old, field)), str(getattr(new, field)))
    return [Change("reference table", old.table_id, field, before, after) for field, (before, after) in pairs.items() if before != after]


def _cell(cell: Cell) -> str:
    return f"{cell.value:.15g} ({cell.source}, {cell.kind}, {cell.confidence})"


def _rows(rows: Sequence[Row]) -> dict[str, str]:
    return {"above" if row.up_to is None else f"up to {row.up_to:g}": f"{row.use:g}" for row in rows}


def _backing(old: NamedValue, new: NamedValue) -> dict[str, tuple[str, str]]:
    was, now = (f"{one.source} ({one.kind}, {one.confidence})" for one in (old, new))
    return {"clause": (old.clause, new.clause), "source": (was, now)}


def _of_sentence(code: str, old: RulePack, new: RulePack) -> list[Change]:
    was, now = (pack.say.by_code[code] for pack in (old, new))
    return [Change("sentence", code, "says", was, now)] if was != now else []


def _shared(kind: str, old: Mapping[str, Any], new: Mapping[str, Any]) -> list[Change]:
    def of_both(name: str) -> Iterable[Change]:
        if isinstance(old[name], tuple):
            olds, news = ([_entry(one) for one in some[name]] for some in (old, new))
            gone, added = [one for one in olds if one not in news], [one for one in news if one not in olds]
            yield from (Change(kind, name, "entry", was, now) for was, now in zip_longest(gone, added, fillvalue=""))
            if not gone + added and olds != news:
                yield Change(kind, name, "order", "as before", "other")
            return
        was, now = (dict(_leaves(_placeless(one[name]))) for one in (old, new))
        for at in [*was, *(at for at in now if at not in was)]:
            if was.get(at) != now.get(at):
                yield Change(kind, name, " ".join(at) or _WHOLE, was.get(at, ""), now.get(at, ""))

    return _by_name(kind, old, new, of_both)


def _entry(value: Any) -> str:
    """An entry of a list in one line."""
    return ", ".join(" ".join((*at, said)) for at, said in _leaves(_placeless(value)))


def _leaves(value: Any, at: tuple[str, ...] = ()) -> Iterator[tuple[tuple[str, ...], str]]:
    """What stands in a value, by the way to it: names of members, and numbers in a list from 1; what is empty is not there."""
    if isinstance(value, Mapping):
        for name, member in value.items():
            if name != _SHAPE:
                yield from _leaves(member, (*at, str(name)))
    elif isinstance(value, tuple | list) and not all(isinstance(one, str) for one in value):
        for number, member in enumerate(value, start=1):
            yield from _leaves(member, (*at, str(number)))
    elif value not in (None, "", (), frozenset()):
        several = value if isinstance(value, tuple | list) else sorted(map(str, value)) if isinstance(value, frozenset) else None
        yield at, str(value) if several is None else ", ".join(several)


def _placeless(value: Any) -> Any:
    """A value of a pack as names and what they hold, every place taken out, so that a moved line is no difference."""
    if names := member_names(value):
        members = ((name, getattr(value, name)) for name in names)
        return {_SHAPE: type(value).__name__} | {name: _placeless(one) for name, one in members if not isinstance(one, Place)}
    if isinstance(value, Mapping):
        return {name: _placeless(member) for name, member in value.items()}
    return tuple(_placeless(member) for member in value) if isinstance(value, tuple | list) else value
