"""Worked cases of `rules/bs7671/cases` as tests use them: read by the service itself, judged by the pack that they are about."""

import json
from functools import cache, lru_cache
from typing import Any, TypeAlias

from tests.described import read as read_bytes
from tests.rules.revisions import newest

from bondwright.cases.case import Case, Claim
from bondwright.cases.comparing import compared
from bondwright.cases.reading import read_case
from bondwright.compose.answer import Evaluation
from bondwright.engine.channels import TwoChannels
from bondwright.evaluate.order import evaluate
from bondwright.installation.description import Installation
from bondwright.rulebook.memory import Kept
from bondwright.rulebook.pack import RulePack
from bondwright.shelf.packs import rules_folder

EDITION = "bs7671-2018-a4"
"""The edition that the cases are about."""

FOLDER = "bs7671/cases"
"""Where they stand in the rules folder."""

Json: TypeAlias = Any


@cache
def cases() -> tuple[Case, ...]:
    """Every case of the folder, by file name."""
    return tuple(read_case(path.read_bytes(), f"{FOLDER}/{path.name}") for path in sorted((rules_folder() / FOLDER).glob("*.json")))


@cache
def published_pack() -> RulePack:
    """The published pack that the cases are about."""
    return newest(EDITION)


@cache
def channels() -> TwoChannels:
    """The two channels of that pack."""
    return TwoChannels(published_pack(), Kept())


def judged(installation: Json) -> Evaluation:
    """What the published pack says of a description; of the same one the same object again, for many tests look at each case."""
    return _judged(json.dumps(installation).encode())


@lru_cache(maxsize=1000)
def _judged(described: bytes) -> Evaluation:
    return evaluate(read_bytes(described), published_pack(), channels().acts, channels().memory)


def read(installation: Json) -> Installation:
    """A description read as strictly as one that was sent."""
    return read_bytes(json.dumps(installation).encode())


def differences(claim: Claim, evaluation: Evaluation) -> list[str]:
    """Where `evaluation` differs from what the claim expects, a line each."""
    return [one.fault for one in compared(claim.expectations, evaluation, published_pack()) if one.fault]
