"""A client generated from the OpenAPI document works against the service, without an edit by hand."""

import json
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path
from types import ModuleType
from typing import Any

import pytest
from tests.client.conftest import DOCUMENT, PACKAGE
from tests.live_service import LiveService

HOUSE = DOCUMENT.parent / "examples" / "house.request.json"


@pytest.fixture(scope="session")
def caller(vendor: ModuleType, service: LiveService) -> Iterator[Any]:
    """The generated client, pointed at the live service."""
    with vendor.client(service.address, service.key) as opened:
        yield opened


@pytest.fixture(scope="session")
def house(vendor: ModuleType, caller: Any) -> Any:
    """The example house, evaluated."""
    return vendor.evaluate(caller, json.loads(HOUSE.read_bytes()))


def test_every_operation_is_generated(generated: Path) -> None:
    operations = {one["operationId"] for path in json.loads(DOCUMENT.read_bytes())["paths"].values() for one in path.values()}

    assert {path.stem for path in generated.glob(f"{PACKAGE}/api/*/*.py") if path.stem != "__init__"} == operations


def test_a_vendor_s_program_is_typed_throughout(generated: Path) -> None:
    # What the document makes is checked with it; the rest of the package is the generator's own, the same for every document.
    checked = [f"{PACKAGE}/api", f"{PACKAGE}/models", str(Path(__file__).with_name("vendor.py"))]
    command = [sys.executable, "-m", "mypy", "--strict", "--follow-imports=silent", "--config-file=", "--cache-dir=cache", *checked]

    told = subprocess.run(command, cwd=generated, capture_output=True, text=True, check=False, timeout=300)

    assert told.returncode == 0, told.stdout + told.stderr


def test_an_example_house_is_evaluated(house: Any) -> None:
    parts = {part.part: part.verdicts for part in house.evaluation.parts}

    assert house.evaluation.reference == "Sandpiper Row 3"
    assert parts != {}


def test_a_verdict_on_a_part_leads_to_what_its_rules_say(vendor: ModuleType, house: Any) -> None:
    told = vendor.why(house, "gas/entering")

    assert len(told) >= 3
    assert all(words.endswith(".") for words in told)


def test_an_evaluation_reads_back_the_same(vendor: ModuleType, caller: Any, house: Any) -> None:
    assert vendor.read_again(caller, house.evaluation_id) == house


def test_its_outline_tells_a_program_what_to_do(vendor: ModuleType, caller: Any, house: Any) -> None:
    outline = vendor.outlined(caller, house.evaluation_id).outline
    at_once = vendor.outlined_at_once(caller, json.loads(HOUSE.read_bytes())).outline

    assert [act.id for act in outline.acts if act.instruction == "keep"] == ["gas/entering"]
    assert at_once.acts == outline.acts


def test_an_evaluation_is_found_by_its_reference(vendor: ModuleType, caller: Any, house: Any) -> None:
    found = vendor.found_by_reference(caller, house.evaluation.reference)

    assert house.evaluation_id in [one.evaluation_id for one in found]


def test_its_record_holds_what_was_sent(vendor: ModuleType, caller: Any, house: Any) -> None:
    kept = vendor.record(caller, house.evaluation_id)

    assert json.loads(kept.input_.text)["reference"] == "Sandpiper Row 3"


def test_a_replay_gives_the_same(vendor: ModuleType, caller: Any, house: Any) -> None:
    assert vendor.replay(caller, house.evaluation_id).same_bytes == "same"


def test_answers_of_form_1_are_read_with_their_record_and_replayed(vendor: ModuleType, caller: Any) -> None:
    old, *others = vendor.found_by_reference(caller, "Osier Lane 6")

    answer, kept = vendor.read_again(caller, old.evaluation_id), vendor.record(caller, old.evaluation_id)
    replay = vendor.replay(caller, old.evaluation_id)

    assert others == []
    assert answer.evaluation == kept.evaluation
    assert "form" not in answer.evaluation.to_dict()
    assert (replay.form_then, replay.same_bytes, replay.same_levels) == (1, "not_comparable", True)


def test_a_refusal_is_a_problem_with_the_place_of_each_fault(vendor: ModuleType, caller: Any) -> None:
    description = json.loads(HOUSE.read_bytes())
    description["supply"]["neutral"]["size"] = -1

    with pytest.raises(vendor.Refused) as refused:
        vendor.evaluate(caller, description)

    assert refused.value.problem.status == 422
    assert [fault.pointer for fault in refused.value.problem.errors] == ["/supply/neutral/size"]


def test_a_name_that_nothing_has_is_a_problem(vendor: ModuleType, caller: Any) -> None:
    with pytest.raises(vendor.Refused) as refused:
        vendor.rule_pack(caller, "no-such-pack")

    assert refused.value.problem.type_ == "/problems/unknown-name"


def test_a_number_is_calculated(vendor: ModuleType, caller: Any) -> None:
    answer = vendor.main_bond_size(caller, 25)

    assert answer.results != []


def test_the_rule_pack_of_an_evaluation_can_be_read(vendor: ModuleType, caller: Any, house: Any) -> None:
    pack = vendor.rule_pack(caller, house.evaluation.pack.pack_id)

    assert pack.digest == house.evaluation.pack.digest


def test_a_batch_is_answered_line_by_line(vendor: ModuleType, caller: Any) -> None:
    description = json.loads(HOUSE.read_bytes())

    *lines, end = vendor.evaluate_all(caller, [description, {"wrong": True}])

    assert [line["status"] for line in lines] == [201, 422]
    assert (end["end"], end["recorded"]) == (True, 1)
