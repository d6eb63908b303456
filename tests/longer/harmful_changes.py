"""Every harmful change of `changes.toml` is refused on the road to publishing, every harmless one is let through. Run by `.ci/run`.

The road is walked as `publish` walks it, in the order of what each step costs: reading, the fast checks, the worked cases, reasons
for what became more lenient or cannot be judged, changes that no case notices. Examples that fall by the change are taken out with it, as
somebody would who wants it through; where those are all that a rule has, they count as brought up to date.
"""

import json
import re
import shutil
import tomllib
from collections import Counter
from functools import cache
from pathlib import Path

import pytest
from tests.rules.whole import whole_examples

from bondwright.cases.kept import changes as changed_cases
from bondwright.cases.kept import kept
from bondwright.cli.rules.publishing.backing import needs_of_backing
from bondwright.cli.rules.publishing.becauses import needs
from bondwright.cli.rules.publishing.checking import faults_of
from bondwright.cli.rules.publishing.meaning import meaning
from bondwright.cli.rules.worked.cases import Trial, tried
from bondwright.cli.rules.worked.mistakes import told, unseen
from bondwright.cli.rules.worked.scoring import whatever_day
from bondwright.errors import BondwrightError, UnreadableRules
from bondwright.proofs.examples import as_expected
from bondwright.proofs.worked.claims import Claims, with_other_digest
from bondwright.proofs.worked.content import changed_parts
from bondwright.rulebook.memory import Kept
from bondwright.rulebook.pack import RulePack
from bondwright.shelf.packs import draft_pack, edited_place, rules_folder
from bondwright.shelf.published import on_shelf

EDITION = "bs7671/2018-a4"
CHANGES: dict[str, list[dict[str, str]]] = tomllib.loads((Path(__file__).parent / "changes.toml").read_text(encoding="utf-8"))
HARMS = [pytest.param(one, id=f"{one['kind']}: {one['what']}") for one in CHANGES["harmful"]]
HARMLESS = [pytest.param(one, id=one["what"]) for one in CHANGES["harmless"]]
FALSE_REASONS = [pytest.param(one, id=one["what"]) for one in CHANGES["false_reason"]]
_LENIENT = re.compile(r"^lenient:\n.*\Z", re.MULTILINE | re.DOTALL)


@cache
def as_it_stands() -> tuple[RulePack, Trial]:
    """The edition without the change, and its worked cases."""
    pack = draft_pack(rules_folder(), EDITION)
    return pack, tried(rules_folder(), pack, on_shelf(rules_folder()))


def changed(folder: Path, edit: dict[str, str]) -> Path:
    """A copy of the rules, without reasons for leniency, every example whole, with one text in the place of another."""
    shutil.copytree(rules_folder(), folder, ignore=shutil.ignore_patterns("published"))
    (folder / "published").symlink_to(rules_folder() / "published")
    edition, path = folder / f"{EDITION}.yaml", folder / edit["file"]
    edition.write_text(_LENIENT.sub("", edition.read_text(encoding="utf-8")), encoding="utf-8")
    for base in folder.glob("*/2*.yaml"):
        base.write_text(whole_examples(base.read_text(encoding="utf-8")), encoding="utf-8")
    text = path.read_text(encoding="utf-8")
    after = text.partition(edit["after"])[2] if "after" in edit else text
    assert edit["was"] in after, f"{edit['file']} no longer has {edit['was']!r}"
    path.write_text(text[: len(text) - len(after)] + after.replace(edit["was"], edit["now"], 1), encoding="utf-8")
    return folder


def reasoned(folder: Path, edit: dict[str, str]) -> Path:
    """The folder with the reason that the change gives for itself, as an edition states one."""
    since = draft_pack(rules_folder(), EDITION).pack_id
    entry = {"since": since, "change": edit["change"], "because": edit["because"], "clause": edit["clause"]}
    source = f"{{from: {edit['from']}, kind: our_reading, confidence: secondary}}"
    lines = [f"{key}: {json.dumps(value, ensure_ascii=False)}" for key, value in entry.items()]
    edition = folder / f"{EDITION}.yaml"
    written = "\n    ".join((*lines, f"source: {source}"))
    edition.write_text(f"{edition.read_text(encoding='utf-8').rstrip()}\nlenient:\n  - {written}\n", encoding="utf-8")
    return folder


