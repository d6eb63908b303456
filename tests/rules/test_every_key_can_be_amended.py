"""Whatever a base states an amendment can state otherwise: every key of the format is walked, and one that no change reaches fails."""

import shutil
from collections.abc import Iterator
from functools import lru_cache
from pathlib import Path
from typing import TypeAlias

import pytest
import yaml

from bondwright.rulebook.facts import Place
from bondwright.shelf.amendments import BASE_SECTIONS, LENIENT
from bondwright.shelf.drafts.consolidated import consolidated
from bondwright.shelf.drafts.named import SECTIONS, row_keys
from bondwright.shelf.drafts.shared import LATER_FILES, SHARED_FILES, may_have
from bondwright.shelf.drafts.splicing import node_at
from bondwright.shelf.lines import flow, plain
from bondwright.shelf.packs import rules_folder
from bondwright.shelf.reading.nodes import Items, Map, Node, Scalar
from bondwright.shelf.reading.scalars import as_items, as_map

At: TypeAlias = tuple[str | int, ...]
"""Keys and numbers from the sections down."""

EDITIONS = ("bs7671/2018-a4", "iec60364/2017")
OWN = ("pack", *LENIENT)
"""Sections that an amendment has of its own, whole."""
OTHER = "another_word"
CITED = 'clause: "9.1", source: {from: ours, kind: our_reading, confidence: from_memory}'
WORDS = {section: word for word, section in SECTIONS.items()}
FREE = {"properties": 2, "outcomes": 3, "places": 4, "rules": 2}
"""How deep names of an author's own stand in a section; one is enough of each kind."""


@lru_cache(maxsize=4)
def root(edition: str) -> Map:
    """What the edition holds, with every file behind it."""
    return consolidated(rules_folder(), edition).root


def leaves(node: Node, at: At = ()) -> Iterator[At]:
    """Where each word, number and text stands, and each list and map with nothing in it."""
    inner: list[tuple[str | int, Node]] = []
    if isinstance(node, Items):
        inner = list(enumerate(node.items))
    elif isinstance(node, Map):
        inner = list(node.entries.items())
    for step, child in inner:
        yield from leaves(child, (*at, step))
    if not inner:
        yield at


def kind_of(at: At) -> At:
    """The way without the names that authors give, down to the first list."""
    if at[0] == "rules" and at[2] in ("when", "examples"):
        return at[0], at[2]
    if len(at) > 4 and at[2] == "rows":
        return at[0], at[2], at[4]
    ends = next((depth for depth, step in enumerate(at) if depth > 1 and isinstance(step, int)), len(at))
    deep = min(FREE.get(str(at[0]), 1), len(at) - 1)
    return at[0], *at[1 + deep : ends]


def one_of_each_kind(edition: str) -> list[At]:
    """A place for each kind of key that the edition has, but for the sections that an amendment has of its own.

    Each in a thing of its own, as far as there are so many.
    """
    places = [at for at in leaves(root(edition)) if at[0] not in OWN and len(at) > 1 and at[-1] not in ("id", "from")]
    found: dict[At, At] = {}
    things: set[At] = set()
    for at in places:
        if at[:2] not in things and kind_of(at) not in found:
            found[kind_of(at)] = at
            things.add(at[:2])
    return list(({kind_of(at): at for at in places} | found).values())


def within(node: Node, at: At, last: str) -> tuple[str, str]:
    """What `was` and `now` say where all but the entry at the way stays: a list as a whole, its word another."""
    if not at:
        return flow(node), last
    if isinstance(node, Items):
        changed = [within(item, at[1:], last)[1] if number == at[0] else flow(item) for number, item in enumerate(node.items)]
        return flow(node), f"[{', '.join(changed)}]"
    was, now = within(as_map(node, "a map").entries[str(at[0])], at[1:], last)
    return f"{{{at[0]}: {was}}}", f"{{{at[0]}: {now}}}"


def whole(node: Node, at: At, last: str) -> str:
    """The node written whole, the word at the way another."""
    if not at:
        return last
    if isinstance(node, Items):
        return f"[{', '.join(whole(item, at[1:], last) if number == at[0] else flow(item) for number, item in enumerate(node.items))}]"
    entries = as_map(node, "a map").entries.items()
    return f"{{{', '.join(f'{key}: {whole(entry, at[1:], last) if key == at[0] else flow(entry)}' for key, entry in entries)}}}"


