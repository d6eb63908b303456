"""An outline says no less than its answer: over drawn descriptions, with packs of both families."""

import json
from collections import Counter
from functools import cache

import pytest
from hypothesis import HealthCheck, Phase, assume, given, settings
from tests.core.cases import cases, judged, pack_of
from tests.described import described
from tests.outlined import Json, left_out, milder
from tests.properties.descriptions import Said, installations
from tests.rules.revisions import newest_published

from bondwright.audit.forms import content_of
from bondwright.compose.written.writing import evaluation_bytes
from bondwright.engine.channels import TwoChannels
from bondwright.errors import Contradiction
from bondwright.evaluate.order import evaluate
from bondwright.outline.making import outline_bytes
from bondwright.rulebook.declared.acts import INSTRUCTIONS
from bondwright.rulebook.memory import Kept
from bondwright.rulebook.pack import RulePack

EDITIONS = ("bs7671-2018-a4", "iec60364-2017")
MANY = settings(deadline=None, max_examples=120, phases=set(Phase) - {Phase.explain}, suppress_health_check=list(HealthCheck))
COUNTED = settings(MANY, max_examples=200, derandomize=True, phases=(Phase.generate,), database=None)


@cache
def channels(edition: str) -> tuple[RulePack, TwoChannels]:
    """The newest published pack of an edition, with both its channels."""
    pack = newest_published(edition)
    return pack, TwoChannels(pack, Kept())


def both(said: Said, edition: str) -> tuple[Json, Json] | None:
    """The answer and its outline as programs read them; none where the description contradicts itself."""
    pack, running = channels(edition)
    try:
        answer = evaluation_bytes(evaluate(described(said), pack, running.acts, running.memory))
    except Contradiction:
        return None
    return content_of(answer), json.loads(outline_bytes(answer, json.dumps(said).encode(), pack))


@pytest.mark.parametrize("edition", EDITIONS)
@MANY
@given(installations())
def test_an_outline_leaves_nothing_out_and_is_nowhere_milder(edition: str, said: Said) -> None:
    found = both(said, edition)
    assume(found is not None)
    assert found is not None

    assert left_out(*found) == []
    assert milder(*found) == []


def test_the_examples_have_what_could_be_milder() -> None:
    met: Counter[str] = Counter()

    @COUNTED
    @given(installations())
    def count(said: Said) -> None:
        if found := both(said, EDITIONS[0]):
            met.update(one["instruction"] for one in found[1]["acts"])
            met.update(f"firm {one['instruction']}" for one in found[1]["acts"] if one["firm"])
            met.update(one["code"] for one in found[1]["acts"] if one["code"])

    count()

    expected = ("leave", "keep", "look", "measure", "connect", "ask", "do_not_connect", "firm connect", "C2")
    assert {word for word in expected if met[word] < 5} == set()


def test_no_worked_case_has_an_outline_that_is_milder_and_they_have_every_instruction() -> None:
    met: Counter[str] = Counter()
    for name, claim in (claim for case in cases() for claim in case.claims):
        evaluation = judged(claim.installation)
        answer = evaluation_bytes(evaluation)
        outline = json.loads(outline_bytes(answer, b"", pack_of(evaluation)))
        met.update(one["instruction"] for one in outline["acts"])

        assert [*left_out(content_of(answer), outline), *milder(content_of(answer), outline)] == [], name

    assert set(INSTRUCTIONS) - met.keys() <= {"protect_and_look"}, "of a room altered in which nothing is known there is no worked case"
