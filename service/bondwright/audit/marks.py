"""What an evaluation can be found by, read from the bytes that are kept."""

from dataclasses import dataclass

from bondwright.audit.forms import content_of, form_of, judged_in


@dataclass(frozen=True, slots=True)
class Marks:
    """What one evaluation is found by, each entry once, in order.

    `day`: the day of the work. `rules`: (rule id, pack id) of every reason of a verdict or size; `clauses`: theirs.
    `levels`: (outcome, worst case) of every verdict, and (outcome, `not_judged`) of one for which there is no rule.
    """

    reference: str = ""
    day: str = ""
    rules: tuple[tuple[str, str], ...] = ()
    clauses: tuple[str, ...] = ()
    levels: tuple[tuple[str, str], ...] = ()


def marks_of(evaluation: bytes) -> Marks:
    """The marks of an evaluation as it is stored, whatever its form; bytes that are no evaluation have none.

    Raises: RecordBroken, if its form is not known.

    >>> marks_of(b'{"parts":[{"outcome":"a","act_on":"b","because":[{"rule":"r","pack_id":"p","clause":"1.1"}]}]}')
    Marks(reference='', day='', rules=(('r', 'p'),), clauses=('1.1',), levels=(('a', 'b'),))
    """
    answer = content_of(evaluation)
    judged = list(judged_in(answer, form_of(evaluation)))
    reasons = [reason for one in judged for reason in one.because]
    pack = answer.get("pack")
    return Marks(
        reference=str(answer.get("reference", "")),
        day=str(pack.get("chosen_on", "")) if isinstance(pack, dict) else "",
        rules=tuple(sorted({(reason["rule"], reason["pack_id"]) for reason in reasons})),
        clauses=tuple(sorted({reason["clause"] for reason in reasons})),
        levels=tuple(sorted({(one.outcome, word) for one in judged for word in one.found_by})),
    )
