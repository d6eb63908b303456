"""A place that files alone declare is published with the whole guard: checks, proofs, worked cases, reasons, mistakes that cases notice."""

import json
import subprocess
from pathlib import Path

import pytest
from tests.rules.parlour import CASE, EDITION, PLACE, publish_without_parlour, with_parlour
from tests.rules.raised import raised, raised_id
from tests.rules.revisions import newest_id

from bondwright.cli import main
from bondwright.shelf.published import published_packs

PACK, BEFORE = raised_id("iec60364-2017"), newest_id("iec60364-2017")


@pytest.fixture
def folder(tmp_path: Path, data: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """The rules with the parlour, the edition published without it; what was proved once is kept."""
    monkeypatch.setenv("BONDWRIGHT_DATA", str(data))
    folder = with_parlour(tmp_path / "rules")
    publish_without_parlour(folder)
    return folder


def published(folder: Path, capsys: pytest.CaptureFixture[str], *options: str) -> tuple[int, list[str], list[str]]:
    """The status of publishing it, the lines that are printed, and what is wanting of these."""
    capsys.readouterr()
    status = main(["rules", "publish", EDITION, "--rules", str(folder), *options])
    lines = capsys.readouterr().out.splitlines()
    return status, lines, [line for line in lines if line.startswith("WANTING")]


def changed_files(before: Path, after: Path) -> set[str]:
    """The files that git tells apart, as they are called in `after`, or in `before` where they are gone."""
    command = ("git", "diff", "--no-index", "--no-renames", "--name-only", "-z", str(before), str(after))
    names = subprocess.run(command, check=False, capture_output=True, text=True).stdout.split("\0")
    return {next(str(path.relative_to(root)) for root in (after, before) if path.is_relative_to(root)) for path in map(Path, names[:-1])}


def test_an_invented_place_is_published_with_the_whole_guard_by_files_of_rules_and_cases_alone(
    folder: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    plain = raised(tmp_path / "plain")
    publish_without_parlour(plain)

    by_hand = changed_files(plain, folder)
    tried, said, wanting = published(folder, capsys, "--dry-run")
    in_between = changed_files(plain, folder)
    done, told, missing = published(folder, capsys)

    assert (wanting, missing, tried, done) == ([], [], 0, 0)
    assert said[0].startswith(f"{PACK} follows {BEFORE}: ")
    assert said[-1].startswith("nothing is wanting; without --dry-run this publishes")
    assert told[-1].startswith(f"published {PACK}: ")
    assert PLACE in next(pack for pack in published_packs(folder) if pack.pack_id == PACK).places.kinds
    rules = {f"iec60364/{name}.yaml" for name in ("2017", "materials", "outcomes", "places", "vocabulary")}
    assert by_hand == in_between == rules | {f"iec60364/cases/{CASE}"}
    names = {f"published/{PACK}{end}" for end in (".yaml", ".en.yaml", ".cases.json")} | {"published.lock"}
    assert changed_files(plain, folder) - by_hand == names


def test_no_code_knows_of_it() -> None:
    service = Path(__file__).parents[2] / "service"

    assert [path for path in service.rglob("*.py") if "parlour" in path.read_text(encoding="utf-8")] == []


def test_the_clause_of_a_limit_is_expected_where_the_limit_is(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    file = folder / "iec60364" / "cases" / CASE
    case = json.loads(file.read_text(encoding="utf-8"))
    del case["expect"]["rooms"]["parlour"]["limit_clauses"]
    file.write_text(json.dumps(case, indent=2), encoding="utf-8")

    _, _, wanting = published(folder, capsys, "--dry-run")

    assert [line.partition("; ")[2] for line in wanting] == [
        'write a case that expects `limit_clauses: ["IEC 60364-7-799, 799.4"]` where the rule speaks'
    ]
