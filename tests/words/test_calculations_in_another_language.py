"""Read in another language, the answer of a calculation and its page have nothing English in them but names, units and formulas."""

import json
import re
from collections.abc import Collection, Iterable
from typing import Any, TypeAlias

import orjson
import pytest
from tests.calculations.keep_answers import answer, inputs
from tests.described import terms
from tests.words.scratch import exchanged, scratch_pack
from tests.words.test_nothing_stays_english import strings, words

from bondwright.calculations.answer import CalculationAnswer, answer_bytes
from bondwright.calculations.catalogue import CALCULATIONS
from bondwright.calculators.networks.earth_fault import CASE, EARTH, TERMINAL
from bondwright.errors import Refused
from bondwright.facts.conductors import SIZED_METALS
from bondwright.installation.documents import read_document
from bondwright.members import replace
from bondwright.report.calculation import calculation_text
from bondwright.rulebook.pack import RulePack

Answered: TypeAlias = tuple[str, CalculationAnswer, frozenset[str]]
"""A calculation by its name, its answer, and the names that stand in its sentences."""

SENTENCES = frozenset({"title", "validity", "says", "words", "cautions"})
"""Members that hold sentences; of all others but these, `formula` and `row`, the text is a name."""
NOTATION = frozenset({"sqrt", "ln", "pi", "rules", "table", "RA", "Zs", "line"})
"""What formulas write for operations, look-ups, what they give, and one end of a load."""
UNITS = frozenset({"ohm"})


def named_in(name: str, asked: object, pack: RulePack) -> frozenset[str]:
    """The names that sentences may have: what was given or is taken where nothing is, its members, metals, kinds of location, ends."""
    read, _ = read_document(orjson.dumps(asked), CALCULATIONS[name].inputs, terms())
    given = {text for _, text in strings(read.model_dump(mode="json"))}
    kinds = pack.kinds.rows["location"]
    return frozenset({*given, *type(read).model_fields, *pack.rows(SIZED_METALS), *kinds, CASE, TERMINAL, EARTH})


def names_of_rows(pack: RulePack) -> frozenset[str]:
    """The names of which rows are: words in keys of tables, facts, and units."""
    keys = {key for table in pack.references.values() for row, _ in table for key in row if isinstance(key, str)}
    units = {unit for table in pack.references.values() for unit in table.by.values()}
    return frozenset({*keys, *units, *pack.facts, "mm"})


def left(text: str, names: Iterable[str]) -> set[str]:
    """The English words of a text without those names, each taken out as a whole."""
    for one in sorted(names, key=len, reverse=True):
        text = re.sub(rf"(?<![A-Za-z0-9_]){re.escape(one)}(?![A-Za-z0-9_])", "", text)
    return words(text)


def english(said: Any, known: Collection[str], of_rows: Collection[str]) -> list[tuple[str, str]]:
    """What stays English in an answer, each with its member. `known`: names in its sentences; `of_rows`: in rows of tables."""
    quantities = {one["name"] for step in said["working"] for one in (*step["inputs"], step["gives"])}
    allowed = {"formula": {*known, *quantities, *NOTATION}, "row": {*of_rows}, **{one: {*known, *UNITS} for one in SENTENCES}}
    return [(member, text) for member, text in strings(said) if member in allowed and left(text, allowed[member])]


def as_json(given: CalculationAnswer) -> Any:
    """An answer as it is sent."""
    return json.loads(answer_bytes(given))


@pytest.fixture(scope="module")
def answers() -> list[Answered]:
    pack = scratch_pack()
    found: list[Answered] = []
    for name, several in inputs().items():
        for asked in several:
            try:
                found.append((name, answer(pack, name, asked), named_in(name, asked, pack)))
            except Refused:
                continue
    return found


def test_no_answer_of_a_calculation_stays_english(answers: list[Answered]) -> None:
    of_rows = names_of_rows(scratch_pack())

    assert {name for name, _, _ in answers} == CALCULATIONS.keys()
    assert [(name, found) for name, given, known in answers if (found := english(as_json(given), known, of_rows))] == []


def test_a_page_says_nothing_in_english_that_its_answer_does_not(answers: list[Answered]) -> None:
    say = scratch_pack().say

    for name, given, _ in answers:
        shown = {word for _, text in strings(as_json(given)) for word in words(text)}
        assert words(calculation_text(given, say)) - shown - {"mm"} == set(), name


def test_a_sentence_of_a_calculation_left_in_english_is_noticed(answers: list[Answered]) -> None:
    _, given, known = answers[0]
    (step, *_) = given.working

    said = replace(given, validity=("Keep off.",), working=(replace(step, formula=f"{step.gives.name} = the larger"),))

    assert english(as_json(said), known, ()) == [("formula", f"{step.gives.name} = the larger"), ("validity", "Keep off.")]
    assert left("limit_ohm of copper", ["copper"]) == {"limit", "ohm", "of"}
    assert exchanged("take {made}").isascii() is False
