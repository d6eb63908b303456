"""Questions to the solver, and what its answers say of a pack. An answer that does not come in time is an error."""

from collections.abc import Iterable
from fractions import Fraction

import z3

from bondwright.members import replace
from bondwright.proofs.findings import Finding
from bondwright.proofs.solver.symbols import Knowledge, Range, Told

SECONDS = 20.0
"""How long one question may take."""


def must_be_possible(missing: Finding, world: Iterable[z3.BoolRef], seconds: float = SECONDS) -> tuple[Finding, ...]:
    """Nothing where some input fits `world`; `missing` where none does."""
    solver, answer = _asked(world, seconds)
    if answer == z3.unknown:
        return (_unfinished(missing, solver, seconds),)
    return () if answer == z3.sat else (missing,)


def must_be_impossible(
    wrong: Finding, world: Iterable[z3.BoolRef], who: Iterable[tuple[str, Knowledge]], seconds: float = SECONDS
) -> tuple[Finding, ...]:
    """Nothing where no input fits `world`; else `wrong`, with what each of `who` knows in one such input."""
    solver, answer = _asked(world, seconds)
    if answer == z3.unknown:
        return (_unfinished(wrong, solver, seconds),)
    if answer == z3.unsat:
        return ()
    model = solver.model()
    shown = "; ".join(f"{name}: {described(model, known)}" for name, known in who)
    return (replace(wrong, detail=f"{wrong.detail}; {shown}"),)


def asked(world: Iterable[z3.BoolRef], known: Knowledge, seconds: float = SECONDS) -> str | None:
    """What is known in one input that fits `world`, or that the solver could not tell in time; None where no input fits."""
    solver, answer = _asked(world, seconds)
    if answer == z3.unsat:
        return None
    if answer == z3.sat:
        return described(solver.model(), known)
    return f"the solver could not settle it within {seconds:g} s ({solver.reason_unknown()})"


def described(model: z3.ModelRef, known: Knowledge) -> str:
    """What is known in one input, as `fact=value`; what is unknown is left out."""
    told = []
    for name, symbol in known.row.items():
        if isinstance(symbol, Told) and z3.is_true(model.eval(symbol.known)):
            told.append(f"{name}={symbol.choices[model.eval(symbol.value, model_completion=True).as_long()]}")
        elif isinstance(symbol, Range) and z3.is_rational_value(model.eval(symbol.lowest)):
            low, high = (f"{number_of(model, end):g}" for end in (symbol.lowest, symbol.highest))
            told.append(f"{name}={low}" if low == high else f"{name}={low}..{high}")
    return ", ".join(told) or "nothing"


def number_of(model: z3.ModelRef, expression: z3.ArithRef) -> float:
    """The value of a number in one input."""
    value = model.eval(expression, model_completion=True)
    return float(Fraction(value.numerator_as_long(), value.denominator_as_long()))


def _asked(world: Iterable[z3.BoolRef], seconds: float) -> tuple[z3.Solver, z3.CheckSatResult]:
    solver = z3.Solver()
    solver.set("timeout", max(1, int(seconds * 1000)))
    solver.set("ctrl_c", False)  # else an interrupt would come out as an answer that did not come, not as an interrupt
    solver.add(*world)
    return solver, solver.check()


def _unfinished(about: Finding, solver: z3.Solver, seconds: float) -> Finding:
    detail = f"the solver gave no answer within {seconds:g} s ({solver.reason_unknown()}); asked whether this holds: {about.detail}"
    return Finding(about.check, "error", about.place, detail, finished=False)
