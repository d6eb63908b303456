"""`bondwright rules publish`: the difference by direction, reasons for leniency, a trial run, and an end at any moment."""

import json
import os
import signal
import subprocess
from pathlib import Path
from typing import Any

import pytest
from tests.cli.command import BONDWRIGHT
from tests.cli.small_rules import AMENDMENT, BASE, excused, publish
from tests.forked import Forked

from bondwright.cli import main
from bondwright.cli.rules.publishing.writing import write_together
from bondwright.errors import BondwrightError
from bondwright.shelf.published import published_packs


@pytest.fixture
def published(rules: Path) -> Path:
    """The small rules folder with both editions published, and the amendment opened for its second revision."""
    assert [publish(rules, edition) for edition in (BASE, AMENDMENT)] == [0, 0]
    change(rules, AMENDMENT, "book-second-r1", "book-second-r2")
    return rules


def change(rules: Path, edition: str, old: str, new: str) -> None:
    """Puts one text in the place of another in the file of an edition."""
    path = rules / f"{edition}.yaml"
    text = path.read_text(encoding="utf-8")
    assert old in text
    path.write_text(text.replace(old, new), encoding="utf-8")


def cell(rules: Path, was: int, now: int) -> None:
    """Adds to the amendment that a neutral up to 50 mm² asks for another bond, with its example."""
    example = "      - {given: {neutral: 50 mm2}, expect: {bond_size: {worst_case: 16, provisional: none, firm: yes}}}\n"
    text = (rules / f"{BASE}.yaml").read_text(encoding="utf-8")
    start, end = text.index("  - id: bond-size"), text.index(example) + len(example)
    rule = text[start:].replace(f"bond_size: {was}}}", f"bond_size: {now}}}").replace(f"worst_case: {was},", f"worst_case: {now},")
    assert end > start
    source = "source: {from: small-book, kind: stated, confidence: secondary}"
    made = f'  - set_cell: {{table: bond-by-neutral, up_to: 50, was: {was}, now: {now}, clause: "Table 5", {source}}}\n'
    replaced = '  - replace: bond-size\n    was: "The bond follows the neutral."\n    with:\n'
    change(rules, AMENDMENT, "# the end\n", made + replaced + "".join(f"    {line}\n" for line in rule.splitlines()))


def everything(rules: Path) -> dict[str, bytes]:
    """Every file of the folder, by name."""
    return {path.relative_to(rules).as_posix(): path.read_bytes() for path in rules.rglob("*") if path.is_file()}


def told(rules: Path, capsys: pytest.CaptureFixture[str], edition: str = AMENDMENT, *options: str) -> tuple[int, list[str]]:
    """The status of publishing, and the lines that it prints."""
    capsys.readouterr()
    status = publish(rules, edition, *options)
    return status, capsys.readouterr().out.splitlines()


def test_a_first_edition_follows_nothing(rules: Path, capsys: pytest.CaptureFixture[str]) -> None:
    status, lines = told(rules, capsys, BASE)

    assert status == 0
    assert lines[0] == "book-first-r1 follows no published pack: there is nothing to compare it with"


def test_an_amendment_follows_what_it_amends_and_says_what_becomes_stricter(rules: Path, capsys: pytest.CaptureFixture[str]) -> None:
    publish(rules, BASE)

    status, lines = told(rules, capsys)

    assert status == 0
    assert lines[0].startswith("book-second-r1 follows book-first-r1: ")
    assert lines[1:5] == [
        "stricter:",
        "  main_bonding becomes stricter, not_required to in_doubt: part with ground no",
        "more lenient:",
        "  nothing",
    ]
    assert lines[5] == "other:"
    assert "  rule metal-in-doubt: added" in lines


def test_a_revision_follows_the_one_before_it(published: Path, capsys: pytest.CaptureFixture[str]) -> None:
    status, lines = told(published, capsys)

    assert status == 0
    assert lines[:7] == [
        "book-second-r2 follows book-second-r1: 0 differences",
        "stricter:",
        "  nothing",
        "more lenient:",
        "  nothing",
        "other:",
        "  nothing",
    ]


def test_a_stricter_table_is_published_without_a_reason(published: Path, capsys: pytest.CaptureFixture[str]) -> None:
    cell(published, 16, 20)

    status, lines = told(published, capsys)

    assert status == 0
    assert lines[2].startswith("  bond_size becomes stricter, 16 mm2 to 20 mm2: installation with neutral ")
    assert lines[3:5] == ["more lenient:", "  nothing"]


def test_what_becomes_more_lenient_is_not_published_without_a_reason(published: Path, capsys: pytest.CaptureFixture[str]) -> None:
    cell(published, 16, 12)
    before = everything(published)

    status, lines = told(published, capsys)

    wanting = next(line for line in lines if line.startswith("WANTING "))
    assert status == 1
    assert wanting.startswith("WANTING book/second: bond_size becomes more lenient, 16 mm2 to 12 mm2: installation with neutral ")
    assert wanting.endswith("; no reason is given for it under `lenient`")
    assert lines[-1] == "nothing was published"
    assert everything(published) == before


