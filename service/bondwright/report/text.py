"""An evaluation as plain text for a terminal: what to do, then why, then what it rests on and the cautions."""

from collections.abc import Iterable, Iterator, Mapping, Sequence

from bondwright.compose.answer import (
    BondAnswer,
    EarthingAnswer,
    Evaluation,
    FeederAnswer,
    NextReading,
    PartAnswer,
    Question,
    RoomAnswer,
    SizeVerdict,
)
from bondwright.compose.answer import Verdict as Levelled
from bondwright.compose.pack_used import AlsoUsable, PackUsed
from bondwright.compose.sentences import size_words
from bondwright.conclude.reasons import CONFIDENCE, Reason
from bondwright.report.brief import chosen, kohm, marked, not_covered, not_used, with_other_view
from bondwright.report.namesakes import placed, told_apart
from bondwright.report.rows import plain, row, rows, wrapped
from bondwright.rulebook.held import Sentences
from bondwright.rulebook.pack import NOT_JUDGED

_DIGITS = 12


def evaluation_text(evaluation: Evaluation, say: Sentences) -> str:
    """The whole evaluation, at most WIDTH columns wide. Parts that say the same stand together. `say`: the sentences of its pack."""
    names = {part.part: part.name for part in evaluation.parts}
    like: dict[tuple[str, ...], list[PartAnswer]] = {}
    for part in evaluation.parts:
        like.setdefault(tuple(_part_rows(part, names, say)), []).append(part)
    blocks = [
        _heading(evaluation, say),
        _not_covered(evaluation, say),
        _short_list(evaluation, say),
        *([_part_title(some, say), *lines] for lines, some in like.items()),
        *([_room_title(room, say), *_room_rows(room, say)] for room in evaluation.rooms),
        *(_earthing(earthing, say) for earthing in evaluation.earthings),
        _feeder(evaluation, say),
        not_used(evaluation, say),
        _sizes(evaluation, say),
        _recipes(evaluation, say),
        _foundations(evaluation, say),
        [say("heading_cautions"), *(wrapped(caution, "  - ") for caution in evaluation.cautions)],
    ]
    return "\n\n".join("\n".join(block) for block in blocks if block) + "\n"


def _heading(evaluation: Evaluation, say: Sentences) -> list[str]:
    pack = evaluation.pack
    return [
        evaluation.reference or say("page_no_reference"),
        row(say("label_rules"), say("page_rules", title=pack.title, pack=pack.pack_id, digest=pack.digest[:_DIGITS])),
        row(say("label_chosen_by"), in_use(pack, say)),
        *([row(say("label_also_usable"), "; ".join(_also(other, say) for other in pack.also_usable))] if pack.also_usable else []),
    ]


def _also(other: AlsoUsable, say: Sentences) -> str:
    if not other.differing:
        return say("page_also_the_same", standard=other.standard, pack=other.pack_id)
    return say("page_also_differs", standard=other.standard, pack=other.pack_id, differing="; ".join(other.differing))


def in_use(pack: PackUsed, say: Sentences) -> str:
    """What chose the pack, and whether it is in use on that day."""
    day = chosen(pack, say)
    if pack.in_use_on_that_day:
        return say("page_in_use", chosen=day, standard=pack.standard)
    if pack.usable_to:
        return say("page_not_in_use_ended", chosen=day, standard=pack.standard, first=pack.usable_from, last=pack.usable_to)
    return say("page_not_in_use_open", chosen=day, standard=pack.standard, first=pack.usable_from)


def _not_covered(evaluation: Evaluation, say: Sentences) -> list[str]:
    """What is not judged, before anything else is said."""
    told = (row(marked(mark, say), line) for mark, line, judged in _lines(evaluation) if not judged)
    return [*not_covered(evaluation, say), *told]


def _short_list(evaluation: Evaluation, say: Sentences) -> list[str]:
    lines = [(mark, line) for mark, line, judged in _lines(evaluation) if judged]
    if not lines and evaluation.not_judged:
        return []
    if not lines:
        return [wrapped(say("page_nothing_described"))]
    return [say("heading_what_to_do"), *(row(marked(mark, say), line) for mark, line in lines)]


def _lines(evaluation: Evaluation) -> Iterator[tuple[str, str, bool]]:
    """Mark and line of every group, location, earthing and feeding circuit, and whether rules cover it."""
    aside = {part.part for part in evaluation.parts if part.act == NOT_JUDGED}
    places = told_apart(evaluation)
    yield from ((group.mark, placed(group.line, group.parts, places), not aside.issuperset(group.parts)) for group in evaluation.groups)
    others = (*evaluation.rooms, *evaluation.earthings, *((evaluation.feeder,) if evaluation.feeder else ()))
    yield from ((one.mark, one.line, one.act != NOT_JUDGED) for one in others)


def _part_title(like: Sequence[PartAnswer], say: Sentences) -> str:
    named = (say("page_several", name=part.name, count=f"{part.count:g}") if part.count != 1 else part.name for part in like)
    parts = (f"{name} [{part.pointer}]" for name, part in zip(named, like, strict=True))
    return wrapped(f"{marked(like[0].mark, say)}: {'; '.join(parts)}")


