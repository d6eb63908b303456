"""The solver's encoding is held against the reader that serves, on drawn rows: else a proof would be about something else."""

import math
from collections.abc import Iterator
from functools import cache
from random import Random

import z3

from bondwright.conclude.concluding import begun, plainly, through
from bondwright.conclude.conclusion import Conclusion
from bondwright.errors import Contradiction
from bondwright.proofs.cells import numbers, values
from bondwright.proofs.findings import Finding
from bondwright.proofs.solver.asking import number_of
from bondwright.proofs.solver.chain import Chain, chain
from bondwright.proofs.solver.living import kinds_of
from bondwright.proofs.solver.symbols import Ladder, Range, Told, exact, knowledge
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
    drawn = _Drawn(chain(encoded, of, knowledge(pack, of, "one")))
    read = 0
    for _ in range(rows):
        row = {fact.name: _drawn(pack, fact, draw) for fact in pack.facts_of(of)}
        try:
            (one,) = through(pack, pack.stages, [begun(of, row)], plainly(pack))
        except Contradiction:  # no rule gives a size here, which `complete` says
            continue
        read += 1
        if differences := list(_differences(one, drawn)):
            told = {name: value for name, value in row.items() if value != pack.facts[name].unknown()}
            return Finding("encoding", "error", None, f"of a {of} with {told}, encoding and reader differ on {', '.join(differences)}")
    return None if read else Finding("encoding", "error", None, f"no row of a {of} could be read: some size is never given")


def _drawn(pack: RulePack, fact: FactDefinition, draw: Random) -> FactValue:
    if fact.kind == "number" and draw.random() < 0.3:
        return Between(*sorted(draw.choices(numbers(pack, fact.name), k=2)))
    return draw.choice(values(pack, fact.name))


def _differences(one: Conclusion, drawn: "_Drawn") -> Iterator[str]:
    model, concluded = drawn.model(one.facts), drawn.concluded
    true = drawn.true(model)

    def holds(what: z3.BoolRef) -> bool:
        return what.get_id() in true

    for rule, acts in concluded.acts.items():
        if holds(acts) != (rule in one.acts.worst_case):
            yield f"whether rule `{rule}` acts"
    for name, steps in concluded.levels.items():
        level = one.levels[name]
        for what, index in (("worst_case", level.worst_case), ("certain", level.certain), ("lowest", level.lowest)):
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


class _Drawn:
    """What is concluded of a row, held against many rows; everything that is true or false is read from the solver in one go."""

    def __init__(self, concluded: Chain) -> None:
        self.concluded = concluded
        levels = (step for steps in concluded.levels.values() for some in (steps.worst_case, steps.certain, steps.lowest) for step in some)
        asked = [*concluded.acts.values(), *levels, *(number.provided for number in concluded.sizes.values())]
        one, none = z3.BitVecVal(1, 1), z3.BitVecVal(0, 1)
        self._bits = z3.Concat(one, *(z3.If(what, one, none) for what in asked), one)
        self._asked = [what.get_id() for what in asked]
        self._places = {name: _declared(symbol) for name, symbol in concluded.known.row.items()}
        self._whole, self._truth, self._exact = cache(z3.IntVal), cache(z3.BoolVal), cache(exact)

    def true(self, model: z3.ModelRef) -> frozenset[int]:
        """The ids of the expressions of `concluded` that are true in a model."""
        bits = format(model.eval(self._bits, model_completion=True).as_long(), "b")[1:-1]
        return frozenset(what for what, bit in zip(self._asked, bits, strict=True) if bit == "1")

    def model(self, facts: Facts) -> z3.ModelRef:
        """A model in which exactly `facts` are known."""
        model = z3.Model()
        for name, symbol in self.concluded.known.row.items():
            value = facts[name]
            if isinstance(symbol, Told):
                known, told = self._places[name]
                model.update_value(known, self._truth(value != UNKNOWN))
                model.update_value(told, self._whole(0 if value == UNKNOWN else symbol.choices.index(str(value))))
            elif isinstance(symbol, Range) and isinstance(value, Between):
                lowest, highest = self._places[name]
                model.update_value(lowest, self._exact(value.lowest))
                model.update_value(highest, self._exact(value.highest))
        return model


def _declared(symbol: Told | Range | Ladder) -> tuple[z3.FuncDeclRef, ...]:
    match symbol:
        case Told():
            return symbol.known.decl(), symbol.value.decl()
        case Range():
            return symbol.lowest.decl(), symbol.highest.decl()
        case Ladder():
            return ()
