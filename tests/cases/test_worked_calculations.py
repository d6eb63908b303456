"""Worked calculations are read strictly, every number and word in them is compared, and a changed number of a printed table is noticed."""

import json
from typing import Any

import pytest
from tests.calculations.changed import with_cell
from tests.core.cases import published_pack

from bondwright.errors import UnreadableRules
from bondwright.members import replace
from bondwright.proofs.worked.calculations import FOLDER, WorkedRow, read_rows
from bondwright.proofs.worked.claims import Claims
from bondwright.proofs.worked.noticing import unseen
from bondwright.proofs.worked.reverting import reverted
from bondwright.shelf.packs import rules_folder

PATHS = [path for place in ("", "bs7671") for path in sorted((rules_folder() / place / FOLDER).glob("*.json"))]
ROWS = [row for path in PATHS for row in read_rows(path.read_bytes(), path.name)]


def document(**changed: Any) -> dict[str, Any]:
    """A file with one row, with other members."""
    row = {"inputs": {"device": "B", "rated_a": 32}, "gives": {"operating_current": 160}}
    return {"claim": "x", "rests_on": "y", "calculation": "operating-current", "rows": [row], **changed}


def rows(content: Any) -> tuple[WorkedRow, ...]:
    """The rows of a file with this content."""
    return read_rows(json.dumps(content, indent=1).encode(), "book/calculations/x.json")


@pytest.mark.parametrize("row", ROWS, ids=lambda row: row.name)
def test_each_row_holds(row: WorkedRow) -> None:
    assert row.faults(published_pack()) == []


@pytest.mark.parametrize(
    ("gives", "fault"),
    [
        ({"operating_current": 150}, "operating_current is 160.0, expected 150"),
        ({"operating_current": 161}, "operating_current is 160.0, expected 161"),
        ({"operating_current": "160"}, "operating_current is 160.0, expected 160"),
        ({"current": 160}, "current is not given, expected 160"),
    ],
)
def test_what_comes_out_otherwise_is_told(gives: dict[str, Any], fault: str) -> None:
    (row,) = rows(document(rows=[{"inputs": {"device": "B", "rated_a": 32}, "gives": gives}]))

    assert row.faults(published_pack()) == [fault]


def test_refused_inputs_are_told_with_their_place() -> None:
    (row,) = rows(document(rows=[{"inputs": {"device": "B", "rated_a": -1}, "gives": {"operating_current": 1}}]))

    assert row.faults(published_pack())[0].startswith("refused at `/rated_a`: ")
    assert row.notices(published_pack())


@pytest.mark.parametrize(
    ("content", "words"),
    [
        ([], "here stands an object with `claim`"),
        (document(claim=" "), "`claim` is text that is not empty"),
        (document(calculation="operating-curent"), "`operating-curent` is no calculation; did you mean `operating-current`?"),
        (document(rows=[]), "`rows` is a list of inputs and what they give; write at least one"),
        (document(since_revision="10"), "`since_revision` is the number of the first revision that is held to it, such as 2"),
        (document(since_revison=1), "`since_revison` is no key here; did you mean `since_revision`?"),
        (document(row=[]), "`row` is no key here; did you mean `rows`?"),
        (document(rows=[{"inputs": {}}]), "`gives` is missing here"),
        (document(rows=[{"inputs": {}, "gives": {}}]), "`gives` is an object of numbers and words"),
        (document(rows=[{"inputs": {}, "gives": {"a": [1]}}]), "`gives` is an object of numbers and words"),
        ({"claim": "x"}, "`rests_on` is missing here"),
    ],
)
def test_a_mistake_in_a_file_is_refused_with_its_place(content: Any, words: str) -> None:
    with pytest.raises(UnreadableRules) as refused:
        rows(content)

    assert str(refused.value).startswith("book/calculations/x.json:")
    assert words in str(refused.value)


def test_what_is_no_json_is_refused() -> None:
    with pytest.raises(UnreadableRules, match=r"book/calculations/x\.json"):
        read_rows(b"{", "book/calculations/x.json")


def test_a_changed_number_of_a_printed_table_is_noticed_by_a_row_and_not_without_it() -> None:
    new = published_pack()
    old = replace(new, references=with_cell("disconnection-time", "tn", "ac", 230.0, value=5.0).references)
    changes = [one for one in reverted(old, new) if one.part == ("reference", "disconnection-time")]

    assert [one.what for one in changes] == ["reference table `disconnection-time, row tn, ac, 230.0` has changed"]
    assert unseen(Claims(new, (), ROWS), changes) == ()
    assert [one.check for one in unseen(Claims(new, ()), changes)] == ["worked cases"]
