"""Every rule, value, table, cell of a reference table and first level rests on a declared source; how many rest on memory is counted."""

from collections.abc import Iterator

from bondwright.proofs.findings import Finding
from bondwright.rulebook.facts import Place
from bondwright.rulebook.pack import RulePack

_WEAKEST = "from_memory"


def sourced(pack: RulePack) -> tuple[Finding, ...]:
    """An error for each source that is not declared and each clause left out, and the counts by confidence."""
    found, counted = [], dict[str, int]()
    for what, place, clause, source, confidence in _resting(pack):
        counted[confidence] = counted.get(confidence, 0) + 1
        if source not in pack.sources:
            found.append(Finding("sources", "error", place, f"{what} rests on `{source}`, which is not declared"))
        if not clause.strip():
            found.append(Finding("sources", "error", place, f"{what} names no clause"))
    by_confidence = ", ".join(f"{confidence} {count}" for confidence, count in sorted(counted.items()))
    said = f"{counted.get(_WEAKEST, 0)} of {sum(counted.values())} rest on memory ({by_confidence})"
    return (*found, Finding("sources", "information", None, said))


def _resting(pack: RulePack) -> Iterator[tuple[str, Place, str, str, str]]:
    for rule in pack.rules:
        yield f"rule `{rule.rule_id}`", rule.origin, rule.clause, rule.source, rule.confidence
    for value in pack.values.values():
        yield f"value `{value.name}`", value.place, value.clause, value.source, value.confidence
    for table in pack.tables.values():
        yield f"table `{table.table_id}`", table.place, table.clause, table.source, table.confidence
    for reference in pack.references.values():
        for keys, cell in reference:
            what = f"reference table `{reference.table_id}`, row {', '.join(map(str, keys))}"
            yield what, cell.place, reference.clause, cell.source, cell.confidence
    for outcome in pack.outcomes.values():
        yield f"outcome `{outcome.name}`", outcome.place, outcome.otherwise_clause, outcome.otherwise_source, outcome.otherwise_confidence