def test_the_reason_that_is_missing_is_printed_as_it_may_be_written_and_must_be_filled_in(
    published: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    cell(published, 16, 12)
    _, lines = told(published, capsys)
    start = lines.index("lenient:")
    written = "\n".join(lines[start : lines.index("nothing was published")]) + "\n"
    path = published / f"{AMENDMENT}.yaml"
    path.write_text(path.read_text(encoding="utf-8") + written.replace("from: FILL-IN", "from: small-book"), encoding="utf-8")

    status, lines = told(published, capsys)
    change(published, AMENDMENT, "FILL-IN", "Now")
    filled_in, _ = told(published, capsys)

    assert (status, filled_in) == (1, 0)
    assert any(line.endswith("the reason or its clause still says FILL-IN") for line in lines)


def test_a_reason_is_kept_in_the_pack_and_shown_by_history(published: Path, capsys: pytest.CaptureFixture[str]) -> None:
    cell(published, 16, 12)
    excused(published, AMENDMENT, "book-second-r1", "outcome", "bond_size")

    status, lines = told(published, capsys)

    (reason,) = published_packs(published)[-1].lenient
    words = "bond_size more lenient since book-second-r1, because: The book says so now. (544.1; small-book, stated, secondary)"
    assert status == 0
    assert "because of outcome bond_size: The book says so now. (544.1; small-book, secondary)" in lines
    assert (reason.since, reason.name, reason.says) == ("book-second-r1", "bond_size", "The book says so now.")
    assert f"  {words}" in history(published, capsys, "bond-size")
    assert f"  {words}" in history(published, capsys)
    assert f"  {words}" not in history(published, capsys, "metal-in-doubt")
    assert json_history(published, capsys, "bond-size")[-1]["lenient"][0]["says"] == "The book says so now."
    assert json_history(published, capsys)[-1]["cases"]["claims"] == 0


def history(rules: Path, capsys: pytest.CaptureFixture[str], *arguments: str) -> list[str]:
    """The lines of the history of a rule, or of every pack."""
    capsys.readouterr()
    assert main(["rules", "history", *arguments, "--rules", str(rules)]) == 0
    return capsys.readouterr().out.splitlines()


def json_history(rules: Path, capsys: pytest.CaptureFixture[str], *arguments: str) -> Any:
    """The same as JSON."""
    return json.loads("\n".join(history(rules, capsys, *arguments, "--format", "json")))


def test_a_reason_serves_one_step_only(published: Path, capsys: pytest.CaptureFixture[str]) -> None:
    cell(published, 16, 12)
    excused(published, AMENDMENT, "book-first-r1", "outcome", "bond_size")
    line = 1 + (published / f"{AMENDMENT}.yaml").read_text(encoding="utf-8").splitlines().index("lenient:")

    status, lines = told(published, capsys)

    assert status == 1
    assert (
        f"WANTING book/second: book/second.yaml:{line + 1}:5: "
        "this is about a step from `book-first-r1`, and the pack follows `book-second-r1`; take it out"
    ) in lines


def test_a_reason_for_which_nothing_stands_is_refused(published: Path, capsys: pytest.CaptureFixture[str]) -> None:
    excused(published, AMENDMENT, "book-second-r1", "outcome", "objection")

    status, lines = told(published, capsys)

    assert status == 1
    assert any(line.endswith("nothing about outcome `objection` needs this reason; take it out") for line in lines)


def test_a_reason_of_the_base_is_not_one_of_its_amendment(rules: Path) -> None:
    publish(rules, BASE)
    change(rules, BASE, "book-first-r1", "book-first-r2")
    change(rules, BASE, "to: 2021-12-31", "to: 2021-11-30")
    excused(rules, BASE, "book-first-r1", "change", "pack header usable_to")

    statuses = [publish(rules, BASE), publish(rules)]

    assert statuses == [0, 0]
    assert [len(pack.lenient) for pack in published_packs(rules)] == [0, 1, 0]


def test_a_dropped_objection_needs_a_reason(rules: Path, capsys: pytest.CaptureFixture[str]) -> None:
    publish(rules, BASE)
    change(rules, BASE, "book-first-r1", "book-first-r2")
    change(rules, BASE, "when: {apart: yes}", "when: {apart: yes, metal: yes}")
    change(rules, BASE, "{given: {apart: yes}, expect", "{given: {apart: yes, metal: yes}, expect")
    change(
        rules,
        BASE,
        "      - {given: {apart: no},",
        "      - {given: {apart: yes, metal: no}, expect: {objection: no_objection}}\n      - {given: {apart: no},",
    )

    status, lines = told(rules, capsys, BASE)

    assert status == 1
    assert lines[4].startswith("  objection becomes more lenient, objection to no_objection: part with ")


def test_a_changed_value_goes_no_way_that_can_be_worked_out_and_needs_a_reason(rules: Path, capsys: pytest.CaptureFixture[str]) -> None:
    publish(rules, BASE)
    change(rules, BASE, "book-first-r1", "book-first-r2")
    change(rules, BASE, "least: {value: 6 mm2", "least: {value: 4 mm2")

    status, lines = told(rules, capsys, BASE)
    excused(rules, BASE, "book-first-r1", "change", "value least")
    second, _ = told(rules, capsys, BASE)

    assert (status, second) == (1, 0)
    assert "  value least: which way it goes cannot be worked out" in lines
    assert '    change: "value least"' in lines


def test_a_revision_below_a_published_one_is_refused(published: Path, capsys: pytest.CaptureFixture[str]) -> None:
    change(published, AMENDMENT, "book-second-r2", "book-second-r5")
    publish(published)
    change(published, AMENDMENT, "book-second-r5", "book-second-r4")

    status = publish(published)

    assert status == 1
    assert "`book-second-r5` is published; write a revision above it" in capsys.readouterr().err


def test_an_edition_without_worked_cases_is_not_published_by_default(rules: Path, capsys: pytest.CaptureFixture[str]) -> None:
    status = main(["rules", "publish", BASE, "--rules", str(rules)])

    assert status == 1
    assert (
        "WANTING book/first: no worked case falls into the time of this edition, so nothing holds what it answers"
        in capsys.readouterr().out
    )


def test_a_trial_run_does_all_but_write(published: Path, capsys: pytest.CaptureFixture[str]) -> None:
    cell(published, 16, 20)
    before = everything(published)

    status, lines = told(published, capsys, AMENDMENT, "--dry-run")
    unchanged = everything(published) == before
    _, written = told(published, capsys)

    assert (status, unchanged) == (0, True)
    assert lines[-1] == f"nothing is wanting; without --dry-run this publishes {written[-1].removeprefix('published ')}"


def test_a_trial_run_is_refused_as_publishing_would_be(published: Path, capsys: pytest.CaptureFixture[str]) -> None:
    cell(published, 16, 12)

    status, lines = told(published, capsys, AMENDMENT, "--dry-run")

    assert status == 1
    assert lines[-1] == "nothing was published"


def test_what_is_being_done_is_told_on_standard_error(published: Path, capsys: pytest.CaptureFixture[str]) -> None:
    cell(published, 16, 21)
    capsys.readouterr()

    publish(published)

    err = capsys.readouterr().err.splitlines()
    assert err[0] == "difference in meaning: 1 of 1"
    assert err[1].startswith("proofs: 1 of ")
    assert err[-1] == f"proofs: {len(err) - 1} of {len(err) - 1}, survivors"


def test_a_pack_that_was_cut_off_before_its_line_is_published_by_the_next_call(published: Path) -> None:
    before = everything(published)
    publish(published)
    whole = everything(published)
    (published / "published.lock").write_bytes(before["published.lock"])

    publish(published)

    assert everything(published) == whole


@pytest.mark.parametrize("moment", ["difference in meaning", "proofs: 1 of", "proofs: 5 of", "proofs: 9 of"])
def test_an_interrupt_leaves_nothing_half_written(published: Path, tmp_path: Path, moment: str) -> None:
    cell(published, 16, 20)
    before = everything(published)
    command: list[str | Path] = [BONDWRIGHT, "rules", "publish", AMENDMENT, "--rules", str(published), "--without-cases"]
    environment = {**os.environ, "BONDWRIGHT_DATA": str(tmp_path / "own")}
    with Forked(command, environment, stdout=subprocess.PIPE, stderr=subprocess.PIPE) as running:
        assert running.stderr is not None
        for line in running.stderr:
            if line.decode().startswith(moment):
                running.send_signal(signal.SIGINT)
                break
        _, err = running.communicate(timeout=300)

    assert running.returncode == 128 + signal.SIGINT
    assert err.endswith(b"stopped; nothing was published\n")
    assert everything(published) == before


def test_an_interrupt_while_files_are_written_waits_until_all_are(tmp_path: Path) -> None:
    class Interrupting(dict[Path, bytes]):
        """Files of which each brings an interrupt before it is written."""

        def items(self) -> Any:
            for item in super().items():
                os.kill(os.getpid(), signal.SIGINT)
                yield item

    files = Interrupting({tmp_path / name: name.encode() for name in ("one", "two", "three")})

    write_together(files)

    assert {path.name for path in tmp_path.iterdir()} == {"one", "two", "three"}


def test_where_one_file_cannot_be_written_none_is(tmp_path: Path) -> None:
    (tmp_path / "taken").mkdir()

    with pytest.raises(BondwrightError, match="cannot be written"):
        write_together({tmp_path / "one": b"1", tmp_path / "taken": b"2"})

    assert [path.name for path in tmp_path.iterdir()] == ["taken"]
