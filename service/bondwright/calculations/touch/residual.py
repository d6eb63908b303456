"""The rated current of a residual current device: written in ampere, marked in milliampere."""

from typing import Annotated, TypeAlias

from pydantic import BeforeValidator, Field
from pydantic_core import PydanticCustomError

from bondwright.calculations.answer import Judgement
from bondwright.calculations.bench import Bench
from bondwright.calculations.inputs import RatedA
from bondwright.installation.documents import IN_OUR_WORDS
from bondwright.installation.words import LeftOut

_LEAST_A, _MOST_A, _LEAST_RATED_A = 0.005, 30, 0.1
_MARKING = "residual-current-marking"


def _below_all(value: object) -> object:
    if isinstance(value, int | float) and not isinstance(value, bool) and 0 < value < _LEAST_RATED_A:
        words = (
            "write the rated current of a circuit-breaker or fuse, {least} or more, in ampere; the rated residual operating current of a"
            " residual current device, such as 0.03, goes into `rated_residual_a`"
        )
        raise PydanticCustomError(IN_OUR_WORDS, words, {"least": _LEAST_RATED_A})
    return value


RatedResidualA: TypeAlias = Annotated[float, Field(ge=_LEAST_A, le=_MOST_A)]
RatedOrLeftOut: TypeAlias = Annotated[LeftOut[RatedA], BeforeValidator(_below_all)]


def doubted(residual_a: float, bench: Bench) -> tuple[Judgement, ...]:
    """A word on a current that is the figure on a device in milliampere, such as 30; nothing if the pack has no such table."""
    if not bench.pack.has_table(_MARKING):
        return ()
    made = {keys[0]: cell.value for keys, cell in bench.pack.table(_MARKING)}
    meant = next((size for size, marking in made.items() if marking == residual_a), None)
    if meant is None:
        return ()
    bench.cell(_MARKING, meant)
    words = bench.say("judged_perhaps_milliampere", told=f"{residual_a:g}", meant=f"{meant:g}")
    return (Judgement("residual_current", "perhaps_milliampere", words),)
