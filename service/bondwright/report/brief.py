"""An evaluation in a few lines: per part what to do, the verdict, the reason with its clause, what is missing."""

from collections.abc import Iterator, Mapping, Sequence

from bondwright.compose.answer import Evaluation, PartAnswer, Question, RoomAnswer, Verdict
from bondwright.compose.pack_used import PackUsed
from bondwright.conclude.reasons import Reason
from bondwright.report.namesakes import placed, told_apart
from bondwright.report.rows import plain, row, rows
from bondwright.rulebook.held import Sentences


def brief_text(evaluation: Evaluation, say: Sentences) -> str:
    """The short form of `text.evaluation_text`, for many evaluations one after another; the cautions stand elsewhere."""
    pack = evaluation.pack
    rules = say("page_rules_short", standard=pack.standard, pack=pack.pack_id, chosen=chosen(pack, say))
    lines = [row(say("label_rules"), rules), *not_covered(evaluation, say), *not_used(evaluation, say)]
    places = told_apart(evaluation)
    for part in evaluation.parts:
        lines += _part(part, places, say)
    for room in evaluation.rooms:
        lines += _room(room, say)
    for earthing in evaluation.earthings:
        lines.append(row(marked(earthing.mark, say), earthing.line))
        lines += _why(earthing.verdicts, say) if earthing.verdicts else ()
    if feeder := evaluation.feeder:
        lines += [row(marked(feeder.mark, say), feeder.line), *_why((feeder.verdict,), say)]
    return "\n".join(lines) + "\n"


def not_covered(evaluation: Evaluation, say: Sentences) -> list[str]:
    """How many things are not judged; where the premises are not, what governs them and whom to ask. Nothing where all is judged."""
    unjudged = evaluation.not_judged
    if not unjudged:
        return []
    lines = [say("page_one_not_covered" if len(unjudged) == 1 else "page_several_not_covered", count=str(len(unjudged)))]
    for one in unjudged:
        if one.of == "premises":
            told = {"governed_by": one.governed_by, "known": one.known, "ask": one.ask}
            lines.append(row("", say("page_premises_not_covered", name=one.name, pointer=one.pointer, **told)))
            lines += rows("", (f"{question.ask} [{question.pointer}]" for question in one.questions))
    return lines


def not_used(evaluation: Evaluation, say: Sentences) -> list[str]:
    """What was told and is not used, and why. Nothing where all is used."""
    told = evaluation.told_not_used
    lines = [row("", say(f"page_not_used_{one.why}", fact=plain(one.fact), pointer=one.pointer)) for one in told]
    return [say("heading_not_used"), *lines] if lines else []


def chosen(pack: PackUsed, say: Sentences) -> str:
    """What chose the pack, with the day of the work: `inspected on 2026-11-25`."""
    return say(f"page_chosen_{pack.chosen_by}", day=pack.chosen_on)


def marked(mark: str, say: Sentences) -> str:
    """A mark as it stands at the left of the page."""
    return say(f"mark_{mark}")


def _part(part: PartAnswer, places: Mapping[str, str], say: Sentences) -> Iterator[str]:
    yield row(marked(part.mark, say), placed(part.line, (part.part,), places))
    yield from _why(part.verdicts, say)
    yield from rows(_inner("bond_there", say), (bond.line for bond in part.bonds))
    yield from rows(_inner("reading", say), (reading.line for reading in part.readings))
    if part.next_reading and part.mark == "measure_first":
        limit = kohm(part.next_reading.limit_ohm)
        yield row(_inner("next_reading", say), say("page_next_reading_short", points=part.next_reading.points, limit=limit))


def kohm(ohm: float) -> str:
    """A resistance in kohm, as people write it."""
    return f"{ohm / 1000:.4g}"


def _room(room: RoomAnswer, say: Sentences) -> Iterator[str]:
    yield row(marked(room.mark, say), room.line)
    yield from _why(room.verdicts, say)
    if room.omitted_once:
        yield row(_inner("may_be_omitted", say), room.omitted_once)


def _why(verdicts: Sequence[Verdict], say: Sentences) -> Iterator[str]:
    """Of the verdicts that matter: the last raised above its first level, or the first if none is."""
    raised = [one for one in verdicts if not one.because[0].rule.endswith("-otherwise")] or verdicts[:1]
    yield row(_inner("verdict", say), "; ".join(one.words for one in raised))
    yield from rows(_inner("because", say), _reasons(raised, say))
    questions: dict[Question, None] = dict.fromkeys(question for one in verdicts for question in one.questions)
    yield from rows(_inner("missing", say), (f"{one.ask} [{one.pointer}]" if one.pointer else one.ask for one in questions))


def _inner(label: str, say: Sentences) -> str:
    return f"  {say(f'short_{label}')}"


def _reasons(verdicts: Sequence[Verdict], say: Sentences) -> Iterator[str]:
    once: dict[str, Reason] = {reason.rule: reason for one in verdicts for reason in one.because}
    return (f"{with_other_view(reason, say)} [{reason.clause}; {reason.rule}, {reason.pack_id}]" for reason in once.values())


def with_other_view(reason: Reason, say: Sentences) -> str:
    """What a reason says, with the reading that others hold where the point is disputed."""
    return say("page_other_view", says=reason.says, view=reason.other_view) if reason.other_view else reason.says
