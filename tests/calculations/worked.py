"""Calculations as their tests use them: by name, with the rule files as they stand."""

import json
from functools import cache
from typing import Any

from tests.described import terms

from bondwright.calculations.answer import CalculationAnswer
from bondwright.calculations.catalogue import CALCULATIONS, calculate
from bondwright.engine.channels import TwoChannels
from bondwright.installation.documents import read_document
from bondwright.rulebook.memory import Kept
from bondwright.rulebook.pack import RulePack
from bondwright.shelf.packs import draft_pack, load_pack, rules_folder


@cache
def pack() -> RulePack:
    """The newest edition as its files stand."""
    return draft_pack(rules_folder(), "bs7671/2018-a4")


@cache
def published(pack_id: str) -> RulePack:
    """A pack as it was published."""
    file = f"{pack_id}.yaml"
    return load_pack((rules_folder() / "published" / file).read_bytes(), file)


@cache
def _channels() -> TwoChannels:
    return TwoChannels(pack(), Kept())


def worked(calculation: str, **inputs: Any) -> CalculationAnswer:
    """The answer of a calculation. Raises: Refused, as over HTTP."""
    asked = CALCULATIONS[calculation]
    read, _ = read_document(json.dumps(inputs).encode(), asked.inputs, terms())
    return calculate(asked, read, pack(), _channels().acts)


def worked_by(judging: RulePack, calculation: str, **inputs: Any) -> CalculationAnswer:
    """The same by any pack."""
    asked = CALCULATIONS[calculation]
    read, _ = read_document(json.dumps(inputs).encode(), asked.inputs, terms())
    return calculate(asked, read, judging, TwoChannels(judging, Kept()).acts)


def result(answer: CalculationAnswer, name: str) -> float:
    """One of the results by its name."""
    return next(one.value for one in answer.results if one.name == name)


def judged(answer: CalculationAnswer, name: str) -> str:
    """The word of one of the judgements by its name."""
    return next(one.word for one in answer.judgements if one.name == name)
