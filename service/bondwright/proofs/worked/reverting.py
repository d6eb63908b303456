"""A new pack with one of its changes taken back: what a worked case must tell from the new pack, or nobody notices the change."""

import re
from collections.abc import Iterator, Mapping
from itertools import takewhile
from typing import Any

from bondwright.members import replace
from bondwright.proofs.mutations import Mutant, condition_as_written, implied_reach
from bondwright.rulebook.condition import All, Test
from bondwright.rulebook.declared.places import PlaceDeclared
from bondwright.rulebook.facts import Place
from bondwright.rulebook.pack import RulePack
from bondwright.rulebook.rule import Rule


def reverted(old: RulePack, new: RulePack) -> Iterator[Mutant]:
    """The new pack once with each change that decides something taken back.

    A change of a rule, a table, a value, a printed number, a property table, the joined table, a place that both judge or its acts.
    Wording, the texts of tables among it, clauses and sources decide nothing. Of a changed value everything is taken back that it is
    written into; a new one that rules name is taken back with each of them.
    """
    yield from _rules(old, new)
    for name in _changed(_rows(old), _rows(new)):
        touches = tuple(rule for rule in new.rules if any(table.table_id == name for table in new.tables_of(rule)))
        tables = {**new.tables, **({name: old.tables[name]} if name in old.tables else {})}
        place = new.tables[name].place if name in new.tables else None
        if touches:
            yield _mutant(replace(new, tables=tables), "table", name, place or touches[0].origin, touches)
    for name in _changed(_numbers(old), _numbers(new)):
        if name in new.values and (name in old.values or not _in_rules(new, name)):
            others = {other: held for other, held in new.values.items() if other != name}
            values = {**others, **({name: old.values[name]} if name in old.values else {})}
            rules = tuple(old.rule(rule.rule_id) if old.has_rule(rule.rule_id) else rule for rule in new.rules)
            yield _mutant(replace(new, values=values, rules=rules), "value", name, new.values[name].place, ())
    yield from _cells(old, new)
    for name in _changed(old.properties, new.properties):
        if name in old.properties and (name not in new.properties or old.deciding(name) != new.deciding(name)):
            properties = {**new.properties, name: old.properties[name]}
            yield _mutant(replace(new, properties=properties, kinds=old.kinds), "property", name, Place(_file(new), 1, 1), ())
    if _placeless(old.joined) != _placeless(new.joined):
        yield _mutant(replace(new, joined=old.joined), "table", "joined", new.joined[0].place, ())
    yield from _places(old, new)


def _places(old: RulePack, new: RulePack) -> Iterator[Mutant]:
    """The acts of places that both packs judge, and each such place."""
    judged = [name for name in new.places.kinds if name in old.places.kinds]
    was, now = (pack.places.rows_about([old.places.kinds[name] for name in judged]) for pack in (old, new))
    if _placeless(was) != _placeless(now):
        rows = (*was, *(row for row in new.places.rows if row not in now))
        place = (now or was)[0].place
        yield _mutant(replace(new, places=replace(new.places, rows=rows)), "list", "joined_rooms", place, ())
    for name in judged:
        before = old.places.kinds[name]
        if _wordless(before) != _wordless(new.places.kinds[name]) and before.outcomes <= new.outcomes.keys():
            kinds = {**new.places.kinds, name: before}
            yield _mutant(replace(new, places=replace(new.places, kinds=kinds)), "place", name, Place(_file(new), 1, 1), ())


def _wordless(place: PlaceDeclared) -> PlaceDeclared:
    duties = (replace(duty, links=tuple(replace(link, words="") for link in duty.links)) for duty in place.duties)
    return replace(place, duties=tuple(duties))


def _in_rules(pack: RulePack, value: str) -> bool:
    """Whether a rule names a value, as the text of the pack has it."""
    lines, named = pack.text.decode().splitlines(), re.compile(rf"\b{re.escape(value)}\b")
    rules = takewhile(lambda line: line[:1] in ("", " ", "#"), lines[lines.index("rules:") + 1 :])
    return any(named.search(line) for line in rules)


def _cells(old: RulePack, new: RulePack) -> Iterator[Mutant]:
    """Each number of a printed table that is another one, new or gone, and each table that is new."""
    for name, table in new.references.items():
        if name not in old.references:
            without = {other: held for other, held in new.references.items() if other != name}
            yield _mutant(replace(new, references=without), "reference", name, table.place, ())
            continue
        before = old.references[name].cells
        for keys in dict.fromkeys((*before, *table.cells)):
            was, now = before.get(keys), table.cells.get(keys)
            if was is not None and now is not None and was.value == now.value:
                continue
            if len(keys) != len(table.by):
                continue  # of a table that had other columns: nothing reads such a row any more
            cells = {key: cell for key, cell in table.cells.items() if key != keys} | ({keys: was} if was else {})
            other = replace(new, references={**new.references, name: replace(table, cells=cells)})
            row = f"{name}, row {', '.join(map(str, keys))}"
            told = f"reference table `{row}` has changed"
            yield Mutant(other, told, now.place if now else table.place, (), ("reference", name))


def _rules(old: RulePack, new: RulePack) -> Iterator[Mutant]:
    for rule in new.rules:
        before = _held_here(old.rule(rule.rule_id), rule, old, new) if old.has_rule(rule.rule_id) else None
        if before is None or _decides(before) != _decides(rule):
            rules = tuple(before if other is rule else other for other in new.rules)
            kept = tuple(other for other in rules if other is not None)
            yield _mutant(replace(new, rules=kept), "rule", rule.rule_id, rule.origin, (rule, *((before,) if before else ())))
    for rule in old.rules:
        if not new.has_rule(rule.rule_id):
            yield _mutant(replace(new, rules=(*new.rules, rule)), "rule", rule.rule_id, rule.origin, (rule,))


def _held_here(before: Rule, rule: Rule, old: RulePack, new: RulePack) -> Rule:
    """A rule as it was, in the places alone that have what it decides by now: of any other nothing is told.

    Unchanged where it reaches a place that it did not reach: there a case must tell it.
    """
    was, reach = implied_reach(before, old), implied_reach(rule, new)
    if reach is None or (was is not None and not _places_in(reach) <= _places_in(was)):
        return before
    return replace(before, when=All((reach, condition_as_written(before, old))))


def _places_in(reach: Test) -> frozenset[str]:
    return frozenset(reach.operand) if isinstance(reach.operand, tuple) else frozenset()


def _mutant(pack: RulePack, kind: str, name: str, place: Place, touches: tuple[Rule, ...]) -> Mutant:
    return Mutant(pack, f"{kind} `{name}` has changed", place, touches, (kind, name))


def _changed(old: Mapping[str, Any], new: Mapping[str, Any]) -> list[str]:
    return [name for name in dict.fromkeys((*old, *new)) if old.get(name) != new.get(name)]


def _rows(pack: RulePack) -> dict[str, Any]:
    return {name: (table.reads, tuple((row.up_to, row.use) for row in table.rows)) for name, table in pack.tables.items()}


def _numbers(pack: RulePack) -> dict[str, float]:
    return {name: held.value for name, held in pack.values.items()}


def _decides(rule: Rule) -> Any:
    return rule.stage, rule.of, rule.polarity, rule.when, rule.outcome, rule.level, rule.targets, rule.form


def _placeless(rows: Any) -> list[Any]:
    return [replace(row, place=Place("", 1, 1)) for row in rows]


def _file(pack: RulePack) -> str:
    return next((rule.origin.file for rule in pack.rules), pack.pack_id)