def _part_rows(part: PartAnswer, names: Mapping[str, str], say: Sentences) -> Iterator[str]:
    yield from _judged(part, say)
    if reading := part.next_reading:
        yield row(say("label_next_reading"), say("page_next_reading", points=reading.points, limit=kohm(reading.limit_ohm)))
    elif part.mark != "leave":
        yield from rows(say("label_could_ease"), asked_once(one.could_relax for one in part.verdicts))
    for taken in part.readings:
        yield row(say("label_reading"), f"{taken.line} [{taken.pointer}]")
        yield from rows(say("label_because"), _because((taken.verdict,), say))
    if part.test_to_make and part.test_to_make.because and part.mark != "leave":
        yield row(say("label_test_to_make"), part.test_to_make.words)
    if part.covered_by:
        yield row(say("label_served_by"), say("page_connection_on", parts=", ".join(names[one] for one in part.covered_by)))
    for bond in part.bonds:
        yield from _bond_rows(bond, say)
    yield from _reported(part.findings, say)
    yield from _told(part, say)
    yield _weakest(_of_part(part), say)


def _bond_rows(bond: BondAnswer, say: Sentences) -> Iterator[str]:
    expected = bond.expected_continuity_ohm
    line = bond.line if expected is None else say("page_bond_expected", line=bond.line, resistance=f"{expected:g}")
    yield row(say("label_bond_there"), f"{line} [{bond.pointer}]")
    yield from rows(say("label_because"), _because(bond.verdicts, say))
    yield from rows(say("label_missing"), asked_once(one.questions for one in bond.verdicts))


def _room_title(room: RoomAnswer, say: Sentences) -> str:
    return wrapped(f"{marked(room.mark, say)}: {room.name} [{room.pointer}]")


def _room_rows(room: RoomAnswer, say: Sentences) -> Iterator[str]:
    yield from _judged(room, say)
    yield from rows(say("label_could_ease"), asked_once(one.could_relax for one in room.verdicts))
    if room.omitted_once:
        yield row(say("label_may_be_omitted"), room.omitted_once)
    for part in room.parts:
        yield row(say("label_connection"), f"{part.line} [{part.pointer}]")
        yield from rows(say("label_because"), _because((part.verdict,), say))
        yield from rows(say("label_missing"), asked_once((part.verdict.questions,)))
    joined = (say("page_join", joins=link.joins, size=size_words(link.least_size, say)) for link in room.links)
    yield from rows(say("label_join"), joined)
    if room.resistance_limit:
        yield row(say("label_limit"), say("page_limit", size=size_words(room.resistance_limit, say)))
    yield from _sized(_room_sizes(room), say)
    yield from _reported(room.findings, say)
    yield from _told(room, say)
    yield _weakest([*room.verdicts, *(one.verdict for one in room.parts), *_room_sizes(room)], say)


def _reported(findings: Sequence[Levelled], say: Sentences) -> Iterator[str]:
    """What was found and is to be reported, with the reasons that rules gave."""
    if findings:
        yield row(say("label_report"), "; ".join(dict.fromkeys(one.words for one in findings)))
        reasons = dict.fromkeys(cited(reason, say) for one in findings for reason in one.because if _spoken(one, reason))
        yield from rows(say("label_because"), reasons)


def _spoken(one: Levelled, reason: Reason) -> bool:
    """Whether a rule gave the reason; that none spoke, or that there is none, stands elsewhere."""
    return reason.rule != f"{one.outcome}-otherwise" and one.act_on != NOT_JUDGED


def _earthing(earthing: EarthingAnswer, say: Sentences) -> list[str]:
    title = wrapped(f"{marked(earthing.mark, say)}: {earthing.name} [{earthing.pointer}]")
    if not earthing.verdicts:
        return [title, *_told(earthing, say)]
    judged = [*earthing.verdicts, *earthing.findings]
    return [title, *_judged(earthing, say), *_reported(earthing.findings, say), *_told(earthing, say), _weakest(judged, say)]


def _feeder(evaluation: Evaluation, say: Sentences) -> list[str]:
    feeder = evaluation.feeder
    if feeder is None:
        return []
    return [
        wrapped(f"{marked(feeder.mark, say)}: {say('name_feeder')} [{feeder.pointer}]"),
        row(say("label_verdict"), words_of(feeder.verdict, say)),
        *rows(say("label_because_first"), _because((feeder.verdict,), say)),
        *rows(say("label_way_out"), feeder.ways_out),
        *rows(say("label_missing"), asked_once((feeder.verdict.questions,))),
        *_told(feeder, say),
        _weakest((feeder.verdict,), say),
    ]


