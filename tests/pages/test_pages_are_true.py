"""What the pages for newcomers, callers and operators say is what the code has: their links, lists and numbers."""

import json
import re
from functools import cache
from pathlib import Path

import pytest
from tests.rules.revisions import newest, newest_revisions

from bondwright.api.edge.compression import SMALLEST
from bondwright.api.problems import MOST_BYTES
from bondwright.compose.answer import FORM
from bondwright.metalwork.notes import MOST_LENGTHS
from bondwright.rulebook.pack import COVERED, LOOK_FIRST, NOT_SETTLED

ROOT = Path(__file__).parents[2]
PAGES = (
    "README.md",
    "openapi/README.md",
    "openapi/VENDORS.md",
    "service/README.md",
    "rules/README.md",
    "rules/FORMAT.md",
    "openapi/CHANGES.md",
    "DEVELOPERS.md",
)
MOST_LINES = 110
"""Of the first page: what is read before anybody decides to try it."""


@cache
def page(name: str) -> str:
    """The text of a page."""
    return (ROOT / name).read_text(encoding="utf-8")


def in_one_line(name: str) -> str:
    """The same, however its lines are broken."""
    return re.sub(r"\s+", " ", page(name))


def anchors(text: str) -> set[str]:
    """The headings of a page as links name them."""
    return {re.sub(r"[^\w\- ]", "", heading.lower()).replace(" ", "-") for heading in re.findall(r"^#+ (.*)$", text, re.MULTILINE)}


def rows(name: str, heading: str) -> list[str]:
    """The first cell of each row of the table that begins with `heading`."""
    (table,) = re.findall(rf"^\| {re.escape(heading)} \|.*\n\|[-|]+\n((?:\|.*\n)+)", page(name), re.MULTILINE)
    return [row.split(" | ")[0].strip("| ") for row in table.splitlines()]


@pytest.mark.parametrize("name", PAGES)
def test_every_link_leads_somewhere(name: str) -> None:
    links = [link for link in re.findall(r"\]\(([^)\s]+)\)", page(name)) if "://" not in link]

    broken = []
    for link in links:
        path, _, anchor = link.partition("#")
        target = (ROOT / name).parent / path if path else ROOT / name
        if not target.is_file() or (anchor and anchor not in anchors(target.read_text(encoding="utf-8"))):
            broken.append(link)
    assert broken == []


def test_the_first_page_leads_to_every_other() -> None:
    assert [other for other in PAGES[1:] if other != "rules/FORMAT.md" and f"({other})" not in page("README.md")] == []


def test_the_first_page_is_short() -> None:
    assert len(page("README.md").splitlines()) <= MOST_LINES


def test_the_first_page_names_every_kind_of_building_that_is_judged() -> None:
    kinds = newest("bs7671-2018-a4").kinds.rows["premises"].values()
    (told,) = re.findall(r"metalwork of ordinary buildings: (.*?)\.", in_one_line("README.md"))

    assert set(told.split(", ")) == {kind.name.replace("_", " ") for kind in kinds if kind.judged and kind.name != "unknown"}


def test_the_first_page_names_every_standard_that_has_a_pack() -> None:
    told = in_one_line("README.md")

    assert {pack.standard.split(":")[0].split("-")[0] for pack in newest_revisions()} == {"BS 7671", "IEC 60364"}
    assert sum(pack.standard.startswith("BS 7671:2018") for pack in newest_revisions()) == 5
    assert "packs for BS 7671:2018 and for each of its Amendments 1 to 4" in told
    assert "a small pack for IEC 60364" in told


def test_the_versions_of_python_are_those_that_it_installs_on() -> None:
    (first, below) = re.findall(r'requires-python = ">=3\.(\d+),<3\.(\d+)"', page("pyproject.toml"))[0]

    versions = [f"3.{minor}" for minor in range(int(first), int(below))]
    assert f"Python {', '.join(versions[:-1])} or {versions[-1]}" in in_one_line("README.md")


def test_the_table_of_requests_names_every_path() -> None:
    document = json.loads(page("openapi/openapi.json"))
    told = set(re.findall(r"/[\w/{}.-]+", " ".join(rows("openapi/README.md", "request"))))

    of_calculations = {path for path in document["paths"] if path.startswith("/v1/calculations/")}
    assert len(of_calculations) > 1
    assert set(document["paths"]) - of_calculations | {"/v1/calculations/{calculation}", "/openapi.json", "/docs"} == told


def test_the_table_of_statuses_names_every_status() -> None:
    paths = json.loads(page("openapi/openapi.json"))["paths"].values()
    given = {status for path in paths for method in path.values() if "responses" in method for status in method["responses"]}
    told = {status for row in rows("openapi/README.md", "status") for status in row.split(", ")}

    assert given | {"204"} == told


def test_the_table_of_what_to_act_on_names_all_that_is_no_level() -> None:
    assert {row.strip("`") for row in rows("openapi/README.md", "`act_on`")} == {*NOT_SETTLED, COVERED, LOOK_FIRST}


@pytest.mark.parametrize(
    ("name", "claim"),
    [
        ("openapi/README.md", f"over {MOST_BYTES:,} bytes, {MOST_LENGTHS} lengths of metalwork"),
        ("openapi/README.md", f"begins with `form`, which is {FORM} today"),
        ("openapi/README.md", f"from {SMALLEST:,} bytes on"),
    ],
)
def test_a_number_on_a_page_is_that_of_the_code(name: str, claim: str) -> None:
    assert claim in in_one_line(name)
