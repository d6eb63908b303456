"""`bondwright rules publish` and worked cases: they hold, they are those of the pack before, and what they were is kept with the pack."""

import json
import re
import shutil
from collections.abc import Callable
from hashlib import sha256
from pathlib import Path
from typing import Any

import pytest

from bondwright.cases.case import Case
from bondwright.cases.kept import kept
from bondwright.cases.reading import read_case
from bondwright.cli import main
from bondwright.cli.rules.publishing.following import with_cases
from bondwright.rulebook.because import KeptCases
from bondwright.shelf.packs import LOCK, draft_pack, issued_text, rules_folder
from bondwright.shelf.published import published_packs

EDITION = "iec60364/2017"
LAST, NEXT = "iec60364-2017-r10", "iec60364-2017-r11"
SHARED = ("vocabulary", "reference", "sentences", "sentences-of-calculations", "outcomes", "materials", "places", "sources")
"""Files of the rules that the family has no own ones of, or only states differences from."""

Json = Any

COPPER: Json = {
    "claim": "Copper out of the ground is bonded with 6 mm².",
    "rests_on": "IEC 60364-4-41, 411.3.1.2; secondary source",
    "installation": {
        "work": {"kind": "inspection", "inspected_on": "2026-11-25"},
        "supply": {"line_conductor": {"size": 10, "material": "copper"}, "earthing_conductor": {"buried": "no"}},
        "services": [
            {"id": "water", "kind": "water", "comes_from": "ground", "enters_as": "copper", "inside": "copper", "hidden": "no", "bonds": []}
        ],
    },
    "expect": {"parts": {"water/entering": {"act": "bond", "main_bonding": "required"}}, "main_bond_size": {"highest": 6}},
    "near_miss": {
        "claim": "As plastic it is left.",
        "change": {"/services/0/enters_as": "plastic"},
        "expect": {"parts": {"water/inside": {"main_bonding": "not_required"}}},
    },
}
GAS: Json = {
    **COPPER,
    "claim": "Steel out of the ground is bonded.",
    "installation": {
        **COPPER["installation"],
        "services": [{"id": "gas", "kind": "gas", "comes_from": "ground", "enters_as": "steel", "inside": "copper", "hidden": "no"}],
    },
    "expect": {"parts": {"gas/entering": {"main_bonding": "required"}}},
    "near_miss": {**COPPER["near_miss"], "expect": {"parts": {"gas/inside": {"main_bonding": "not_required"}}}},
}