def refused(folder: Path) -> str:
    """The step that stops the edition in `folder`; empty where it could be published."""
    before, trial_before = as_it_stands()
    try:
        pack = _without_failing_examples(folder)
    except UnreadableRules as error:
        return f"reading: {error}"
    if faults := [one.fault for one in faults_of(pack, EDITION, full=False) if one.fault and "examples: rule" not in one.fault]:
        return f"check: {faults[0]}"
    if name := _fallen(pack):
        return f"case: {name}"
    try:
        trial = tried(folder, pack, on_shelf(folder))
    except BondwrightError as error:
        return f"case: none can be judged: {error}"
    if faults := [one.fault for one in trial.findings if one.fault]:
        return f"case: {faults[0]}"
    if len(trial.claims) != len(trial_before.claims):
        return "case: other cases fall into its time"
    wanted = needs(meaning(before, pack), changed_cases(json.loads(kept(trial_before.claims)), trial.cases))
    if missing := [*wanted, *needs_of_backing(before, pack)]:
        return f"reason: {missing[0].words}"
    if found := unseen(before, whatever_day(pack, trial), lambda *_: None):
        return f"unseen: {found[0][1]}"
    return ""


@cache
def _claims() -> Claims:
    """The claims of the worked cases, as the edition without the change bears them out."""
    pack, trial = as_it_stands()
    return Claims(pack, told(trial), trial.calculated)


def _fallen(pack: RulePack) -> str:
    """A claim that falls with the rules that were changed, found without judging all of them; empty where none is found so."""
    before, _ = as_it_stands()
    parts, now = changed_parts(before, pack), {rule.rule_id for rule in pack.rules}
    rules = [rule for rule in before.rules if ("rule", rule.rule_id) in parts or rule.rule_id not in now]
    other, memory = with_other_digest(pack), Kept()
    return next((one.name for one in _claims().touched(pack, rules) if one.notices(other, memory)), "")


def _without_failing_examples(folder: Path) -> RulePack:
    """The edition with every example taken out that no longer comes out as it says, but for rules that would keep none."""
    pack = draft_pack(folder, EDITION)
    failing = [one.place for one in as_expected(pack) if one.place and one.check == "examples"]
    spared = [one.place for those in pack.examples.values() if all(one.place in failing for one in those) for one in those]
    places = [edited_place(folder, EDITION, place) for place in failing if place not in spared]
    for file in {place.file for place in places}:
        path = folder / file
        lines = path.read_text(encoding="utf-8").split("\n")
        gone = {place.line for place in places if place.file == file}
        path.write_text("\n".join(line for number, line in enumerate(lines, start=1) if number not in gone), encoding="utf-8")
    return draft_pack(folder, EDITION) if places else pack


@pytest.mark.parametrize("edit", HARMS)
def test_what_would_harm_somebody_cannot_be_published(edit: dict[str, str], tmp_path: Path) -> None:
    step = refused(changed(tmp_path / "rules", edit))

    print(f"{edit['kind']}: {edit['what']}: {step}")
    assert step


@pytest.mark.parametrize("edit", FALSE_REASONS)
def test_no_reason_silences_a_case_that_says_otherwise(edit: dict[str, str], tmp_path: Path) -> None:
    folder = reasoned(changed(tmp_path / "rules", edit), edit)

    step = refused(folder)

    print(f"{edit['what']}: {step}")
    assert step.startswith("case: ")


@pytest.mark.parametrize("edit", HARMLESS)
def test_what_harms_nobody_is_let_through(edit: dict[str, str], tmp_path: Path) -> None:
    assert refused(changed(tmp_path / "rules", edit)) == ""


def test_there_are_enough_of_both() -> None:
    kinds = Counter(one["kind"] for one in CHANGES["harmful"])

    assert len(kinds) >= 10
    assert kinds.total() >= 40
    assert len(HARMLESS) >= 10
    assert len(FALSE_REASONS) >= 6
