"""What the service reads from a pack by name: a pack that lacks any of it is refused by name and place; none ends in a traceback."""

from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from functools import cache, lru_cache
from typing import Any

import pytest
from tests.core.cases import cases, published_pack
from tests.described import described
from tests.rules.revisions import all_published, draft_read

from bondwright.compose.answer import Evaluation
from bondwright.errors import Contradiction, UnreadableRules
from bondwright.evaluate.order import evaluate
from bondwright.installation.description import Installation
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


def without_one_thing(pack: RulePack) -> Iterator[tuple[str, RulePack]]:
    """The pack with one thing less, for each that is looked up by a name: a row or cell of a table, a value, question, act, outcome …"""
    for table, rows in pack.properties.items():
        yield f"table {table}", _with_properties(pack, {name: some for name, some in pack.properties.items() if name != table})
        for row in rows:
            fewer = {name: some for name, some in rows.items() if name != row}
            yield f"row {table}/{row}", _with_properties(pack, {**pack.properties, table: fewer})
        for column in dict.fromkeys(column for cells in rows.values() for column in cells):
            bare = {row: {name: cell for name, cell in cells.items() if name != column} for row, cells in rows.items()}
            yield f"column {table}/{column}", _with_properties(pack, {**pack.properties, table: bare})
    acts = [advice.if_shared for advice in pack.advice.values()]
    worked = [fact.worked_from for fact in pack.facts.values()]
    named = [repr(one) for one in (*pack.rules, *pack.joined, *pack.tables.values(), *worked, *acts)]
    for section in ("values", "asks", "advice", "readings", "references", "facts", "outcomes"):
        whole: Mapping[str, Any] = getattr(pack, section)
        for name in whole:
            fewer = {other: some for other, some in whole.items() if other != name}
            changed: Any = {section: fewer}
            if not any(f"'{name}'" in text for text in named):  # else the shelf refuses what names it
                yield f"{section}/{name}", replace(pack, **changed)


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


def test_a_pack_with_anything_less_is_refused_or_still_judges() -> None:
    refused, judged = 0, 0
    written: dict[int, list[Evaluation]] = defaultdict(list)

    for what, pack in without_one_thing(published_pack()):
        if next(lacking(pack), None):
            refused += 1
            continue
        judged += 1
        memory = Kept()
        for number, installation in enumerate(_descriptions()):
            try:
                evaluation = evaluate(installation, pack, _read_plainly(pack), memory)
                if evaluation not in written[number]:
                    evaluation_text(evaluation, pack.say)
                    written[number].append(evaluation)
            except Contradiction:
                continue
            except Exception as error:
                raise AssertionError(f"without {what}: {error!r}") from error

    assert refused > 150 and judged > 50
