"""The commands with a rule pack withdrawn: what names it is refused with its successor, what it answered is listed and replayed."""

import json
import shutil
import subprocess
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path

import pytest
from tests import forked
from tests.audit.form_1.records import HERON, kept_in, record_file
from tests.cli.command import BONDWRIGHT, described
from tests.cli.small_rules import AMENDMENT, BASE, publish

import bondwright
from bondwright.cli import main
from bondwright.cli.rules.choosing import those_that_stand
from bondwright.shelf.packs import rules_folder
from bondwright.shelf.published import on_shelf
from bondwright.shelf.withdrawn import FILE

GONE, SUCCESSOR = "bs7671-2018-a4-r1", "bs7671-2018-a4-r11"
REASON = "it let a bond pass that is too small"
ENTRY = f'withdrawn:\n  - {{pack_id: {GONE}, reason: "{REASON}", since: 2026-11-30, successor: {SUCCESSOR}}}\n'
SENTENCE = f"rule pack {GONE} is withdrawn since 2026-11-30 ({REASON}); {SUCCESSOR} stands in its place"


@dataclass(frozen=True)
class Copy:
    """A copy of the service with rules of its own in `service`, and records of form 1 in `folder`."""

    service: Path
    folder: Path

    @property
    def rules(self) -> Path:
        """Its rules folder."""
        return self.service / "bondwright" / "_rules"

    def withdraw(self, entries: str = ENTRY) -> None:
        """Makes `entries` the content of its file of withdrawn packs."""
        (self.rules / FILE).write_text(entries, encoding="utf-8")

    def __call__(self, *arguments: str | Path) -> subprocess.CompletedProcess[str]:
        """What its command printed and how it ended."""
        done = forked.run([BONDWRIGHT, *arguments], service=self.service, BONDWRIGHT_DATA=str(self.folder))
        return subprocess.CompletedProcess(done.args, done.returncode, done.stdout.decode(), done.stderr.decode())


