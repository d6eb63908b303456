"""Read in another language, an answer has nothing English in it but names, ids, units, codes and the words of machines."""

import json
import re
from collections.abc import Collection, Iterator
from typing import Any

import pytest
from tests.described import read
from tests.longer.described import worked
from tests.words.scratch import exchanged, scratch_pack

from bondwright.compose.answer import Evaluation
from bondwright.compose.written.writing import evaluation_bytes
from bondwright.engine.channels import TwoChannels
from bondwright.errors import Contradiction
from bondwright.evaluate.editions import also_usable
from bondwright.evaluate.order import evaluate
from bondwright.report.brief import brief_text
from bondwright.report.page.made import page_of
from bondwright.report.page.shape import Calls
from bondwright.report.page.why import names_known, why_text
from bondwright.report.page.written import page_text
from bondwright.report.text import evaluation_text
from bondwright.rulebook.memory import Kept
from bondwright.rulebook.pack import RulePack

MACHINE = frozenset(
    """pack_id digest pack_digest standard title usable_from usable_to review_by chosen_by chosen_on art pointer of kind section act mark
    outcome act_on worst_case lowest_possible fact rule file origin source weakest_source confidence waiting_for counts unit code part bond
    reading location covered_by bonded covered parts reference clause why""".split()  # noqa: SIM905
)
"""Members of an answer that hold ids, names of machines, or names that the describer gave."""
IDS = ("bond", "reading", "part", "location")
UNITS = frozenset({"mm", "ohm"})
CODES = frozenset({"FI"})
_WORD = re.compile(r"[A-Za-z]{2,}")


@pytest.fixture(scope="module")
def running() -> Iterator[TwoChannels]:
    channels = TwoChannels(scratch_pack(), Kept())
    yield channels
    channels.close()


def strings(content: Any, member: str = "") -> Iterator[tuple[str, str]]:
    """Every text of an answer with the member that holds it."""
    if isinstance(content, dict):
        for name, value in content.items():
            yield from strings(value, name)
    elif isinstance(content, list):
        for value in content:
            yield from strings(value, member)
    elif isinstance(content, str):
        yield member, content


def words(text: str) -> set[str]:
    """The words of English letters in a text."""
    return set(_WORD.findall(text))


def given_in(raw: bytes) -> set[str]:
    """The words of the names that a describer gave."""
    return {word for member, text in strings(json.loads(raw)) if member in ("id", "reference") for word in words(text)}


def english(answer: Any, given: Collection[str], *packs: RulePack) -> list[tuple[str, str]]:
    """What stays English in an answer, each with its member; `given`: words of names in the description, `packs`: those that decided."""
    known = {*given, *UNITS, *CODES}
    levels = [level for pack in packs for one in pack.outcomes.values() for level in one.levels]
    machine = {word for pack in packs for name in (*pack.outcomes, *pack.advice, *levels) for word in words(name)}
    machine |= words("not_shown ask_first not_judged look_first covered")
    own = {text for member, text in strings(answer) if member in IDS}
    ids = sorted({*own, *(one.rpartition("/")[2] for one in own if "-sections-" in one)}, key=len, reverse=True)
    return [
        (member, text)
        for member, text in strings(answer)
        if member not in MACHINE and words(_without(ids, text)) - known - (machine if member == "differing" else set())
    ]


def _without(ids: Collection[str], text: str) -> str:
    for one in ids:
        text = text.replace(one, "")
    return text


def described(raw: bytes, pack: RulePack, channels: TwoChannels) -> Evaluation | None:
    """What the pack says; none where the description contradicts itself."""
    try:
        return evaluate(read(raw), pack, channels.acts, channels.memory)
    except Contradiction:
        return None


def of_the_site(evaluation: Evaluation, raw: bytes, pack: RulePack) -> Iterator[str]:
    """The page for the site, and all that is behind each thing of it; types of earthing are words of machines."""
    installation = read(raw)
    page = page_text(page_of(evaluation, installation, pack, Calls("…", "…")))
    yield page.replace(installation.supply.earthing_system, "")
    for name in names_known(evaluation, installation, pack):
        yield why_text(evaluation, installation, pack, name) or ""


def test_no_answer_and_no_page_to_a_worked_case_stays_english(running: TwoChannels) -> None:
    pack, looked_at = scratch_pack(), 0
    clauses = {word for rule in pack.rules for word in words(rule.clause)}  # of rules that did not apply, too

    for name, raw in worked().items():
        evaluation = described(raw, pack, running)
        if evaluation is None:
            continue
        looked_at += 1
        answer, given = json.loads(evaluation_bytes(evaluation)), given_in(raw)
        assert english(answer, given, pack) == [], name
        machine = {word for member, text in strings(answer) if member in MACHINE for word in words(text)}
        shown = given | UNITS | CODES | clauses | machine
        for page in (evaluation_text(evaluation, pack.say), brief_text(evaluation, pack.say), *of_the_site(evaluation, raw, pack)):
            assert words(page.replace(evaluation.pack.digest[:12], "")) - shown == set(), name

    assert looked_at > 300


def test_what_another_edition_says_otherwise_is_told_in_the_language_of_the_answer(running: TwoChannels) -> None:
    pack, older = scratch_pack(), scratch_pack("bs7671/2018")
    others, told = TwoChannels(older, Kept()), 0

    for name, raw in [*worked().items()][::8]:
        used, other = described(raw, pack, running), described(raw, older, others)
        if used and other:
            differing = also_usable(used, older, other, pack.say).differing
            told += len(differing)
            assert english({"differing": list(differing)}, given_in(raw), pack, older) == [], name

    assert told


def test_a_sentence_left_in_english_is_noticed(running: TwoChannels) -> None:
    pack = scratch_pack()
    evaluation = described(next(iter(worked().values())), pack, running)
    assert evaluation is not None
    answer = json.loads(evaluation_bytes(evaluation))

    answer["cautions"].append("Keep off.")

    assert english(answer, (), pack) == [("cautions", "Keep off.")]
    assert exchanged("Keep off {part}: C2.").isascii() is False
