"""Comparing an answer with all that a claim expects of it: one result for each expectation, so that what was compared can be counted."""

from collections.abc import Mapping

from msgspec import Struct

from bondwright.cases.case import Case, Claim, Expectation, Json
from bondwright.cases.keys import ALONE, AMONG, AS_A_SET, EXACTLY, KEYS, NAMED, OUTCOME, WITHIN
from bondwright.cases.reading import nearest
from bondwright.cases.telling import Told, told
from bondwright.compose.answer import Evaluation
from bondwright.compose.choices import chosen_date, in_use
from bondwright.conclude.concluding import Acting
from bondwright.evaluate.order import evaluate
from bondwright.installation.description import Installation
from bondwright.metalwork.survey import survey
from bondwright.rulebook.memory import Memory
from bondwright.rulebook.pack import COVERED, LOOK_FIRST, NOT_SETTLED, PackHead, RulePack


class Compared(Struct, frozen=True):
    """One expectation that was compared; `fault` is empty where the answer bears it out."""

    expectation: Expectation
    fault: str


def judges(pack: PackHead, installation: Installation) -> bool:
    """Whether the day of the work falls into the time of the pack."""
    return in_use(pack, chosen_date(installation)[1])


def judged(
    case: Case, claim: Claim, installation: Installation, pack: RulePack, acting: Acting, memory: Memory | None = None
) -> tuple[Compared, ...]:
    """What `pack` says of the claim's installation, compared with every expectation, in the order written.

    Raises: UnreadableRules, with its place, for an expectation that no answer of this pack could bear out or refute; Refused,
    EngineDisagreement, as `evaluate`.
    """
    for expectation in claim.expectations:
        _check(case, expectation, pack)
    if any(not one.key and one.name for one in claim.expectations):
        lengths = survey(installation, pack).lengths
        for one in claim.expectations:
            if not one.key and one.name and one.name not in lengths:
                raise case.refused(one.pointer, f"nothing that is described is called `{one.name}`{nearest(one.name, tuple(lengths))}")
    return compared(claim.expectations, evaluate(installation, pack, acting, memory), pack)


def compared(expectations: tuple[Expectation, ...], evaluation: Evaluation, pack: RulePack) -> tuple[Compared, ...]:
    """Each expectation with what the answer says instead of it, if it says something else."""
    tells = told(evaluation, pack)
    return tuple(Compared(one, _fault(one, tells[one.subject].get(one.name))) for one in expectations)


def _check(case: Case, expectation: Expectation, pack: RulePack) -> None:
    """Refuses a key that neither an answer nor the pack knows, and a level, act or mark that the pack does not have."""
    subject, key = expectation.subject, expectation.key
    levels = {
        outcome.name: outcome.levels for outcome in pack.outcomes.values() if outcome.levels and outcome.of in {**NAMED, **ALONE}[subject]
    }
    words: Mapping[str, tuple[str, ...]] = {
        "act": tuple(pack.advice),
        "mark": tuple(dict.fromkeys(one.mark for one in pack.advice.values())),
        **levels,
    }
    if key and key not in KEYS[subject] and key not in levels:
        raise case.refused(
            expectation.pointer,
            f"`{key}` is no outcome of {pack.pack_id} and nothing else that is told of {subject}{nearest(key, (*KEYS[subject], *levels))}",
        )
    for name, act_on in expectation.wanted.items() if key == "act_on" else ():
        _check_act_on(case, f"{expectation.pointer}/{name}", name, act_on, levels, pack)
    if key in words and expectation.wanted not in words[key]:
        what = "level of" if key in levels else "such"
        raise case.refused(
            expectation.pointer, f"`{expectation.wanted}` is no {what} `{key}` of {pack.pack_id}{nearest(expectation.wanted, words[key])}"
        )


def _check_act_on(case: Case, pointer: str, name: str, act_on: str, levels: Mapping[str, tuple[str, ...]], pack: RulePack) -> None:
    """Refuses an outcome that the pack does not have, and something that is never acted on there."""
    if name not in levels:
        raise case.refused(pointer, f"`{name}` is no outcome of {pack.pack_id} that is told here{nearest(name, tuple(levels))}")
    known = (*levels[name], *NOT_SETTLED, COVERED, LOOK_FIRST)
    if act_on not in known:
        raise case.refused(pointer, f"`{act_on}` is nothing to act on for `{name}` of {pack.pack_id}{nearest(act_on, known)}")


def _fault(expectation: Expectation, tells: Told | None) -> str:
    """What is told instead; empty where the expectation is borne out."""
    if not expectation.key:
        return "" if tells is None else f"{expectation.words()} is there, expected not to be a thing of its own"
    if tells is None:
        return f"{expectation.words()}: there is no {f'{expectation.subject} {expectation.name}'.strip()} in the answer"
    if expectation.key not in tells:
        return f"{expectation.words()}: nothing is told of it"
    says = tells[expectation.key]
    _, how = KEYS[expectation.subject].get(expectation.key, OUTCOME)
    return "" if _fits(how, expectation.wanted, says) else f"{expectation.words()} is {_shown(says)}, expected {_shown(expectation.wanted)}"


def _fits(how: str, wanted: Json, says: Json) -> bool:
    if how == AS_A_SET:
        return sorted(wanted) == sorted(set(says))
    if how == AMONG:
        return wanted.items() <= says.items() if isinstance(wanted, dict) else set(wanted) <= set(says)
    if how == WITHIN and isinstance(wanted, str):
        return isinstance(says, str) and wanted in says
    assert how in (EXACTLY, WITHIN)
    return bool(wanted == says)


def _shown(value: Json) -> str:
    match value:
        case None:
            return "nothing"
        case bool():
            return "yes" if value else "no"
        case float() | int():
            return f"{value:.15g}"
        case list():
            return f"[{', '.join(_shown(one) for one in value)}]"
        case dict():
            return f"{{{', '.join(f'{key}: {_shown(one)}' for key, one in value.items())}}}"
    return str(value)
