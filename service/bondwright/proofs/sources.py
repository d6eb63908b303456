"""Every rule, value, table, cell of a reference table and first level rests on a declared source; how many rest on memory is counted."""

from collections.abc import Iterator

from msgspec import Struct

from bondwright.proofs.findings import Finding
from bondwright.rulebook.facts import Place
from bondwright.rulebook.pack import RulePack

_WEAKEST = "from_memory"


class Resting(Struct, frozen=True):
    """Something in a pack, in words, and what it rests on."""

    what: str
    place: Place
    clause: str
    source: str
    confidence: str


def sourced(pack: RulePack) -> tuple[Finding, ...]:
    """An error for each source that is not declared and each clause left out, and the counts by confidence."""
    found, counted = [], dict[str, int]()
    for one in resting(pack):
        counted[one.confidence] = counted.get(one.confidence, 0) + 1
        if one.source not in pack.sources:
            found.append(Finding("sources", "error", one.place, f"{one.what} rests on `{one.source}`, which is not declared"))
        if not one.clause.strip():
            found.append(Finding("sources", "error", one.place, f"{one.what} names no clause"))
    by_confidence = ", ".join(f"{confidence} {count}" for confidence, count in sorted(counted.items()))
    said = f"{counted.get(_WEAKEST, 0)} of {sum(counted.values())} rest on memory ({by_confidence})"
    return (*found, Finding("sources", "information", None, said))


def resting(pack: RulePack) -> Iterator[Resting]:
    """Everything in a pack that names a clause and a source, in file order of each kind."""
    for rule in pack.rules:
        yield Resting(f"rule `{rule.rule_id}`", rule.origin, rule.clause, rule.source, rule.confidence)
    for value in pack.values.values():
        yield Resting(f"value `{value.name}`", value.place, value.clause, value.source, value.confidence)
    for table in pack.tables.values():
        yield Resting(f"table `{table.table_id}`", table.place, table.clause, table.source, table.confidence)
    for reference in pack.references.values():
        for keys, cell in reference:
            what = f"reference table `{reference.table_id}`, row {', '.join(map(str, keys))}"
            yield Resting(what, cell.place, reference.clause, cell.source, cell.confidence)
    for outcome in pack.outcomes.values():
        rests = outcome.otherwise_clause, outcome.otherwise_source, outcome.otherwise_confidence
        yield Resting(f"outcome `{outcome.name}`", outcome.place, *rests)
