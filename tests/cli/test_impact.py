"""`bondwright impact`: which recorded verdicts a pack would change."""

import asyncio
import json
from contextlib import closing
from pathlib import Path

import pytest
from tests.cli.command import HOUSE

from bondwright.assembly import build
from bondwright.audit.comparing.impact import Change, changes
from bondwright.cli import main
from bondwright.settings import Settings

LADDERS = {"main": ("leave", "ask", "bond")}


def answer(level: str, size: tuple[float, float] = (4, 10)) -> bytes:
    """An answer of one part, with a verdict and a size."""
    verdict = {"outcome": "main", "act_on": level, "because": []}
    sized = {"outcome": "size", "lowest": size[0], "highest": size[1], "because": []}
    return json.dumps({"parts": [{"part": "gas", "verdicts": [verdict]}], "main_bond_size": sized}).encode()


@pytest.mark.parametrize(
    ("was", "now", "found"),
    [
        (answer("ask"), answer("ask"), ()),
        (answer("ask"), answer("bond"), (Change("gas", "main", "raised", "ask", "bond"),)),
        (answer("ask"), answer("leave"), (Change("gas", "main", "lowered", "ask", "leave"),)),
        (answer("ask"), answer("new"), (Change("gas", "main", "other", "ask", "new"),)),
        (answer("ask", (4, 10)), answer("ask", (6, 10)), (Change("", "size", "raised", "4 to 10", "6 to 10"),)),
        (answer("ask", (4, 10)), answer("ask", (4, 6)), (Change("", "size", "lowered", "4 to 10", "4 to 6"),)),
        (answer("ask", (4, 10)), answer("ask", (2, 16)), (Change("", "size", "wider", "4 to 10", "2 to 16"),)),
        (answer("ask", (4, 10)), answer("ask", (6, 8)), (Change("", "size", "narrower", "4 to 10", "6 to 8"),)),
    ],
)
def test_each_change_has_its_direction(was: bytes, now: bytes, found: tuple[Change, ...]) -> None:
    assert found == changes(was, now, LADDERS)


def test_a_verdict_in_one_answer_only_has_appeared_or_is_gone() -> None:
    there, away = changes(b"{}", answer("ask"), LADDERS), changes(answer("ask"), b"{}", LADDERS)

    assert [[change.direction for change in some] for some in (there, away)] == [["appeared"] * 2, ["gone"] * 2]


@pytest.fixture
def used(tmp_path: Path) -> str:
    """The pack that judged the recorded house; its text stands in the file `candidate.yaml`."""
    with closing(build(Settings(tmp_path))) as service:
        pack_id = asyncio.run(service.submit(HOUSE.read_bytes())).pack_id
        (tmp_path / "candidate.yaml").write_bytes(service.pack(pack_id).text)
    return pack_id


def test_a_pack_that_says_the_same_changes_nothing(tmp_path: Path, used: str, capsys: pytest.CaptureFixture[str]) -> None:
    status = main(["impact", "--pack", str(tmp_path / "candidate.yaml"), "--data", str(tmp_path)])

    told = capsys.readouterr().out
    assert (status, f"Records that {used} would judge: 1, of which 0 would change." in told) == (0, True)


def test_a_pack_that_says_otherwise_is_told_with_the_verdicts_it_changes(
    tmp_path: Path, used: str, capsys: pytest.CaptureFixture[str]
) -> None:
    candidate = tmp_path / "candidate.yaml"
    text = candidate.read_text(encoding="utf-8")
    assert "rows: [[35, 10], [50, 16]" in text
    candidate.write_text(text.replace("rows: [[35, 10], [50, 16]", "rows: [[35, 16], [50, 16]"), encoding="utf-8")

    status = main(["impact", "--pack", str(candidate), "--data", str(tmp_path), "--format", "json"])

    told = json.loads(capsys.readouterr().out)
    assert (status, told["pack_id"], told["records"]["changed"]) == (0, used, 1)
    assert ("main_bond_size", "raised") in {(change["outcome"], change["direction"]) for change in told["changes"]}


def test_a_pack_that_is_not_there_is_a_wrong_call(tmp_path: Path) -> None:
    assert main(["impact", "--pack", str(tmp_path / "none.yaml"), "--data", str(tmp_path)]) == 2
