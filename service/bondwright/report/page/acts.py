"""What is to be done or was found, and what stays as it is: like things in one entry."""

from collections.abc import Callable, Iterable, Iterator, Sequence
from typing import TypeAlias

from bondwright.compose.answer import EarthingAnswer, FeederAnswer, PartAnswer, RoomAnswer, RoomLink
from bondwright.report.page.naming import Names
from bondwright.report.page.shape import Entry
from bondwright.report.page.supplied import size_here
from bondwright.report.page.told import Subject, clauses, full_names, listed_clauses, raised, with_names
from bondwright.rulebook.pack import COVERED, NOT_JUDGED
from bondwright.rulebook.rule import Polarity

STOP, DO = "stop", "do"
TO_STAY_APART = (STOP, "remove", "do_not_connect")
"""Marks of what nothing is to be joined to: a bond that is on it is not tested as one that serves."""
URGENCY = (*TO_STAY_APART, DO, "measure_first", "settle_first")
"""Marks of what is to be done, the one that bears no delay first."""
KNOW_FIRST = ("measure_first", "settle_first")
LEFT = "leave"
_WORKS = "works"

Told: TypeAlias = tuple[Subject, ...]


def acting(told: Told) -> Told:
    """Those to act on, the most urgent first; in an inspection also what has a code though it stays."""
    found = [one for one in told if one.told.act != NOT_JUDGED and one.told.mark in URGENCY]
    coded = [one for one in told if one.told.mark == LEFT and one.observations]
    return (*sorted(found, key=lambda one: URGENCY.index(one.told.mark)), *coded)


def to_do(told: Told, names: Names) -> tuple[Entry, ...]:
    """An entry for each thing to act on, or to report: its line, its clauses, in an inspection its code."""
    before = _before(told, names)
    return tuple(
        _to_do(some, before, names)
        for some in _alike(acting(told), lambda one: (one.observations or (one.told.mark, one.template), _links(one)))
    )


def _to_do(like: Sequence[Subject], before: str, names: Names) -> Entry:
    first, about = like[0], tuple(one.id for one in like)
    if not first.observations:
        line = with_names(first.template, full_names(like, names)).removesuffix(before)
        return Entry(line, about, clause=clauses(raised(first.verdicts)), then=tuple(_ways(like, names)), joins=_joins(like, names))
    own, *others = first.observations
    say = names.pack.say
    more = [say("site_found_too", under=one.code, words=one.words, clause=listed_clauses([one.clause])) for one in others]
    then = _alike(like, lambda one: one.template)
    return Entry(
        say("site_found", name=", ".join(full_names(like, names)), words=own.words),
        about,
        own.code,
        listed_clauses([own.clause]),
        (*more, *(_then(some, names) for some in then), *_ways(like, names)),
        joins=_joins(like, names),
    )


def _links(subject: Subject) -> tuple[RoomLink, ...]:
    """The connections to make in a location that is to be bonded now; none where something has to be known first."""
    return subject.told.links if isinstance(subject.told, RoomAnswer) and subject.told.mark == DO else ()


def _joins(like: Iterable[Subject], names: Names) -> tuple[str, ...]:
    """What the connections in locations join, those of one least size together."""
    say = names.pack.say
    by_size: dict[str, dict[str, None]] = {}
    for link in (link for one in like for link in _links(one)):
        by_size.setdefault(size_here(link.least_size, say), {})[link.joins] = None
    return tuple(say("page_join", joins="; ".join(joined), size=size) for size, joined in by_size.items())


def _then(like: Sequence[Subject], names: Names) -> str:
    """What comes of what was found: a remedy, what has to be known first, or that it stays."""
    line = with_names(like[0].template, (one.name for one in like))
    if like[0].told.mark == LEFT:
        return line
    return names.pack.say("site_next" if like[0].told.mark in KNOW_FIRST else "site_remedy", line=line)


def _ways(like: Sequence[Subject], names: Names) -> Iterator[str]:
    """What could be done where nothing may be joined and nothing removed."""
    if like[0].told.mark == STOP and like[0].told.ways_out:
        yield names.pack.say("site_alternatives", ways=" ".join(like[0].told.ways_out))