def change(edition: str, at: At) -> str:
    """The change that makes the word at the way another; fails where no kind of change reaches it."""
    section, held = str(at[0]), node_at(root(edition), at[:1])
    if section == "rules":
        rule = as_map(node_at(held, at[1:2]), "a rule")
        name = flow(rule.entries["id"])
        if at[2] == "examples":
            example = as_items(rule.entries["examples"], "examples")[int(at[3])]
            return f"  - change: {{example: {name}}}\n    was: {flow(example)}\n    now: {whole(example, at[4:], OTHER)}\n"
        was, now = within(rule, at[2:], OTHER)
        return f"  - change: {{rule: {name}}}\n    was: {was}\n    now: {now}\n"
    if section in WORDS and isinstance(held, Map):
        word, entry = WORDS[section], held.entries[str(at[1])]
        if section in ("tables", "references") and at[2] == "rows":
            cells = as_items(node_at(entry, at[2:4]), "a row")
            keys = row_keys(as_map(entry, "a table"), word)
            if at[4] >= keys:  # type: ignore[operator]
                rests = f", {CITED}" if section == "tables" else ""
                said = [OTHER if number == at[4] else flow(one) for number, one in enumerate(cells)][keys:]
                named = f"{{{word}: {at[1]}, row: [{', '.join(map(flow, cells[:keys]))}]}}"
                was, now = (one[0] if section == "tables" else f"[{', '.join(one)}]" for one in ([*map(flow, cells[keys:])], said))
                return f"  - {{change: {named}, was: {was}, now: {now}{rests}}}\n"
        was, now = within(entry, at[2:], OTHER)
        rests = f", {CITED}" if section in ("tables", "values") and at[2] in ("value", "rows") else ""
        now = f"{now[:-1]}{rests}}}" if rests else now
        return f"  - change: {{{word}: {at[1]}}}\n    was: {was}\n    now: {now}\n"
    if isinstance(held, Items):
        row = held.items[int(at[1])]
        return f"  - change: {{row_of: {section}}}\n    was: {flow(row)}\n    now: {whole(row, at[2:], OTHER)}\n"
    raise AssertionError(f"no kind of change reaches `{section}`")


def apart(edition: str, places: list[At]) -> list[str]:
    """The changes of the words at these places for several amendments, none of which states twice what a row or a value is."""
    made: list[tuple[set[At], list[str]]] = []
    for at in places:
        one = change(edition, at)
        whole = {at[:2]} if at[0] == "tables" or CITED in one or "rows" in at or isinstance(at[1], int) else set()
        things, some = next((held for held in made if not whole & held[0]), (set(), []))
        if not some:
            made.append((things, some))
        things |= whole
        some.append(one)
    return ["".join(some) for _, some in made]


def amended(folder: Path, edition: str, changes: str) -> Map:
    """What an amendment of the edition holds that makes the changes."""
    copy = shutil.copytree(rules_folder(), folder / "rules", ignore=shutil.ignore_patterns("published", "cases", "calculations"))
    name = f"{edition.partition('/')[0]}/next"
    head = f"amends: {edition}\npack: {{id: next-r1}}\nchanges:\n"
    (copy / f"{name}.yaml").write_text(head + changes, encoding="utf-8")
    return consolidated(copy, name).root


@pytest.mark.parametrize("edition", EDITIONS)
def test_a_change_reaches_every_key_that_an_edition_has(edition: str, tmp_path: Path) -> None:
    places = one_of_each_kind(edition)

    made = [amended(tmp_path / str(number), edition, some) for number, some in enumerate(apart(edition, places))]

    said = [[plain(node_at(one, at)) for one in made] for at in places]
    assert [(at, one) for at, one in zip(places, said, strict=True) if OTHER not in one] == []


def sections() -> set[str]:
    """Every section that a base may have, with those of the files behind it."""
    files = {name for _, names in (*SHARED_FILES, *LATER_FILES) for name in (*names, *may_have(names))}
    return {*BASE_SECTIONS, *files, *LENIENT}


def test_the_walk_is_through_every_section_that_a_base_may_have() -> None:
    walked = {str(at[0]) for edition in EDITIONS for at in leaves(root(edition))}

    assert sections() - walked == set()


def test_what_the_page_of_the_format_shows_stands_in_a_section_that_is_walked() -> None:
    page = (rules_folder() / "FORMAT.md").read_text(encoding="utf-8")
    shown = yaml.load(page.split("```yaml\n")[1].partition("```")[0], yaml.BaseLoader)

    assert set(shown) - {"cases"} <= sections()


@pytest.mark.parametrize("word", SECTIONS)
def test_a_whole_entry_of_every_section_is_added_and_taken_away(word: str, tmp_path: Path) -> None:
    edition, section = EDITIONS[0], SECTIONS[word]
    name, entry = next(iter(as_map(root(edition).entries[section], section).entries.items()))
    new = "added" if "_" not in name else "added_too"

    made = amended(
        tmp_path,
        edition,
        f"  - add: {{{word}: {new}}}\n    with: {flow(entry)}\n  - take_away: {{{word}: {name}}}\n    was: {flow(entry)}\n",
    )

    held = as_map(made.entries[section], section).entries
    assert name not in held
    assert plain(held[new]) == plain(entry)
    assert list(held)[-1] == new


@pytest.mark.parametrize(
    "path", ["stages", "joined", "cautions", "joined_rooms", "clauses/first", "series/stocked_sizes/members", "facts/location_kind/choices"]
)
def test_a_row_of_every_list_is_added_changed_and_taken_away(path: str, tmp_path: Path) -> None:
    edition = EDITIONS[0]
    rows = as_items(node_at(root(edition), tuple(path.split("/"))), path)
    first, second = flow(rows[0]), flow(rows[1])
    like = Scalar("A {clause}", True, Place("", 1, 1)) if isinstance(rows[0], Scalar) else rows[-1]

    made = amended(
        tmp_path,
        edition,
        f"  - add: {{row_of: {path}}}\n    with: {flow(like)}\n    before: {second}\n"
        f"  - take_away: {{row_of: {path}}}\n    was: {first}\n  - change: {{row_of: {path}}}\n    was: {second}\n    now: changed\n",
    )

    said = [plain(row) for row in as_items(node_at(made, tuple(path.split("/"))), path)]
    assert said == [plain(like), "changed", *map(plain, rows[2:])]