@pytest.fixture(scope="module")
def service(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The folder of a copied package, of which each test changes the file of withdrawn packs alone: it is loaded once."""
    package, there = Path(bondwright.__file__).parent, tmp_path_factory.mktemp("service")
    shutil.copytree(package, there / "bondwright", ignore=shutil.ignore_patterns("__pycache__", "_rules"))
    shutil.copytree(rules_folder(), there / "bondwright" / "_rules")
    return there


@pytest.fixture
def copy(service: Path, tmp_path: Path) -> Copy:
    """A copy in which nothing is withdrawn yet, with records of the test's own."""
    record_file(tmp_path)
    made = Copy(service, tmp_path)
    made.withdraw("withdrawn: []\n")
    return made


def test_an_evaluation_that_names_it_is_refused(copy: Copy, tmp_path: Path) -> None:
    file = described(tmp_path, rule_pack=GONE)

    before = copy("evaluate", file)
    copy.withdraw()
    after = copy("evaluate", file)

    assert (before.returncode, f"({GONE})" in before.stdout or GONE in before.stdout) == (0, True)
    assert (after.returncode, after.stdout) == (2, "")
    assert after.stderr == f"{file}: /rule_pack: {SENTENCE}; name that, or leave it out, and the date of the work chooses\n"


def test_a_calculation_that_names_it_is_refused(copy: Copy) -> None:
    asked = ("calculate", "isolation-reading", "--measured-ohm", "7000", "--rule-pack", GONE)

    before = copy(*asked)
    copy.withdraw()
    after = copy(*asked)

    assert (before.returncode, after.returncode, after.stdout) == (0, 2, "")
    assert after.stderr.startswith(f"--rule-pack: {SENTENCE}")


def test_a_mistake_in_the_file_is_told_with_its_place(copy: Copy, tmp_path: Path) -> None:
    copy.withdraw(ENTRY.replace(SUCCESSOR, GONE))

    told = copy("evaluate", described(tmp_path))

    assert (told.returncode, told.stdout) == (1, "")
    assert told.stderr.startswith(
        f"bondwright: withdrawn.yaml:2:{ENTRY.splitlines()[1].index(SUCCESSOR) + 1}: `{GONE}` is withdrawn itself"
    )


def test_impact_lists_the_answers_that_rest_on_it_and_judges_them_by_its_successor(copy: Copy) -> None:
    asked = ("impact", "--pack", copy.rules / "published" / f"{SUCCESSOR}.yaml", "--tenant", HERON)
    (resting,) = [one for one in kept_in(copy.folder / "record.sqlite", HERON) if one.pack_id == GONE]

    before = copy(*asked, "--format", "json")
    copy.withdraw()
    after, words = copy(*asked, "--format", "json"), copy(*asked)

    was, told = json.loads(before.stdout), json.loads(after.stdout)
    assert (was["rests_on_withdrawn"], was["records"]["not_touched"], was["records"]["judged"]) == ([], 1, 5)
    assert (told["records"]["not_touched"], told["records"]["judged"], told["records"]["not_evaluated"]) == (0, 6, 0)
    assert [(one["evaluation_id"], one["pack_id"]) for one in told["rests_on_withdrawn"]] == [(resting.evaluation_id, GONE)]
    listed = f"Answers that rest on a withdrawn rule pack: 1\n  {resting.evaluation_id}  {GONE}: Osier Lane 4, work of 2026-11-25\n"
    assert words.stdout.endswith(listed)


def test_impact_of_a_withdrawn_pack_is_refused_with_its_successor(copy: Copy) -> None:
    copy.withdraw()

    told = copy("impact", "--pack", copy.rules / "published" / f"{GONE}.yaml", "--tenant", HERON)

    assert (told.returncode, told.stdout, SENTENCE in told.stderr) == (2, "", True)


def test_what_it_answered_is_replayed_and_the_replay_says_so(copy: Copy) -> None:
    (resting,) = [one for one in kept_in(copy.folder / "record.sqlite", HERON) if one.pack_id == GONE]
    copy.withdraw()

    one, every = copy("replay", resting.evaluation_id, "--tenant", HERON), copy("replay", "--all", "--tenant", HERON)

    assert (one.returncode, every.returncode) == (0, 0)
    assert f"  {SENTENCE}\n" in one.stdout
    assert every.stdout.startswith("6 records replayed: 0 same, 6 same levels,")


def test_records_are_exported_and_taken_in_all_the_same(copy: Copy, tmp_path: Path) -> None:
    copy.withdraw()

    statuses = [
        copy("export", tmp_path / "heron.jsonl", "--tenant", HERON).returncode,
        copy("import", tmp_path / "heron.jsonl", "--data", tmp_path / "there").returncode,
    ]

    assert statuses == [0, 0]
    assert kept_in(tmp_path / "there" / "record.sqlite", HERON) == kept_in(tmp_path / "record.sqlite", HERON)


@pytest.fixture
def two_packs(rules: Path, capsys: pytest.CaptureFixture[str]) -> Path:
    """A small rules folder with two packs, of which none is withdrawn yet."""
    assert [publish(rules, edition) for edition in (BASE, AMENDMENT)] == [0, 0]
    capsys.readouterr()
    return rules


def withdraw_second(rules: Path, since: str) -> None:
    """Withdraws the second book for the first."""
    entry = f'{{pack_id: book-second-r1, reason: "{REASON}", since: {since}, successor: book-first-r1}}'
    (rules / FILE).write_text(f"withdrawn: [{entry}]\n", encoding="utf-8")


def test_the_list_of_rule_packs_says_so(two_packs: Path, capsys: pytest.CaptureFixture[str]) -> None:
    asked = ["rules", "list", "--rules", str(two_packs)]

    main(asked)
    before = capsys.readouterr().out
    withdraw_second(two_packs, "2999-01-01")
    main(asked)
    after = capsys.readouterr().out
    main([*asked, "--format", "json"])
    told = {one["pack_id"]: (one["state"], one["withdrawn"]) for one in json.loads(capsys.readouterr().out)["published"]}

    assert "book-second-r1 (published): " in before
    assert f"book-second-r1 (withdrawn since 2999-01-01 for book-first-r1: {REASON}): " in after
    assert told["book-second-r1"] == ("withdrawn", {"reason": REASON, "since": "2999-01-01", "successor": "book-first-r1"})
    assert told["book-first-r1"] == ("published", None)


def test_a_rule_is_shown_of_packs_that_stand_and_of_the_other_with_a_word_on_it(
    two_packs: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    withdraw_second(two_packs, "2999-01-01")
    asked = ["rules", "show", "metal-from-ground", "--rules", str(two_packs)]

    statuses = [main([*asked, *how]) for how in (["--on", "2021-01-01"], ["--on", "2023-01-01"], ["--pack", "book-second-r1"])]

    out, err = capsys.readouterr()
    assert statuses == [0, 2, 0]
    assert f"no published pack was usable on 2023-01-01; rule pack book-second-r1 is withdrawn since 2999-01-01 ({REASON})" in err
    assert out.endswith(f"rule pack book-second-r1 is withdrawn since 2999-01-01 ({REASON}); book-first-r1 stands in its place\n")


def test_worked_cases_are_judged_by_packs_that_stand(two_packs: Path) -> None:
    packs = on_shelf(two_packs)
    withdraw_second(two_packs, "2999-01-01")

    assert [[pack.pack_id for pack in some] for some in (packs, those_that_stand(two_packs, packs))] == [
        ["book-first-r1", "book-second-r1"],
        ["book-first-r1"],
    ]


def test_a_withdrawal_that_is_still_to_come_is_found_wanting_by_the_check(two_packs: Path, capsys: pytest.CaptureFixture[str]) -> None:
    statuses = []
    for since in (datetime.now(UTC).date().isoformat(), "2999-01-01"):
        withdraw_second(two_packs, since)
        statuses.append(main(["rules", "check", "--rules", str(two_packs)]))

    assert statuses == [0, 1]
    assert "`since` 2999-01-01 is still to come, but it counts as withdrawn at once" in capsys.readouterr().out
