"""That all of some formulas hold, or one of them: made of formulas alone, without looking at each for what else it might be.

The library's own `And` and `Or` look at every member and copy it, which took more than half of writing a pack as formulas (2026-11-30).
"""

from collections.abc import Iterable

import z3


def all_of(members: Iterable[z3.BoolRef]) -> z3.BoolRef:
    """That every one of them holds; true of none."""
    some = list(members)
    if len(some) == 1:
        return some[0]
    context = z3.main_ctx()
    return z3.BoolRef(z3.Z3_mk_and(context.ref(), len(some), _array(some)), context)


def one_of(members: Iterable[z3.BoolRef]) -> z3.BoolRef:
    """That some one of them holds; false of none."""
    some = list(members)
    if len(some) == 1:
        return some[0]
    context = z3.main_ctx()
    return z3.BoolRef(z3.Z3_mk_or(context.ref(), len(some), _array(some)), context)


def _array(some: list[z3.BoolRef]) -> object:
    return (z3.Ast * len(some))(*[one.as_ast() for one in some])
