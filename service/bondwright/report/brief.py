"""An evaluation in a few lines: per part what to do, the verdict, the reason with its clause, what is missing."""

from collections.abc import Iterator, Sequence

from bondwright.compose.answer import Evaluation, PartAnswer, Question, RoomAnswer, Verdict
from bondwright.compose.pack_used import PackUsed
from bondwright.conclude.reasons import Reason
from bondwright.report.rows import plain, row, rows

_NOT_USED = {
    "not_in_pack": "these rules do not ask it here",
    "not_in_such_a_location": "these rules do not ask it in a location of this kind",
    "not_such_a_value": "these rules take no such value",
}


def brief_text(evaluation: Evaluation) -> str:
    """The short form of `text.evaluation_text`, for many evaluations one after another; the cautions stand elsewhere."""
    pack = evaluation.pack
    lines = [row("Rules", f"{pack.standard}, pack {pack.pack_id}, {chosen(pack)}")]
    lines += [*not_covered(evaluation), *not_used(evaluation)]
    for part in evaluation.parts:
        lines += _part(part)
    for room in evaluation.rooms:
        lines += _room(room)
    if feeder := evaluation.feeder:
        lines += [row(plain(feeder.mark).upper(), feeder.line), *_why((feeder.verdict,))]
    return "\n".join(lines) + "\n"


def not_covered(evaluation: Evaluation) -> list[str]:
    """How many things are not judged; where the premises are not, what governs them and whom to ask. Nothing where all is judged."""
    unjudged = evaluation.not_judged
    if not unjudged:
        return []
    verb = "is" if len(unjudged) == 1 else "are"
    lines = [f"NOT COVERED HERE: {len(unjudged)} of the things described {verb} not judged; nothing clears or orders anything of it."]
    for one in unjudged:
        if one.of == "premises":
            lines.append(row("", f"Not covered here: {one.name} [{one.pointer}]: {one.governed_by}. {one.known} {one.ask}"))
            lines += rows("", (f"{question.ask} [{question.pointer}]" for question in one.questions))
    return lines


def not_used(evaluation: Evaluation) -> list[str]:
    """What was told and is not used, and why. Nothing where all is used."""
    lines = [row("", f"{plain(one.fact)} [{one.pointer}]: {_NOT_USED[one.why]}") for one in evaluation.told_not_used]
    return ["TOLD AND NOT USED: what it would have decided is not judged.", *lines] if lines else []


def chosen(pack: PackUsed) -> str:
    """What chose the pack, with the day of the work: `inspected on 2026-11-25`."""
    return f"{'named for work of' if pack.chosen_by == 'rule_pack' else plain(pack.chosen_by)} {pack.chosen_on}"


def _part(part: PartAnswer) -> Iterator[str]:
    yield row(plain(part.mark).upper(), part.line)
    yield from _why(part.verdicts)
    yield from rows("  bond there", (bond.line for bond in part.bonds))
    yield from rows("  reading", (reading.line for reading in part.readings))
    if part.next_reading and part.mark == "measure_first":
        yield row("  next reading", f"{part.next_reading.points} Limit {part.next_reading.limit_ohm / 1000:.4g} kohm.")


def _room(room: RoomAnswer) -> Iterator[str]:
    yield row(plain(room.mark).upper(), room.line)
    yield from _why(room.verdicts)
    if room.omitted_once:
        yield row("  may be omitted", room.omitted_once)


def _why(verdicts: Sequence[Verdict]) -> Iterator[str]:
    """Of the verdicts that matter: the last raised above its first level, or the first if none is."""
    raised = [one for one in verdicts if not one.because[0].rule.endswith("-otherwise")] or verdicts[:1]
    yield row("  verdict", "; ".join(one.words for one in raised))
    yield from rows("  because", _reasons(raised))
    questions: dict[Question, None] = dict.fromkeys(question for one in verdicts for question in one.questions)
    yield from rows("  missing", (f"{one.ask} [{one.pointer}]" if one.pointer else one.ask for one in questions))


def _reasons(verdicts: Sequence[Verdict]) -> Iterator[str]:
    once: dict[str, Reason] = {reason.rule: reason for one in verdicts for reason in one.because}
    return (f"{with_other_view(reason)} [{reason.clause}; {reason.rule}, {reason.pack_id}]" for reason in once.values())


def with_other_view(reason: Reason) -> str:
    """What a reason says, with the reading that others hold where the point is disputed."""
    return f"{reason.says} Another view: {reason.other_view}" if reason.other_view else reason.says
