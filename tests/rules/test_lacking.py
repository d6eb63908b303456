"""What the service reads from a pack by name: a pack that lacks any of it is refused by name and place; none ends in a traceback."""

from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from functools import cache, lru_cache
from typing import Any, TypeAlias

import pytest
from tests.core.cases import cases, published_pack
from tests.described import described
from tests.rules.revisions import all_published, draft_read

from bondwright.compose.answer import Evaluation
from bondwright.errors import Contradiction, UnreadableRules
from bondwright.evaluate.order import evaluate
from bondwright.installation.description import Installation
from bondwright.members import replace
from bondwright.report.text import evaluation_text
from bondwright.rulebook.facts import Facts, FactValue
from bondwright.rulebook.kinds import TABLES, Kind, KindOf
from bondwright.rulebook.meaning import Acts, acts
from bondwright.rulebook.memory import Kept
from bondwright.rulebook.pack import RulePack
from bondwright.shelf.declared.needed import lacking
from bondwright.shelf.packs import draft_pack, rules_folder

EDITION = "bs7671/2018-a4"
TEXT = draft_pack(rules_folder(), EDITION).text.decode()
STEEL_FRAME = {
    "work": {"kind": "inspection", "inspected_on": "2026-11-28"},
    "items": [{"kind": "structural_steel", "material": "steel", "touches": "soil"}],
}


def line_with(start: str) -> tuple[int, str]:
    return next((number, line) for number, line in enumerate(TEXT.splitlines(), start=1) if line.startswith(start))


@pytest.mark.parametrize(
    ("start", "said"),
    [
        ("    emerges: {words", "table `places` lacks the row `emerges`"),
        ("  hidden_in:", "`asks` lacks the question `hidden_in`"),
        ("    drain_water:", "`drain_water` is no row of `fluids`"),
    ],
)  # fmt: skip
def test_a_pack_without_a_thing_that_is_read_by_name_is_refused_with_its_place(start: str, said: str) -> None:
    _, line = line_with(start)
    shorter = TEXT.replace(line + "\n", "")

    with pytest.raises(UnreadableRules) as refused:
        draft_read(shorter, "shorter.yaml")

    assert said in refused.value.detail
    assert (refused.value.file, refused.value.line > 1) == ("shorter.yaml", True)


def test_a_house_with_a_steel_frame_is_judged_by_the_whole_pack() -> None:
    evaluation = evaluate(described(STEEL_FRAME), published_pack(), _read_plainly(published_pack()))

    assert evaluation.parts[0].kind == "structural_steel"


def test_every_pack_on_the_shelf_and_every_draft_has_what_is_read_by_name() -> None:
    packs = [*all_published(), *(draft_pack(rules_folder(), one) for one in (EDITION, "bs7671/2018", "iec60364/2017"))]

    assert len(packs) > 12
    assert {pack.pack_id: list(lacking(pack)) for pack in packs if list(lacking(pack))} == {}


# --- nothing that can be taken out of a pack ends in a traceback ---


EVERY = "*"
Asked: TypeAlias = frozenset[tuple[str, str]]
"""What is looked up in a pack: where, and under which name; EVERY where all that is there is gone through."""


class Watched(Mapping[str, Any]):
    """A mapping that notes what is looked up in it."""

    def __init__(self, where: str, held: Mapping[str, Any], asked: set[tuple[str, str]]) -> None:
        self._where, self._held, self._asked = where, held, asked

    def __getitem__(self, name: str) -> Any:
        """What is held under the name."""
        self._asked.add((self._where, name))
        return self._held[name]

    def __iter__(self) -> Iterator[str]:
        """Every name."""
        self._asked.add((self._where, EVERY))
        return iter(self._held)

    def __len__(self) -> int:
        """How many there are."""
        self._asked.add((self._where, EVERY))
        return len(self._held)


def watched(pack: RulePack, asked: set[tuple[str, str]]) -> RulePack:
    """The pack, of which `asked` comes to hold what is looked up in whatever `without_one_thing` takes from."""
    tables = {
        table: Watched(f"rows {table}", {row: Watched(f"cells {table}", cells, asked) for row, cells in rows.items()}, asked)
        for table, rows in pack.properties.items()
    }
    rows = {
        of: Watched(
            f"rows {table}",
            {name: replace(kind, row=Watched(f"cells {table}", kind.row, asked)) for name, kind in pack.kinds.rows[of].items()},
            asked,
        )
        for of, table in TABLES.items()
    }
    sections: dict[str, Any] = {name: Watched(name, getattr(pack, name), asked) for name in SECTIONS}
    return replace(pack, properties=Watched("properties", tables, asked), kinds=replace(pack.kinds, rows=rows), **sections)


SECTIONS = ("values", "asks", "advice", "readings", "references", "facts", "outcomes")


