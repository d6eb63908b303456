"""An evaluation as plain text for a terminal: what to do, then why, then what it rests on and the cautions."""

from collections.abc import Iterable, Iterator, Mapping, Sequence

from bondwright.compose.answer import (
    BondAnswer,
    Evaluation,
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
from bondwright.report.brief import chosen, not_covered, not_used, with_other_view
from bondwright.report.rows import plain, row, rows, wrapped
from bondwright.rulebook.pack import NOT_JUDGED

_DIGITS = 12


def evaluation_text(evaluation: Evaluation) -> str:
    """The whole evaluation, at most WIDTH columns wide. Parts that say the same stand together."""
    names = {part.part: part.name for part in evaluation.parts}
    like: dict[tuple[str, ...], list[PartAnswer]] = {}
    for part in evaluation.parts:
        like.setdefault(tuple(_part_rows(part, names)), []).append(part)
    blocks = [
        _heading(evaluation),
        _not_covered(evaluation),
        _short_list(evaluation),
        *([_part_title(some), *lines] for lines, some in like.items()),
        *([_room_title(room), *_room_rows(room)] for room in evaluation.rooms),
        _feeder(evaluation),
        not_used(evaluation),
        _sizes(evaluation),
        _recipes(evaluation),
        _foundations(evaluation),
        ["CAUTIONS", *(wrapped(caution, "  - ") for caution in evaluation.cautions)],
    ]
    return "\n\n".join("\n".join(block) for block in blocks if block) + "\n"


def _heading(evaluation: Evaluation) -> list[str]:
    pack = evaluation.pack
    return [
        evaluation.reference or "Installation without a reference",
        row("Rules", f"{pack.title}; pack {pack.pack_id}, digest {pack.digest[:_DIGITS]}…"),
        row("Chosen by", _in_use(pack)),
        *([row("Also usable", "; ".join(_also(other) for other in pack.also_usable))] if pack.also_usable else []),
    ]


def _also(other: AlsoUsable) -> str:
    if not other.differing:
        return f"{other.standard} (pack {other.pack_id}), which says the same"
    return f"{other.standard} (pack {other.pack_id}), which differs on {'; '.join(other.differing)}"


def _in_use(pack: PackUsed) -> str:
    day = chosen(pack)
    if pack.in_use_on_that_day:
        return f"{day}, when {pack.standard} is in use"
    return f"{day}: NOT IN USE on that day; {pack.standard} is usable from {pack.usable_from} to {pack.usable_to or 'now'}"


def _not_covered(evaluation: Evaluation) -> list[str]:
    """What is not judged, before anything else is said."""
    return [*not_covered(evaluation), *(row(plain(mark).upper(), line) for mark, line, judged in _lines(evaluation) if not judged)]


def _short_list(evaluation: Evaluation) -> list[str]:
    lines = [(mark, line) for mark, line, judged in _lines(evaluation) if judged]
    if not lines and evaluation.not_judged:
        return []
    if not lines:
        return [wrapped("No metalwork and no room was described, so there is nothing to decide.")]
    return ["WHAT TO DO", *(row(plain(mark).upper(), line) for mark, line in lines)]


def _lines(evaluation: Evaluation) -> Iterator[tuple[str, str, bool]]:
    """Mark and line of every group, location and feeding circuit, and whether rules cover it."""
    aside = {part.part for part in evaluation.parts if part.act == NOT_JUDGED}
    yield from ((group.mark, group.line, not aside.issuperset(group.parts)) for group in evaluation.groups)
    others = (*evaluation.rooms, *((evaluation.feeder,) if evaluation.feeder else ()))
    yield from ((one.mark, one.line, one.act != NOT_JUDGED) for one in others)


def _part_title(like: Sequence[PartAnswer]) -> str:
    parts = (f"{part.name}{f', {part.count:g} of them' if part.count != 1 else ''} [{part.pointer}]" for part in like)
    return wrapped(f"{plain(like[0].mark).upper()}: {'; '.join(parts)}")


def _part_rows(part: PartAnswer, names: Mapping[str, str]) -> Iterator[str]:
    yield from _judged(part)
    if reading := part.next_reading:
        yield row("Next reading", f"{reading.points} Limit {reading.limit_ohm / 1000:.4g} kohm; made as described below.")
    elif part.mark != "leave":
        yield from rows("Could ease", _asked(one.could_relax for one in part.verdicts))
    for taken in part.readings:
        yield row("Reading", f"{taken.line} [{taken.pointer}]")
        yield from rows("because", _because((taken.verdict,)))
    if part.test_to_make and part.test_to_make.because and part.mark != "leave":
        yield row("Test to make", part.test_to_make.words)
    if part.covered_by:
        yield row("Served by", f"the connection on {', '.join(names[one] for one in part.covered_by)}")
    for bond in part.bonds:
        yield from _bond_rows(bond)
    yield from _reported(part.findings)
    yield from _told(part)
    yield _weakest(_of_part(part))


def _bond_rows(bond: BondAnswer) -> Iterator[str]:
    expected = f" It should read {bond.expected_continuity_ohm:g} ohm." if bond.expected_continuity_ohm is not None else ""
    yield row("Bond there", f"{bond.line}{expected} [{bond.pointer}]")
    yield from rows("because", _because(bond.verdicts))
    yield from rows("Missing", _asked(one.questions for one in bond.verdicts))


def _room_title(room: RoomAnswer) -> str:
    return wrapped(f"{plain(room.mark).upper()}: {room.name} [{room.pointer}]")


def _room_rows(room: RoomAnswer) -> Iterator[str]:
    yield from _judged(room)
    yield from rows("Could ease", _asked(one.could_relax for one in room.verdicts))
    if room.omitted_once:
        yield row("May be omitted", room.omitted_once)
    for part in room.parts:
        yield row("Connection", f"{part.line} [{part.pointer}]")
        yield from rows("because", _because((part.verdict,)))
        yield from rows("Missing", _asked((part.verdict.questions,)))
    yield from rows("Join", (f"{link.joins}: at least {size_words(link.least_size)}" for link in room.links))
    if room.resistance_limit:
        yield row("Limit", f"resistance between parts no more than {size_words(room.resistance_limit)}")
    yield from _sized(_room_sizes(room))
    yield from _reported(room.findings)
    yield from _told(room)
    yield _weakest([*room.verdicts, *(one.verdict for one in room.parts), *_room_sizes(room)])


def _reported(findings: Sequence[Levelled]) -> Iterator[str]:
    """What was found and is to be reported, with the reasons that rules gave."""
    if findings:
        yield row("Report", "; ".join(dict.fromkeys(one.words for one in findings)))
        yield from rows("because", dict.fromkeys(_cited(reason) for one in findings for reason in one.because if _spoken(one, reason)))


def _spoken(one: Levelled, reason: Reason) -> bool:
    """Whether a rule gave the reason; that none spoke, or that there is none, stands elsewhere."""
    return reason.rule != f"{one.outcome}-otherwise" and one.act_on != NOT_JUDGED


def _feeder(evaluation: Evaluation) -> list[str]:
    feeder = evaluation.feeder
    if feeder is None:
        return []
    return [
        wrapped(f"{plain(feeder.mark).upper()}: the feeding circuit [{feeder.pointer}]"),
        row("Verdict", _words(feeder.verdict)),
        *rows("Because", _because((feeder.verdict,))),
        *rows("Way out", feeder.ways_out),
        *rows("Missing", _asked((feeder.verdict.questions,))),
        *rows("Test", feeder.tests),
        row("Customer", f"“{feeder.customer}”"),
        _weakest((feeder.verdict,)),
    ]


def _judged(subject: PartAnswer | RoomAnswer) -> Iterator[str]:
    """The verdicts in words, each reason once, each question once: duty and its cause wait for the same answers."""
    yield row("Verdict", "; ".join(dict.fromkeys(_words(one) for one in subject.verdicts)))
    yield from rows("Because", _because(subject.verdicts))
    yield from rows("Way out", subject.ways_out)
    yield from rows("Missing", _asked(one.questions for one in subject.verdicts))


def _words(one: Levelled) -> str:
    if one.firm or one.act_on == NOT_JUDGED:
        return one.words
    return f"{one.words} (not firm{f'; {plain(one.lowest_possible)} is possible' if one.lowest_possible != one.worst_case else ''})"


def _because(verdicts: Sequence[Levelled]) -> Iterator[str]:
    """Reasons of the first verdict, and of the others those that a rule gave; that no rule spoke goes without saying there."""
    spoken = [reason for one in verdicts[1:] for reason in one.because if _spoken(one, reason)]
    return (_cited(reason) for reason in dict.fromkeys([*verdicts[0].because, *spoken]))


def _cited(reason: Reason) -> str:
    return f"{with_other_view(reason)} [{reason.clause}; rule {reason.rule}, {reason.pack_id}, line {reason.line}]"


def _asked(questions: Iterable[tuple[Question, ...]]) -> Iterator[str]:
    """Each question once, with the place in the description where its answer goes."""
    once = dict.fromkeys(question for some in questions for question in some)
    return (f"{one.ask} [{one.pointer}]" if one.pointer is not None else one.ask for one in once)


def _told(subject: PartAnswer | RoomAnswer) -> Iterator[str]:
    yield from rows("Test", subject.tests)
    yield row("Customer", f"“{subject.customer}”")


def _sizes(evaluation: Evaluation) -> list[str]:
    lines = ["SIZES"]
    for label, size in (("Main bond", evaluation.main_bond_size), ("Earthing", evaluation.earthing_conductor_size)):
        lines += [row(label, f"copper, {size_words(size)}"), *_sized([size])]
    return lines


def _sized(sizes: Sequence[SizeVerdict]) -> Iterator[str]:
    yield from rows("because", dict.fromkeys(_cited(reason) for size in sizes for reason in size.because))
    yield from rows("Missing", _asked(size.questions for size in sizes))


def _recipes(evaluation: Evaluation) -> list[str]:
    """How the readings are made, each way once however many parts ask for it."""
    readings = [part.next_reading for part in evaluation.parts if part.next_reading]
    return [line for recipe in dict.fromkeys(tuple(_recipe(reading)) for reading in readings) for line in recipe]


def _recipe(reading: NextReading) -> Iterator[str]:
    yield "HOW TO MAKE THE READING"
    yield row("With", reading.range)
    yield row("Prepare", reading.prepare)
    yield row("Passes", reading.passes)
    yield row("Between", reading.between)
    yield row("Fails", reading.fails)


def _foundations(evaluation: Evaluation) -> list[str]:
    sizes = [
        evaluation.main_bond_size,
        evaluation.earthing_conductor_size,
        *(one for room in evaluation.rooms for one in _room_sizes(room)),
    ]
    parts = [one for part in evaluation.parts for one in _of_part(part)]
    rooms = [one for room in evaluation.rooms for one in (*room.verdicts, *(part.verdict for part in room.parts), *room.findings)]
    rooms += [evaluation.feeder.verdict] if evaluation.feeder else []
    lines = ["WHAT THIS RESTS ON", _weakest([*sizes, *parts, *rooms])]
    return [*lines, *rows("Pack", [evaluation.pack.note] if evaluation.pack.note else []), *rows("Chosen", evaluation.choices)]


def _of_part(part: PartAnswer) -> list[Levelled]:
    return [*part.verdicts, *part.findings, *(one for bond in part.bonds for one in bond.verdicts)]


def _weakest(judged: Sequence[Levelled | SizeVerdict]) -> str:
    return row("Weakest source", plain(max((one.weakest_source for one in judged), key=CONFIDENCE.index)))


def _room_sizes(room: RoomAnswer) -> list[SizeVerdict]:
    return [*(link.least_size for link in room.links), *([room.resistance_limit] if room.resistance_limit else [])]