@pytest.fixture(scope="module")
def template(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The international family alone, with two cases, its last revision published with them and the next opened."""
    folder = tmp_path_factory.mktemp("template") / "rules"
    shipped = rules_folder()
    shutil.copytree(shipped / "iec60364", folder / "iec60364", ignore=shutil.ignore_patterns("cases", "calculations"))
    edition = folder / f"{EDITION}.yaml"
    edition.write_text(edition.read_text(encoding="utf-8").partition("lenient:")[0], encoding="utf-8")  # the shipped step's reasons
    (folder / "published").mkdir()
    for path in (*(shipped / f"{name}.yaml" for name in SHARED), *(shipped / "published").glob("iec60364-2017-r[12].yaml")):
        shutil.copy(path, folder / path.relative_to(shipped))
    lines = [
        line
        for line in (shipped / LOCK).read_text(encoding="utf-8").splitlines()
        if line.startswith(("iec60364-2017-r1 ", "iec60364-2017-r2 "))
    ]
    for name, content in (("copper", COPPER), ("gas", GAS)):
        case(folder, name).parent.mkdir(exist_ok=True)
        write(folder, name, content)
    revision(folder, LAST)
    held = kept([(one, claim) for one in read(folder) for _, claim in one.claims])
    text = with_cases(issued_text(draft_pack(folder, EDITION)), KeptCases(4, 6, sha256(held).hexdigest()))
    (folder / "published" / f"{LAST}.yaml").write_bytes(text)
    (folder / "published" / f"{LAST}.cases.json").write_bytes(held)
    (folder / LOCK).write_text("\n".join([*lines, f"{LAST} {sha256(text).hexdigest()} 2026-11-25", ""]), encoding="utf-8")
    revision(folder, NEXT)
    return folder


@pytest.fixture
def house_rules(template: Path, tmp_path: Path, data: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A copy of that folder; what is proved is kept for all of these tests."""
    monkeypatch.setenv("BONDWRIGHT_DATA", str(data))
    return shutil.copytree(template, tmp_path / "rules")


def case(folder: Path, name: str) -> Path:
    """The file of a case."""
    return folder / "iec60364" / "cases" / f"{name}.json"


def write(folder: Path, name: str, content: Json) -> None:
    """Writes a case."""
    case(folder, name).write_text(json.dumps(content, indent=1), encoding="utf-8")


def read(folder: Path) -> list[Case]:
    """The cases of the folder."""
    return [read_case(path.read_bytes(), f"iec60364/cases/{path.name}") for path in sorted(case(folder, "x").parent.iterdir())]


def revision(folder: Path, pack_id: str) -> None:
    """Gives the edition another id."""
    path = folder / f"{EDITION}.yaml"
    text = path.read_text(encoding="utf-8")
    lines = [f"  id: {pack_id}" if line.startswith("  id: iec60364-2017-r") else line for line in text.splitlines()]
    path.write_text("\n".join([*lines, ""]), encoding="utf-8")


def reason(folder: Path, changed: str, name: str = "copper") -> None:
    """Gives the edition a reason for a changed case."""
    written = f"""\
lenient:
  - since: {LAST}
    case: {name}
    changed: [{changed}]
    because: "The size was read from the wrong row."
    clause: "IEC 60364-5-54, 544.1"
    source: {{from: mitolo, kind: stated, confidence: secondary}}
"""
    path = folder / f"{EDITION}.yaml"
    path.write_text(path.read_text(encoding="utf-8") + written, encoding="utf-8")


def published(folder: Path, capsys: pytest.CaptureFixture[str], *options: str) -> tuple[int, str, str]:
    """The status of publishing, what is printed and what is told on standard error."""
    capsys.readouterr()
    status = main(["rules", "publish", EDITION, "--rules", str(folder), *options])
    said = capsys.readouterr()
    return status, said.out, said.err


def test_a_pack_is_published_with_what_is_kept_of_its_cases(house_rules: Path, capsys: pytest.CaptureFixture[str]) -> None:
    status, out, err = published(house_rules, capsys)

    pack = next(one for one in published_packs(house_rules) if one.pack_id == NEXT)
    held = (house_rules / "published" / f"{NEXT}.cases.json").read_bytes()
    assert status == 0
    assert f"{NEXT} follows {LAST}: 0 differences\n" in out
    assert "worked cases: 4 judged, 0 wanting; 6 of 6 expectations compared\n" in out
    assert "worked cases: 2 of 2\n" in err
    assert pack.cases == KeptCases(4, 6, sha256(held).hexdigest())
    assert json.loads(held)["copper"]["/expect/parts/water~1entering/act"] == "bond"


def test_a_case_that_falls_refuses_publishing_with_its_place(house_rules: Path, capsys: pytest.CaptureFixture[str]) -> None:
    write(house_rules, "oil", {**COPPER, "expect": {"main_bond_size": {"highest": 10}}})
    line = case(house_rules, "oil").read_text(encoding="utf-8").splitlines().index('   "highest": 10') + 1

    status, out, _ = published(house_rules, capsys)

    assert status == 1
    assert f"By {NEXT}, iec60364/cases/oil.json:{line}:4: highest of main_bond_size is 6, expected 10\n" in out
    assert out.endswith("nothing was published\n")
    assert not (house_rules / "published" / f"{NEXT}.yaml").exists()


def change_expectation(folder: Path) -> None:
    """The size is not compared any more, and an act is expected otherwise than it is."""
    expect = {"parts": {"water/entering": {"act": "bond", "main_bonding": "required"}}, "main_bond_size": {"lowest": 6}}
    write(folder, "copper", {**COPPER, "expect": expect})


def change_description(folder: Path) -> None:
    """Another house."""
    write(folder, "copper", {**COPPER, "installation": {**COPPER["installation"], "reference": "Heron Yard 4"}})


def change_near_miss(folder: Path) -> None:
    """Another near miss."""
    near = {**COPPER["near_miss"], "change": {"/services/0/enters_as": "plastic", "/services/0/joined_to": None}}
    installation = {**COPPER["installation"], "services": [{**COPPER["installation"]["services"][0], "joined_to": []}]}
    write(folder, "copper", {**COPPER, "near_miss": near, "installation": installation})


def remove(folder: Path) -> None:
    """The case is gone."""
    case(folder, "copper").unlink()


CHANGED: dict[str, tuple[Callable[[Path], None], str, str]] = {
    "an expectation gone": (change_expectation, '"/expect/main_bond_size/highest"', "/expect/main_bond_size/highest was 6 and is gone"),
    "another description": (change_description, '"/installation"', '/installation was "sha256:'),
    "another near miss": (change_near_miss, '"/installation", "/near_miss/change"', '/near_miss/change was "sha256:'),
    "a case gone": (remove, '"/"', "/ was a case of 6 lines and is gone"),
}


@pytest.mark.parametrize(("make", "pointers", "words"), CHANGED.values(), ids=CHANGED)
def test_a_changed_or_missing_case_refuses_without_a_reason(
    house_rules: Path, capsys: pytest.CaptureFixture[str], make: Callable[[Path], None], pointers: str, words: str
) -> None:
    make(house_rules)

    status, out, _ = published(house_rules, capsys)

    assert status == 1
    assert f"WANTING {EDITION}: worked case copper: " in out
    assert words in out
    assert f'  - since: {LAST}\n    case: "copper"\n    changed: [{pointers}]\n' in out


@pytest.mark.parametrize(("make", "pointers", "words"), CHANGED.values(), ids=CHANGED)
def test_with_its_reason_a_changed_case_is_published(
    house_rules: Path, capsys: pytest.CaptureFixture[str], make: Callable[[Path], None], pointers: str, words: str
) -> None:
    make(house_rules)
    reason(house_rules, pointers)

    status, out, _ = published(house_rules, capsys)

    pack = next(one for one in published_packs(house_rules) if one.pack_id == NEXT)
    assert (status, words in out) == (0, False)
    assert "because of case copper: The size was read from the wrong row." in out
    assert [(one.about, one.name) for one in pack.lenient] == [("case", "copper")]


def test_a_reason_covers_no_more_than_it_names(house_rules: Path, capsys: pytest.CaptureFixture[str]) -> None:
    change_near_miss(house_rules)
    reason(house_rules, "/installation")

    status, out, _ = published(house_rules, capsys)

    assert status == 1
    assert "nothing about case `copper` needs this reason; what was changed is /installation, /near_miss/change" in out


def test_a_new_case_needs_no_reason(house_rules: Path, capsys: pytest.CaptureFixture[str]) -> None:
    write(house_rules, "oil", {**GAS, "claim": "Another."})

    status, out, _ = published(house_rules, capsys)

    assert status == 0
    assert "worked cases: 6 judged, 0 wanting; 8 of 8 expectations compared\n" in out


def test_a_stricter_number_that_no_case_notices_is_refused_with_its_place(house_rules: Path, capsys: pytest.CaptureFixture[str]) -> None:
    edition = house_rules / f"{EDITION}.yaml"
    text = edition.read_text(encoding="utf-8")
    moved = text.replace("reading_uncertainty: {value: 0.3 of one", "reading_uncertainty: {value: 0.4 of one")
    reason = f"""\
lenient:
  - since: {LAST}
    change: "value reading_uncertainty"
    because: "The instrument is worse than was thought."
    clause: "IEC 61557"
    source: {{from: ours, kind: our_reading, confidence: secondary}}
"""
    assert moved != text
    edition.write_text(moved + reason, encoding="utf-8")

    status, out, err = published(house_rules, capsys)

    assert status == 1
    place = rf"WANTING {EDITION}: {EDITION}.yaml:[0-9]+:[0-9]+: no worked case notices that value `reading_uncertainty`"
    assert re.search(rf"{place} is 0.36 for 0.4; write a case that does", out)
    assert "mistakes that a case must notice: 3 of 3" in err
    assert re.search(
        rf"{place} has changed; write a case",
        out,
    )


def test_an_edition_that_is_published_already_is_told_so_and_its_cases_are_looked_at(
    house_rules: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    revision(house_rules, LAST)

    unchanged = published(house_rules, capsys)
    remove(house_rules)
    changed = published(house_rules, capsys)

    assert (unchanged[0], changed[0]) == (0, 1)
    assert unchanged[1].startswith(f"nothing to do: {LAST}: ")
    assert changed[1] == "WANTING worked case copper: / was a case of 6 lines and is gone\n"
    assert "is published with other worked cases; raise the revision in its `id`" in changed[2]


def test_kept_cases_that_were_edited_are_refused(house_rules: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = house_rules / "published" / f"{LAST}.cases.json"
    path.write_bytes(path.read_bytes().replace(b'"bond"', b'"leave"'))

    status, _, err = published(house_rules, capsys)

    assert status == 1
    assert f"published/{path.name}:1:1: the file differs from its digest in `{LAST}`" in err


def test_a_file_that_is_no_case_refuses_publishing(house_rules: Path, capsys: pytest.CaptureFixture[str]) -> None:
    write(house_rules, "oil", {**GAS, "expect": {}})

    status, out, _ = published(house_rules, capsys)

    assert status == 1
    assert "this compares nothing; write what is expected, or leave it out\n" in out


def test_a_pack_that_lacks_what_is_read_by_name_is_wanting_and_no_traceback(house_rules: Path, capsys: pytest.CaptureFixture[str]) -> None:
    for path in (house_rules / "materials.yaml", house_rules / "iec60364" / "materials.yaml"):
        lines = path.read_text(encoding="utf-8").splitlines(keepends=True)
        path.write_text("".join(line for line in lines if not line.startswith("    inspection:")), encoding="utf-8")

    status = main(["rules", "cases", "--pack", EDITION, "--rules", str(house_rules)])

    said = capsys.readouterr()
    assert status == 1
    assert "table `works` lacks the row `inspection`, which is read by name" in said.out + said.err


def test_cases_are_not_left_out_where_there_are_some(house_rules: Path, capsys: pytest.CaptureFixture[str]) -> None:
    status, out, _ = published(house_rules, capsys, "--without-cases")

    assert status == 1
    assert "4 worked cases fall into the time of this edition; leave out --without-cases" in out


def judged(folder: Path, pack_id: str, capsys: pytest.CaptureFixture[str]) -> tuple[int, str]:
    """The status of judging the cases by a pack, and the last line that is printed."""
    capsys.readouterr()
    status = main(["rules", "cases", "--pack", pack_id, "--rules", str(folder)])
    return status, capsys.readouterr().out.splitlines()[-1]


@pytest.mark.parametrize("of", [name for name in CHANGED if name != "a case gone"])
def test_a_pack_that_another_follows_is_held_to_what_was_kept_with_it(
    house_rules: Path, capsys: pytest.CaptureFixture[str], of: str
) -> None:
    make, pointers, _ = CHANGED[of]
    make(house_rules)
    reason(house_rules, pointers)
    assert published(house_rules, capsys)[0] == 0
    write(house_rules, "oil", {**COPPER, "expect": {"main_bond_size": {"highest": 10}}})
    still = {"an expectation gone": (4, 5), "another description": (2, 2), "another near miss": (2, 2)}[of]

    assert judged(house_rules, LAST, capsys) == (
        0,
        f"cases: {still[0]} checked, 0 wanting; {still[1]} of {still[1]} expectations compared",
    )
    assert judged(house_rules, NEXT, capsys)[0] == 1


def test_a_pack_that_another_follows_is_not_held_to_a_calculation_of_a_later_revision(
    house_rules: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert published(house_rules, capsys)[0] == 0
    wrong = {"inputs": {"device": "B", "rated_a": 32}, "gives": {"operating_current": 161}}
    document = {"claim": "x", "rests_on": "y", "calculation": "operating-current", "since_revision": 11, "rows": [wrong]}
    path = house_rules / "iec60364" / "calculations" / "x.json"
    path.parent.mkdir()

    path.write_text(json.dumps(document), encoding="utf-8")
    later = [judged(house_rules, pack_id, capsys)[0] for pack_id in (LAST, NEXT)]
    path.write_text(json.dumps(document | {"since_revision": 10}), encoding="utf-8")
    earlier = judged(house_rules, LAST, capsys)[0]

    assert (later, earlier) == ([0, 1], 1)


def test_what_a_pack_keeps_is_shown_by_history(house_rules: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["rules", "history", "--rules", str(house_rules)]) == 0

    out = capsys.readouterr().out.splitlines()
    assert out[0].endswith(": keeps nothing of its worked cases")
    assert out[-1].startswith(f"{LAST} (usable from 2017-01-01, no end set): keeps 6 expectations of 4 claims, digest ")