def without_one_thing(pack: RulePack) -> Iterator[tuple[str, RulePack, Asked]]:
    """The pack with one thing less, for each that is looked up by a name: a row or cell of a table, a value, question, act, outcome …

    With each: what would have to be looked up for the lack to be noticed.
    """
    for table, rows in pack.properties.items():
        shorter = _with_properties(pack, {name: some for name, some in pack.properties.items() if name != table})
        own = {(f"rows {table}", row) for row in (*rows, EVERY)}
        yield f"table {table}", shorter, frozenset({("properties", table), ("properties", EVERY)} | own)
        for row in rows:
            fewer = {name: some for name, some in rows.items() if name != row}
            shorter = _with_properties(pack, {**pack.properties, table: fewer})
            yield f"row {table}/{row}", shorter, frozenset({(f"rows {table}", row), (f"rows {table}", EVERY)})
        for column in dict.fromkeys(column for cells in rows.values() for column in cells):
            bare = {row: {name: cell for name, cell in cells.items() if name != column} for row, cells in rows.items()}
            shorter = _with_properties(pack, {**pack.properties, table: bare})
            yield f"column {table}/{column}", shorter, frozenset({(f"cells {table}", column), (f"cells {table}", EVERY)})
    acts = [advice.if_shared for advice in pack.advice.values()]
    worked = [fact.worked_from for fact in pack.facts.values()]
    places = (*pack.places.kinds.values(), *pack.places.rows, *pack.places.facts.values())
    named = [repr(one) for one in (*pack.rules, *pack.joined, *pack.tables.values(), *worked, *acts, *places)]
    for section in SECTIONS:
        whole: Mapping[str, Any] = getattr(pack, section)
        for name in whole:
            fewer = {other: some for other, some in whole.items() if other != name}
            changed: Any = {section: fewer}
            if not any(f"'{name}'" in text for text in named):  # else the shelf refuses what names it
                yield f"{section}/{name}", replace(pack, **changed), frozenset({(section, name), (section, EVERY)})


def _with_properties(pack: RulePack, properties: Mapping[str, Mapping[str, Mapping[str, str]]]) -> RulePack:
    """The pack with other tables, its kinds read from them as a published file's are."""
    rows: Mapping[KindOf, Mapping[str, Kind]] = {
        of: {
            name: replace(kind, row=properties[table][name])
            for name, kind in pack.kinds.rows[of].items()
            if table in properties and name in properties[table]
        }
        for of, table in TABLES.items()
    }
    return replace(pack, properties=properties, kinds=replace(pack.kinds, rows=rows))


def _read_plainly(pack: RulePack) -> Any:
    """Reads the rules, which no such pack has fewer of; what they say of one row is read once for all packs."""
    assert pack.rules is published_pack().rules

    def reader(stage: str, of: str, rows: Sequence[tuple[Facts, Facts]]) -> list[Acts]:
        return [_acts(stage, of, tuple(known.items()), tuple(certain.items())) for known, certain in rows]

    return reader


@lru_cache(maxsize=50_000)
def _acts(stage: str, of: str, known: tuple[tuple[str, FactValue], ...], certain: tuple[tuple[str, FactValue], ...]) -> Acts:
    pack = published_pack()
    return acts(pack.rules_of(stage, of), dict(known), dict(certain), pack.evidence_of(of))


@cache
def _descriptions() -> tuple[Installation, ...]:
    """Every seventh worked case: between them they have every sort of thing."""
    return tuple(described(case.claim.installation) for case in cases()[::7])


def _judged(number: int, pack: RulePack, memory: Kept | None = None) -> Evaluation | None:
    """The evaluation of one of the descriptions; none where it contradicts itself."""
    try:
        return evaluate(_descriptions()[number], pack, _read_plainly(pack), memory)
    except Contradiction:
        return None


@cache
def _asked(number: int) -> Asked:
    """What is looked up in the whole pack to judge one of the descriptions."""
    asked: set[tuple[str, str]] = set()
    _judged(number, watched(published_pack(), asked))
    return frozenset(asked)


def test_a_pack_with_anything_less_is_refused_or_still_judges() -> None:
    """Where what it lacks is not looked up, it judges as the whole pack: of that one description each time."""
    refused, judged, alike = 0, 0, 0
    whole = [_judged(number, published_pack()) for number in range(len(_descriptions()))]
    written: dict[int, list[Evaluation | None]] = defaultdict(lambda: [None])

    for what, pack, noticed_by in without_one_thing(published_pack()):
        if next(lacking(pack), None):
            refused += 1
            continue
        judged += 1
        memory = Kept()
        for number in range(len(whole)):
            matters = not noticed_by.isdisjoint(_asked(number))
            if not (matters or number == judged % len(whole)):
                continue
            try:
                evaluation = _judged(number, pack, memory)
                if evaluation not in written[number]:
                    assert evaluation is not None
                    evaluation_text(evaluation, pack.say)
                    written[number].append(evaluation)
            except Exception as error:
                raise AssertionError(f"without {what}: {error!r}") from error
            if not matters:
                alike += 1
                assert evaluation == whole[number], what

    assert refused > 150 and judged > 50
    assert alike > 20
