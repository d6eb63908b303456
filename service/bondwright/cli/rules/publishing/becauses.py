"""What must have a reason before a pack is published, and whether the rule files give it: no more and no less."""

from collections.abc import Iterator, Sequence

from msgspec import Struct

from bondwright.cases.kept import Changed
from bondwright.cli.rules.publishing.checking import FILL_IN
from bondwright.cli.rules.publishing.meaning import Meaning
from bondwright.rulebook.because import About, Because

_STATED = "stated"


class Need(Struct, frozen=True):
    """Something that needs a reason: `words` tell what it is. `changed`: for a case, pointers to what was changed or removed.

    `seen`: the reason must say on which day the source was seen, and the source must state it.
    """

    about: About
    name: str
    words: str
    changed: tuple[str, ...] = ()
    seen: bool = False

    def entry(self, since: str) -> list[str]:
        """The reason as it may be written, its words left to the writer."""
        changed = [f"    changed: [{', '.join(_quoted(pointer) for pointer in self.changed)}]"] if self.changed else []
        return [
            f"  - since: {since}",
            f"    {self.about}: {_quoted(self.name)}",
            *changed,
            f'    because: "{FILL_IN}: one plain sentence"',
            f'    clause: "{FILL_IN}"',
            f"    source: {{from: {FILL_IN}, kind: stated, confidence: secondary}}",
            *([f"    seen_on: {FILL_IN}"] if self.seen else []),
        ]


def needs(meaning: Meaning, changed: Sequence[Changed]) -> list[Need]:
    """Everything that needs a reason: outcomes that become more lenient, changes that nobody can judge, cases that were changed."""
    found = [Need("outcome", name, words) for name, words in meaning.lenient.items()]
    found += [Need("change", name, f"{name} changed, and which way it goes cannot be worked out") for name in meaning.unjudged]
    return [*found, *needs_of_cases(changed)]


def needs_of_cases(changed: Sequence[Changed]) -> list[Need]:
    """The same of changed cases alone, one for each case."""
    by_case: dict[str, list[Changed]] = {}
    for one in changed:
        by_case.setdefault(one.case, []).append(one)
    return [
        Need("case", name, f"worked case {name}: {'; '.join(map(_told, some))}", tuple(one.pointer for one in some))
        for name, some in by_case.items()
    ]


def unanswered(wanted: Sequence[Need], given: Sequence[Because], since: str) -> list[Need]:
    """What has no reason given that is about this step; a case only where all that was changed is named."""
    return [need for need in wanted if not any(_answers(because, need, since) for because in given)]


def misplaced(wanted: Sequence[Need], given: Sequence[Because], since: str) -> Iterator[tuple[Because, str]]:
    """Each reason that is not filled in, or for which nothing stands, with what is wrong: left there, it would excuse what comes later."""
    for because in given:
        if FILL_IN in because.says + because.clause:
            yield because, f"the reason or its clause still says {FILL_IN}"
        elif because.since != since:
            yield because, f"this is about a step from `{because.since}`, and the pack follows `{since or 'none'}`; take it out"
        elif not any(_answers(because, need, since) for need in wanted):
            same = next((need for need in wanted if (need.about, need.name) == (because.about, because.name)), None)
            if same and same.seen:
                yield because, f"{same.words}: write `seen_on` with the day on which the source was seen, and a source that states it"
                continue
            changed = f"; what was changed is {', '.join(same.changed)}" if same else "; take it out"
            yield because, f"nothing about {because.about} `{because.name}` needs this reason{changed}"


def _answers(because: Because, need: Need, since: str) -> bool:
    is_about_it = (because.since, because.about, because.name) == (since, need.about, need.name)
    is_seen = because.seen_on is not None and because.kind == _STATED
    return is_about_it and sorted(because.changed) == sorted(need.changed) and (is_seen or not need.seen)


def _told(one: Changed) -> str:
    return f"{one.pointer} was {one.was} and is {one.now or 'gone'}"


def _quoted(text: str) -> str:
    return f'"{text}"'