def _before(told: Told, names: Names) -> str:
    """What waits for the work, where every line ends with it: the page then says it once, as it opens."""
    before = names.pack.told(_WORKS, names.installation.work.kind, "before")
    lines = [one.told.line for one in acting(told)]
    return f" {before}" if before and lines and all(line.endswith(f" {before}") for line in lines) else ""


def said_once(told: Told, names: Names) -> str:
    """The words that the page says once as it opens, because every act on it ends with them."""
    return _before(told, names).strip()


def kept(told: Told, names: Names) -> tuple[Entry, ...]:
    """What has a bond or conductor that stays, with its line."""
    staying = [one for one in _left(told) if not _is_covered(one) and not _is_free(one, names)]
    return tuple(_line_of(some) for some in _alike(staying, lambda one: one.template))


def covered(told: Told, names: Names) -> tuple[Entry, ...]:
    """What another part's bond or connection covers."""
    found = [one for one in _left(told) if _is_covered(one)]
    return tuple(_covered(some, names) for some in _alike(found, _servers))


def _covered(like: Sequence[Subject], names: Names) -> Entry:
    first, about = like[0], tuple(one.id for one in like)
    listed = ", ".join(one.name for one in like)
    at = names.listed(map(names.of, _servers(first)))
    say = names.pack.say
    text = say("site_covered", names=listed, at=at) if at else say("site_covered_beside", names=listed)
    return Entry(text, about, clause=clauses(raised(first.verdicts)))


def free(told: Told, names: Names) -> tuple[Entry, ...]:
    """What needs no bond, by the line and the reason."""
    found = [one for one in _left(told) if _is_free(one, names)]
    return tuple(_free(some, names) for some in _alike(found, lambda one: (one.template, *_why(one, names))))


def _free(like: Sequence[Subject], names: Names) -> Entry:
    says, cited = _why(like[0], names)
    line = with_names(like[0].template, (one.name for one in like))
    return Entry(line, tuple(one.id for one in like), clause=cited, why=says)


def _why(subject: Subject, names: Names) -> tuple[str, str]:
    """Why it needs no bond: what freed it, or that nothing brings anything in; with the clauses."""
    pack = names.pack
    asked = [one for one in subject.verdicts if one.outcome == pack.roles.extraneity] or [*subject.verdicts[:1]]
    reasons = [reason for one in asked for reason in one.because]
    freeing = [one for one in reasons if pack.has_rule(one.rule) and pack.rule(one.rule).polarity is Polarity.RELAXES] or reasons[:1]
    return " ".join(dict.fromkeys(one.says for one in freeing)), clauses(freeing)


def _line_of(like: Sequence[Subject]) -> Entry:
    line = with_names(like[0].template, (one.name for one in like))
    return Entry(line, tuple(one.id for one in like), clause=clauses(raised(like[0].verdicts)))


def _left(told: Told) -> Iterable[Subject]:
    return (one for one in told if one.told.mark == LEFT and not one.observations)


def _servers(subject: Subject) -> tuple[str, ...]:
    """The parts whose bonds or connections cover it."""
    return subject.told.covered_by if isinstance(subject.told, PartAnswer) else ()


def _is_covered(subject: Subject) -> bool:
    return subject.told.act == COVERED


def _is_free(subject: Subject, names: Names) -> bool:
    """Whether nothing is called for, whatever is not known, and nothing is there that has to stay."""
    outcomes = names.pack.outcomes
    match subject.told:
        case PartAnswer() as part:
            duty = names.pack.roles.duty
            called = any(one.worst_case != outcomes[duty].levels[0] for one in part.verdicts if one.outcome == duty)
            return not (called or part.bonds or _is_covered(subject))
        case RoomAnswer() as room:
            return room.verdicts[0].worst_case != outcomes[room.verdicts[0].outcome].levels[-1]
        case EarthingAnswer() | FeederAnswer():
            return False


def _alike(told: Iterable[Subject], key: Callable[[Subject], object]) -> list[list[Subject]]:
    groups: dict[object, list[Subject]] = {}
    for one in told:
        groups.setdefault(key(one), []).append(one)
    return [*groups.values()]
