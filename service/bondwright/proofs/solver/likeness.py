"""The solver's encoding is held against the reader that serves, on drawn rows: else a proof would be about something else."""

import math
from collections.abc import Iterator
from random import Random

import z3

from bondwright.evaluate.reasoning.stages import Subject, run_stages, subject
from bondwright.proofs.cells import numbers, values
from bondwright.proofs.examples import plainly
from bondwright.proofs.findings import Finding
from bondwright.proofs.solver.asking import number_of
from bondwright.proofs.solver.chain import Chain, chain
from bondwright.proofs.solver.living import kinds_of
from bondwright.proofs.solver.symbols import Knowledge, Range, Told, exact, knowledge
from bondwright.rulebook.facts import UNKNOWN, Between, FactDefinition, Facts, FactValue
from bondwright.rulebook.pack import RulePack

ROWS = 500
"""So many rows are drawn for each kind of subject; each goes through every stage of its kind."""


def same_as_the_reader(pack: RulePack, rows: int = ROWS, encoded: RulePack | None = None) -> tuple[Finding, ...]:
    """An error for each kind of subject of which the solver's encoding says something else than the reader on some row.

    `encoded`: the pack to encode; another than the one that is read shows that a difference is seen.
    """
    draw = Random(rows)
    found = (_first_difference(pack, of, rows, draw, encoded or pack) for of in kinds_of(pack))
    return tuple(finding for finding in found if finding)


def _first_difference(pack: RulePack, of: str, rows: int, draw: Random, encoded: RulePack) -> Finding | None:
    concluded = chain(encoded, of, knowledge(pack, of, "one"))
    read = 0
    for _ in range(rows):
        row = {fact.name: _drawn(pack, fact, draw) for fact in pack.facts_of(of)}
        try:
            (one,) = run_stages(pack, of, [subject(pack, of, "drawn", "", row, {})], plainly(pack))
        except ValueError:  # no rule gives a size here, which `complete` says
            continue
        read += 1
        if differences := list(_differences(one, concluded)):
            told = {name: value for name, value in row.items() if value != pack.facts[name].unknown()}
            return Finding("encoding", "error", None, f"of a {of} with {told}, encoding and reader differ on {', '.join(differences)}")
    return None if read else Finding("encoding", "error", None, f"no row of a {of} could be read: some size is never given")


def _drawn(pack: RulePack, fact: FactDefinition, draw: Random) -> FactValue:
    if fact.kind == "number" and draw.random() < 0.3:
        return Between(*sorted(draw.choices(numbers(pack, fact.name), k=2)))
    return draw.choice(values(pack, fact.name))


def _differences(one: Subject, concluded: Chain) -> Iterator[str]:
    model = _model(one.facts, concluded.known)

    def holds(what: z3.BoolRef) -> bool:
        return bool(z3.is_true(model.eval(what, model_completion=True)))

    for rule, acts in concluded.acts.items():
        if holds(acts) != (rule in one.acting):
            yield f"whether rule `{rule}` acts"
    for name, steps in concluded.levels.items():
        level = one.levels[name]
        for what, index in (("worst_case", level.worst_case), ("settled", level.settled), ("lowest", level.lowest)):
            if sum(map(holds, getattr(steps, what))) - 1 != index:
                yield f"{what} of `{name}`"
    for name, number in concluded.sizes.items():
        size = one.sizes[name]
        ends = ((number.ends.lowest, size.lowest), (number.ends.highest, size.highest))
        if not all(math.isclose(number_of(model, end), value) for end, value in ends):
            yield f"the range of `{name}`"
        if holds(number.provided) != (size.provisional is not None):
            yield f"whether `{name}` has a provisional value"
        elif size.provisional is not None and not math.isclose(number_of(model, number.provisional), size.provisional):
            yield f"the provisional value of `{name}`"


def _model(facts: Facts, known: Knowledge) -> z3.ModelRef:
    """A model in which exactly `facts` are known."""
    model = z3.Model()
    for name, symbol in known.row.items():
        value = facts[name]
        if isinstance(symbol, Told):
            model.update_value(symbol.known, z3.BoolVal(value != UNKNOWN))
            model.update_value(symbol.value, z3.IntVal(0 if value == UNKNOWN else symbol.choices.index(str(value))))
        elif isinstance(symbol, Range) and isinstance(value, Between):
            model.update_value(symbol.lowest, exact(value.lowest))
            model.update_value(symbol.highest, exact(value.highest))
    return model