def _judged(subject: PartAnswer | RoomAnswer | EarthingAnswer, say: Sentences) -> Iterator[str]:
    yield row(say("label_verdict"), "; ".join(dict.fromkeys(words_of(one, say) for one in subject.verdicts)))
    yield from rows(say("label_because_first"), _because(subject.verdicts, say))
    yield from rows(say("label_way_out"), subject.ways_out)
    yield from rows(say("label_missing"), asked_once(one.questions for one in subject.verdicts))


def words_of(one: Levelled, say: Sentences) -> str:
    """The words of a verdict, and whether more may come of it."""
    if one.firm or one.act_on == NOT_JUDGED:
        return one.words
    if one.lowest_possible == one.worst_case:
        return say("page_not_firm", words=one.words)
    return say("page_not_firm_less_possible", words=one.words, level=plain(one.lowest_possible))


def _because(verdicts: Sequence[Levelled], say: Sentences) -> Iterator[str]:
    """Reasons of the first verdict, and of the others those that a rule gave; that no rule spoke goes without saying there."""
    spoken = [reason for one in verdicts[1:] for reason in one.because if _spoken(one, reason)]
    return (cited(reason, say) for reason in dict.fromkeys([*verdicts[0].because, *spoken]))


def cited(reason: Reason, say: Sentences) -> str:
    """A reason with its clause, rule, pack and line."""
    says, line = with_other_view(reason, say), str(reason.line)
    return say("page_cited", says=says, clause=reason.clause, rule=reason.rule, pack=reason.pack_id, line=line)


def asked_once(questions: Iterable[tuple[Question, ...]]) -> Iterator[str]:
    """Each question once, with the place in the description where its answer goes."""
    once = dict.fromkeys(question for some in questions for question in some)
    return (f"{one.ask} [{one.pointer}]" if one.pointer is not None else one.ask for one in once)


def _told(subject: PartAnswer | RoomAnswer | EarthingAnswer | FeederAnswer, say: Sentences) -> Iterator[str]:
    yield from rows(say("label_test"), subject.tests)
    yield row(say("label_customer"), f"“{subject.customer}”")


def _sizes(evaluation: Evaluation, say: Sentences) -> list[str]:
    lines = [say("heading_sizes")]
    for label, size in (("label_main_bond", evaluation.main_bond_size), ("label_earthing", evaluation.earthing_conductor_size)):
        lines += [row(say(label), say("page_size", size=size_words(size, say))), *_sized([size], say)]
    return lines


def _sized(sizes: Sequence[SizeVerdict], say: Sentences) -> Iterator[str]:
    yield from rows(say("label_because"), dict.fromkeys(cited(reason, say) for size in sizes for reason in size.because))
    yield from rows(say("label_missing"), asked_once(size.questions for size in sizes))


def _recipes(evaluation: Evaluation, say: Sentences) -> list[str]:
    """How the readings are made, each way once however many parts ask for it."""
    readings = [part.next_reading for part in evaluation.parts if part.next_reading]
    return [line for recipe in dict.fromkeys(tuple(_recipe(reading, say)) for reading in readings) for line in recipe]


def _recipe(reading: NextReading, say: Sentences) -> Iterator[str]:
    yield say("heading_reading")
    yield from recipe_rows(reading, say)


def recipe_rows(reading: NextReading, say: Sentences) -> Iterator[str]:
    """How a reading is made, and what its results mean."""
    yield row(say("label_with"), reading.range)
    yield row(say("label_prepare"), reading.prepare)
    yield row(say("label_passes"), reading.passes)
    yield row(say("label_between"), reading.between)
    yield row(say("label_fails"), reading.fails)


def _foundations(evaluation: Evaluation, say: Sentences) -> list[str]:
    sizes = [
        evaluation.main_bond_size,
        evaluation.earthing_conductor_size,
        *(one for room in evaluation.rooms for one in _room_sizes(room)),
    ]
    parts = [one for part in evaluation.parts for one in _of_part(part)]
    rooms = [one for room in evaluation.rooms for one in (*room.verdicts, *(part.verdict for part in room.parts), *room.findings)]
    rooms += [one for earthing in evaluation.earthings for one in (*earthing.verdicts, *earthing.findings)]
    rooms += [evaluation.feeder.verdict] if evaluation.feeder else []
    note = [evaluation.pack.note] if evaluation.pack.note else []
    lines = [say("heading_rests_on"), _weakest([*sizes, *parts, *rooms], say)]
    return [*lines, *rows(say("label_pack"), note), *rows(say("label_chosen"), evaluation.choices)]


def _of_part(part: PartAnswer) -> list[Levelled]:
    return [*part.verdicts, *part.findings, *(one for bond in part.bonds for one in bond.verdicts)]


def _weakest(judged: Sequence[Levelled | SizeVerdict], say: Sentences) -> str:
    weakest = max((one.weakest_source for one in judged), key=CONFIDENCE.index)
    return row(say("label_weakest_source"), say(f"confidence_{weakest}"))


def _room_sizes(room: RoomAnswer) -> list[SizeVerdict]:
    return [*(link.least_size for link in room.links), *([room.resistance_limit] if room.resistance_limit else [])]
