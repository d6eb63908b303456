"""What comes first: keep off, what no rule covers, what was told and not used; and what the page rests on, which comes last."""

from collections.abc import Iterator, Sequence
from itertools import islice

from bondwright.compose.answer import Evaluation, NotJudged, SizeVerdict, Verdict
from bondwright.conclude.reasons import CONFIDENCE
from bondwright.report.brief import chosen
from bondwright.report.page.naming import Names
from bondwright.report.page.shape import Entry
from bondwright.report.page.told import Subject, with_names
from bondwright.report.rows import plain
from bondwright.report.text import in_use
from bondwright.rulebook.facts import UNKNOWN
from bondwright.rulebook.pack import NOT_JUDGED

_INSPECTED, _NEW, _WORKS = "inspected", "new", "works"
_YES = "yes"


def keep_off(evaluation: Evaluation, names: Names) -> tuple[str, ...]:
    """Why to keep off, each reason once with what it was found on; nothing where nothing described calls for it."""
    found: dict[str, list[str]] = {}
    for one in evaluation.keep_off:
        on = [part for part in evaluation.parts if any(bond.pointer in one.bonds for bond in part.bonds)]
        found[one.why] = [names.short(part) for part in on]
    return tuple(names.pack.say("site_keep_off", why=why, names=names.listed(some)) for why, some in found.items())


def title(evaluation: Evaluation, names: Names) -> str:
    """Whose installation, the day, the edition."""
    pack = evaluation.pack
    who = evaluation.reference or names.pack.say("page_no_reference")
    return names.pack.say("site_title", who=who, standard=pack.standard, chosen=chosen(pack, names.pack.say))


def opening(names: Names, before: str) -> str:
    """What the page is for, by the kind of work; `before`: what waits for all of it."""
    row = names.pack.row(_WORKS, names.installation.work.kind)
    kind = "inspected" if row.get(_INSPECTED) == _YES else "new" if row.get(_NEW) == _YES else "relying"
    return " ".join(part for part in (names.pack.say(f"site_opens_{kind}"), before) if part)


def not_in_use(evaluation: Evaluation, names: Names) -> tuple[Entry, ...]:
    """That the edition was not in use on the day, where it was not."""
    return () if evaluation.pack.in_use_on_that_day else (Entry(in_use(evaluation.pack, names.pack.say)),)


def not_covered(told: Sequence[Subject], evaluation: Evaluation, names: Names) -> tuple[Entry, ...]:
    """What no rule covers, by what governs it, with what is known and whom to ask; then parts that show where none does."""
    by_words: dict[tuple[str, str, str], dict[str, str]] = {}
    for thing in evaluation.not_judged:
        named = _named(thing, told)
        by_words.setdefault((thing.governed_by, thing.known, thing.ask), {}).update(named)
    say = names.pack.say
    entries = [
        Entry(say("site_not_covered", names=", ".join(dict.fromkeys(some.values())), governed=governed, known=known, ask=ask), tuple(some))
        for (governed, known, ask), some in by_words.items()
    ]
    aside = {one for entry in entries for one in entry.about}
    shown_there: dict[str, list[Subject]] = {}
    for one in told:
        if one.told.mark == NOT_JUDGED and one.id not in aside:
            shown_there.setdefault(one.template, []).append(one)
    lines = (Entry(with_names(line, (one.name for one in some)), tuple(one.id for one in some)) for line, some in shown_there.items())
    return (*entries, *lines)


def _named(thing: NotJudged, told: Sequence[Subject]) -> dict[str, str]:
    """The parts and locations that are meant, by id; the thing itself where there is no such."""
    found = {one.id: one.name for one in told if one.told.pointer == thing.pointer and one.told.act == NOT_JUDGED}
    return found or {thing.pointer: thing.name}


def not_used(evaluation: Evaluation, names: Names) -> tuple[Entry, ...]:
    """What was told and decides nothing here, in one entry."""
    facts = dict.fromkeys(plain(one.fact) for one in evaluation.told_not_used)
    return (Entry(names.pack.say("site_not_used", facts=", ".join(facts))),) if facts else ()


def basis(told: Sequence[Subject], evaluation: Evaluation, names: Names) -> tuple[Entry, ...]:
    """The edition and why it, what was chosen for the reader, and what was not checked."""
    say, pack = names.pack.say, evaluation.pack
    weakest = max((one.weakest_source for one in _judged(told, evaluation)), key=CONFIDENCE.index)
    same = "; ".join(other.standard for other in pack.also_usable if not other.differing)
    lines = [say("site_also_same", standards=same)] if same else []
    others = (other for other in pack.also_usable if other.differing)
    lines += [say("site_also", standard=other.standard, count=str(len(other.differing))) for other in others]
    lines += [*_chosen(evaluation, names), say("site_weakest", source=say(f"confidence_{weakest}")), pack.note]
    return tuple(Entry(line) for line in lines if line)


def _chosen(evaluation: Evaluation, names: Names) -> Iterator[str]:
    """What was chosen for the reader; the limit of readings only where one was taken, and premises that nobody named in a few words."""
    untold = names.pack.kind("premises", UNKNOWN).word("known", "")
    limit, *others = evaluation.choices
    if any(part.readings for part in evaluation.parts) and not any(part.next_reading for part in evaluation.parts):
        yield limit
    yield from (names.pack.say("site_premises_not_told") if one == untold else one for one in others)


def _judged(told: Sequence[Subject], evaluation: Evaluation) -> Iterator[Verdict | SizeVerdict]:
    yield from (evaluation.main_bond_size, evaluation.earthing_conductor_size)
    for subject in told:
        yield from subject.all_verdicts
        yield from subject.sizes


def customer(told: Sequence[Subject], names: Names) -> tuple[Entry, ...]:
    """A sentence for the customer: of what is most urgent, with what it is about."""
    once: dict[str, dict[str, str]] = {}
    for one in told:
        once.setdefault(one.told.customer, {})[one.id] = one.name
    say = names.pack.say
    said = (Entry(say("site_customer", names=names.listed(some.values()), sentence=text), tuple(some)) for text, some in once.items())
    return tuple(islice(said, 1))


def nothing_described(evaluation: Evaluation) -> bool:
    """Whether there is nothing that could be decided."""
    return not any((evaluation.parts, evaluation.rooms, evaluation.earthings, evaluation.feeder, evaluation.not_judged))
