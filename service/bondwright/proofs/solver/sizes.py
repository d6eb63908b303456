"""Sizes: always given, never smaller for a larger conductor, from tables that rise."""

from collections.abc import Iterator
from itertools import pairwise

import z3

from bondwright.proofs.findings import Finding
from bondwright.proofs.solver.asking import SECONDS, must_be_impossible
from bondwright.proofs.solver.chain import chain
from bondwright.proofs.solver.living import kinds_of
from bondwright.proofs.solver.symbols import Range, knowledge, whole
from bondwright.rulebook.pack import RulePack


def complete(pack: RulePack, seconds: float = SECONDS) -> tuple[Finding, ...]:
    """An error for each size that no rule gives to some fully known subject."""

    def found() -> Iterator[Finding]:
        for of in kinds_of(pack):
            known = knowledge(pack, of, "all")
            for name, size in chain(pack, of, known).sizes.items():
                wrong = Finding("complete", "error", pack.outcomes[name].place, f"no rule gives `{name}` here")
                world = (*known.bounds, *whole(known), z3.Not(size.spoken))
                yield from must_be_impossible(wrong, world, [("knowing", known)], seconds)

    return tuple(found())


def growing(pack: RulePack, seconds: float = SECONDS) -> tuple[Finding, ...]:
    """An error for each size that shrinks while a number that a table reads grows, across tables and rules."""

    def found() -> Iterator[Finding]:
        for of in kinds_of(pack):
            here, there = (chain(pack, of, knowledge(pack, of, who)) for who in ("here", "there"))
            read = {table.reads for table in pack.tables.values()} & {fact.name for fact in pack.facts_of(of)}
            for grown in sorted(read):
                world = [*here.known.bounds, *there.known.bounds, *whole(here.known), *whole(there.known)]
                for name, symbol in here.known.row.items():
                    other = there.known.row[name]
                    if isinstance(symbol, Range) and isinstance(other, Range):
                        world.append(symbol.lowest <= other.lowest if name == grown else symbol.lowest == other.lowest)
                for name, size in here.sizes.items():
                    outcome = pack.outcomes[name]
                    wrong = Finding("growing", "error", outcome.place, f"`{name}` shrinks while `{grown}` grows")
                    shrinks = there.sizes[name].ends.highest < size.ends.highest
                    shown = [("the smaller", here.known), ("the larger", there.known)]
                    yield from must_be_impossible(wrong, (*world, size.spoken, there.sizes[name].spoken, shrinks), shown, seconds)

    return tuple(found())


def rising(pack: RulePack) -> tuple[Finding, ...]:
    """An error for each table whose limits do not rise or whose entries fall, read row by row without a solver."""
    found = []
    for table in pack.tables.values():
        for before, after in pairwise(table.rows):
            if before.up_to is None or (after.up_to is not None and after.up_to <= before.up_to):
                found.append(Finding("rising", "error", after.place, f"table `{table.table_id}`: its limits do not rise here"))
            if after.use < before.use:
                found.append(
                    Finding("rising", "error", after.place, f"table `{table.table_id}`: {after.use:g} is below the entry before it")
                )
        if not table.rows or table.rows[-1].up_to is not None:
            found.append(Finding("rising", "error", table.place, f"table `{table.table_id}` has no last row `above`"))
    return tuple(found)
