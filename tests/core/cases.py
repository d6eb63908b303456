"""Worked cases of `rules/bs7671/cases` as tests use them: read by the service itself, judged by the pack that they are about."""

import json
from functools import cache, lru_cache
from typing import Any, TypeAlias

from tests.described import read as read_bytes
from tests.rules.revisions import newest, newest_revisions

from bondwright.cases.case import Case, Claim
from bondwright.cases.comparing import compared, judges
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
    return _channels(EDITION)


@cache
def _channels(edition: str) -> TwoChannels:
    return TwoChannels(newest(edition), Kept())


def edition_for(installation: Installation) -> str:
    """The edition that the cases are about; for work of an earlier day the newest of the same family in use then."""
    editions = [edition_of(pack) for pack in newest_revisions() if edition_of(pack).startswith("bs7671-") and judges(pack, installation)]
    return EDITION if EDITION in editions or not editions else editions[-1]


def edition_of(pack: RulePack) -> str:
    """What the edition of a pack is called, such as `bs7671-2018-a4`."""
    return pack.pack_id.rpartition("-")[0]


def judged(installation: Json) -> Evaluation:
    """What the newest pack of its day says of a description; of the same one the same object again, for many tests look at each case."""
    return _judged(json.dumps(installation).encode())


@lru_cache(maxsize=2000)
def _judged(described: bytes) -> Evaluation:
    installation = read_bytes(described)
    edition = edition_for(installation)
    return evaluate(installation, newest(edition), _channels(edition).acts, _channels(edition).memory)


def pack_of(evaluation: Evaluation) -> RulePack:
    """The pack that decided."""
    return newest(evaluation.pack.pack_id.rpartition("-")[0])


def read(installation: Json) -> Installation:
    """A description read as strictly as one that was sent."""
    return read_bytes(json.dumps(installation).encode())


def differences(claim: Claim, evaluation: Evaluation) -> list[str]:
    """Where `evaluation` differs from what the claim expects, a line each."""
    return [one.fault for one in compared(claim.expectations, evaluation, pack_of(evaluation)) if one.fault]
