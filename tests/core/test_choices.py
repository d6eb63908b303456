"""The choices of a description are rows of the packs' tables: what a pack adds can be said, and no older pack makes more of it."""

import hashlib
import json
from pathlib import Path
from typing import Any

import pytest
from tests.core.cases import judged, published_pack
from tests.described import schema_of, terms
from tests.rules.raised import changed, raised
from tests.rules.revisions import published

from bondwright.compose.answer import Evaluation
from bondwright.compose.written.writing import evaluation_bytes
from bondwright.conclude.concluding import plainly
from bondwright.errors import NotTheSchema, UnreadableRules
from bondwright.evaluate.order import evaluate
from bondwright.installation.description import Installation
from bondwright.installation.reading import read_installation
from bondwright.installation.shapes import json_schema
from bondwright.installation.terms import Terms
from bondwright.rulebook.pack import RulePack
from bondwright.shelf.declared.declaration import CHOICES, declaration, undeclared_choices
from bondwright.shelf.declared.terms import terms_of
from bondwright.shelf.packs import draft_pack, rules_folder
from bondwright.shelf.published import on_shelf

EDITION = "bs7671/2018-a4"
FROZEN = "0915bc85a1503ff88f9388fa66bfb57ff1a1a95f989a376e6c1cd93a46693195"
LAST = "bs7671-2018-a4-r9"
"""The last pack of that edition that has no other words than there always were."""
ALSO = {"other", "unknown"}
"""Words of a description that need no row."""
_PLAIN = "judged: yes, sort: other, "
_IN_GENERAL = 'section: none, governed_by: "nothing", known: "It is hot.", ask: "Ask the smith.", source: ours, basis: our_reading'
ADDED = {
    "    timber: {": '    hemp: {conducts: no, touches: no, lead: no, words: "hemp"}\n',
    "    duct: {judged: yes": f'    steam: {{{_PLAIN}words: "steam pipe", fluid: none, owner_before_meter: no, metered: no}}\n',
    "    tank: {judged: yes": f'    anvil: {{{_PLAIN}words: "anvil", several: "anvils", telecom: no, equipment: no, piped: no}}\n',
    "    sauna: {judged: no": f'    forge: {{judged: no, words: "forge {{number}}", {_IN_GENERAL}, confidence: from_memory}}\n',
}
"""Rows of the tests' own, each to stand before the one that begins so."""


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The rules with those rows."""
    folder = raised(tmp_path_factory.mktemp("raised") / "rules")
    for before, row in ADDED.items():
        changed(folder / "materials.yaml", f"\n{before}", f"\n{row}{before}")
    return folder


@pytest.fixture(scope="module")
def pack(folder: Path) -> RulePack:
    """The newest edition of it."""
    return draft_pack(folder, EDITION)


@pytest.fixture(scope="module")
def wider(pack: RulePack) -> Terms:
    """What descriptions may say with that on the shelf."""
    return terms_of((*on_shelf(rules_folder()), pack))


def house(**parts: Any) -> dict[str, Any]:
    """An inspection of so much."""
    return {"work": {"kind": "inspection", "inspected_on": "2026-11-25"}, **parts}


def answer(said: dict[str, Any], wider: Terms, pack: RulePack) -> Evaluation:
    """What a pack says of a description, by the plain reader alone."""
    return evaluate(read_installation(json.dumps(said).encode(), wider), pack, plainly(pack))


def levels(answer: Evaluation) -> list[tuple[str, str, list[tuple[str, str, bool]]]]:
    """What is to be done about each part, and each of its verdicts."""
    return [(one.part, one.act, [(said.outcome, said.worst_case, said.firm) for said in one.verdicts]) for one in answer.parts]


def test_the_file_of_the_words_of_older_packs_never_changes() -> None:
    assert hashlib.sha256((rules_folder() / CHOICES).read_bytes()).hexdigest() == FROZEN


def test_the_words_of_older_packs_are_the_rows_of_their_tables() -> None:
    read, always = declaration(rules_folder()), undeclared_choices(rules_folder())
    tables = {of: read.table_of(of) for of in always}
    without = {of for of, table in tables.items() if not table}

    assert without == {"fed_by"}
    for of, table in tables.items():
        if table:
            rows = set(published(LAST).rows(table))
            assert rows <= set(always[of]) <= rows | ALSO, of


def test_today_the_packs_have_the_words_that_there_always_were_and_behind_them_those_of_newer_rows() -> None:
    read, always, now = declaration(rules_folder()), undeclared_choices(rules_folder()), dict(terms().choices)
    columns = read.words_of_columns()

    assert now.keys() == {*always, *columns} and {of: now[of] for of in columns} == columns
    for of, words in always.items():
        first, newer = [word for word in words if word != "unknown"], [word for word in now[of] if word not in words]
        assert list(now[of]) == [*first, *newer, *(["unknown"] if "unknown" in words else [])], of
        assert set(newer) <= (set(published_pack().rows(read.table_of(of))) if newer else set()), of
    assert columns["metal-resistivity/metal"] == ("copper", "steel", "aluminium")


def test_a_new_row_stands_behind_the_words_that_were_there(wider: Terms) -> None:
    was = terms()

    assert wider.words("material") == (*was.words("material")[:-1], "hemp", "unknown")
    assert wider.words("service") == (*was.words("service"), "steam")
    assert wider.words("item") == (*was.words("item"), "anvil")
    assert wider.words("location") == (*was.words("location")[:-1], "forge", "unknown")
    assert wider.words("origin") == was.words("origin")


def test_the_schema_of_requests_has_them_and_is_else_the_same(wider: Terms) -> None:
    schema = json.dumps(json_schema(Installation, wider))
    without = schema
    for word in ("hemp", "steam", "anvil", "forge"):
        assert f'"{word}"' in schema
        without = without.replace(f', "{word}"', "")

    assert without == json.dumps(schema_of(Installation))


NEW: list[tuple[dict[str, Any], str]] = [
    ({"items": [{"kind": "tap", "material": "hemp"}]}, "/items/0/material"),
    ({"services": [{"kind": "steam"}]}, "/services/0/kind"),
    ({"services": [{"kind": "gas", "inside": "hemp"}]}, "/services/0/inside"),
    ({"detailed_services": [{"kind": "gas", "sections": [{"material": "hemp"}]}]}, "/detailed_services/0/sections/0/material"),
    ({"items": [{"kind": "anvil"}]}, "/items/0/kind"),
    ({"locations": [{"kind": "forge"}]}, "/locations/0/kind"),
    ({"locations": [{"kind": "sauna", "items": [{"kind": "anvil"}]}]}, "/locations/0/items/0/kind"),
    ({"locations": [{"kind": "sauna", "services": [{"kind": "steam"}]}]}, "/locations/0/services/0/kind"),
]
"""Descriptions with a new word in them, and its place."""


@pytest.mark.parametrize(("parts", "place"), NEW)
def test_a_new_word_is_taken_where_a_pack_has_it_and_else_refused_at_its_place(parts: dict[str, Any], place: str, wider: Terms) -> None:
    raw = json.dumps(house(**parts)).encode()

    read_installation(raw, wider)
    with pytest.raises(NotTheSchema) as refused:
        read_installation(raw, terms())

    assert [fault.pointer for fault in refused.value.faults] == [place]
    assert refused.value.faults[0].detail.startswith("write one of `")


def test_a_new_kind_of_service_may_be_what_another_is_joined_to(wider: Terms) -> None:
    said = house(services=[{"kind": "gas", "joined_to": ["steam"]}, {"kind": "steam"}])

    assert answer(said, wider, published_pack()).parts


@pytest.mark.parametrize("parts", [parts for parts, _ in NEW], ids=[place for _, place in NEW])
def test_a_pack_that_lacks_a_new_word_answers_and_clears_nothing_by_it(parts: dict[str, Any], wider: Terms, pack: RulePack) -> None:
    said = house(**parts)

    older, newer = answer(said, wider, published_pack()), answer(said, wider, pack)

    assert json.loads(evaluation_bytes(older)) and json.loads(evaluation_bytes(newer))
    assert [one.act for one in older.parts if one.mark == "leave" and one.verdicts[0].firm] == []


def test_a_material_that_the_pack_lacks_counts_as_unknown(wider: Terms) -> None:
    pipe = {"kind": "gas", "comes_from": "ground", "inside": "nothing"}
    told = answer(house(services=[{**pipe, "enters_as": "hemp"}]), wider, published_pack())

    assert levels(told) == levels(judged(house(services=[{**pipe, "enters_as": "unknown"}])))


def test_a_kind_that_the_pack_lacks_is_not_judged_in_general_words(wider: Terms) -> None:
    told = answer(house(items=[{"kind": "anvil"}], locations=[{"kind": "forge"}]), wider, published_pack())

    assert {one.pointer for one in told.not_judged} == {"/items/0", "/locations/0"}


def test_a_pack_need_not_have_every_word_but_the_unknown_one(tmp_path: Path) -> None:
    rules = raised(tmp_path / "rules")
    lines = (rules / "materials.yaml").read_text(encoding="utf-8").splitlines(keepends=True)
    (rules / "materials.yaml").write_text("".join(line for line in lines if not line.startswith("    ceramic:")), encoding="utf-8")

    assert "ceramic" not in draft_pack(rules, EDITION).properties["materials"]
    (rules / "materials.yaml").write_text("".join(line for line in lines if not line.startswith("    unknown: {conducts: unknown, to")))
    with pytest.raises(UnreadableRules, match="table `materials` lacks the row `unknown`"):
        draft_pack(rules, EDITION)


def test_another_table_of_the_same_words_has_rows_of_the_first_alone(tmp_path: Path) -> None:
    rules = raised(tmp_path / "rules")
    changed(rules / "materials.yaml", "\n    tap: {water: may", "\n    anvil: {water: may}\n    tap: {water: may")

    with pytest.raises(UnreadableRules, match="nothing is called `anvil` in table `feeds`"):
        draft_pack(rules, EDITION)
