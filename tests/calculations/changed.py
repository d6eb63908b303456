"""Calculations with one number of the rule files changed in a copy."""

import json
from collections.abc import Mapping
from contextlib import closing
from typing import Any

from tests.calculations.worked import pack
from tests.described import terms

from bondwright.calculations.answer import CalculationAnswer
from bondwright.calculations.catalogue import CALCULATIONS, calculate
from bondwright.conclude.concluding import Acting
from bondwright.engine.channels import TwoChannels
from bondwright.installation.documents import read_document
from bondwright.members import replace
from bondwright.rulebook.meaning import Acts
from bondwright.rulebook.memory import Kept
from bondwright.rulebook.pack import RulePack
from bondwright.rulebook.reference import Key


def with_cell(table: str, *keys: Key, value: float) -> RulePack:
    """The rules with another number in one cell of a reference table."""
    held = pack().references[table]
    cells = {**held.cells, keys: replace(held.cell(*keys), value=value)}
    return replace(pack(), references={**pack().references, table: replace(held, cells=cells)})


def with_value(name: str, value: float) -> RulePack:
    """The rules with another number for one named value."""
    return replace(pack(), values={**pack().values, name: replace(pack().values[name], value=value)})


def without_tables() -> RulePack:
    """The rules as they were published before there were reference tables."""
    return replace(pack(), references={})


def worked_by(rules: RulePack, calculation: str, **inputs: Any) -> CalculationAnswer:
    """The answer of a calculation that runs no rules."""
    return _answer(rules, _no_rules, calculation, inputs)


def worked_by_rules(rules: RulePack, calculation: str, **inputs: Any) -> CalculationAnswer:
    """The answer of a calculation that runs rules."""
    with closing(TwoChannels(rules, Kept())) as running:
        return _answer(rules, running.acts, calculation, inputs)


def _answer(rules: RulePack, acting: Acting, calculation: str, inputs: Mapping[str, Any]) -> CalculationAnswer:
    asked, _ = read_document(json.dumps(inputs).encode(), CALCULATIONS[calculation].inputs, terms())
    return calculate(CALCULATIONS[calculation], asked, rules, acting)


def _no_rules(*_: object) -> list[Acts]:
    raise AssertionError("this calculation was thought to run no rules")
