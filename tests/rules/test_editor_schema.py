"""The schema that YAML editors use: it accepts what the shelf accepts and points at the commonest slips."""

import json
from typing import Any

import jsonschema
import pytest
import yaml
from tests.rules.keep_schema import KEPT, schema_bytes

from bondwright.shelf.packs import rules_folder

SCHEMA: dict[str, Any] = json.loads(schema_bytes())
LOADER: Any = getattr(yaml, "CBaseLoader", yaml.BaseLoader)
SOURCE = {"from": "practice", "kind": "common_practice", "confidence": "secondary"}


EDITIONS = sorted(path.stem for path in (rules_folder() / "bs7671").glob("*.yaml"))


def edition(name: str = "2018") -> Any:
    """A rule file as an editor reads it, dates left as text."""
    return yaml.load((rules_folder() / "bs7671" / f"{name}.yaml").read_text(), LOADER)


def faults(document: Any) -> list[str]:
    """What an editor would mark."""
    return [error.message for error in jsonschema.Draft202012Validator(SCHEMA).iter_errors(document)]


def test_the_kept_schema_is_that_of_the_newest_pack() -> None:
    assert schema_bytes() == KEPT.read_bytes(), "write it anew: uv run python -m tests.rules.keep_schema"


@pytest.mark.parametrize("name", EDITIONS)
def test_an_edition_file_that_the_shelf_reads_has_no_fault(name: str) -> None:
    assert faults(edition(name)) == []


@pytest.mark.parametrize(
    "change",
    [
        {"withdrow": "metal-from-ground"},
        {"set_cell": {"table": "pme-main-bund", "up_to": "50", "was": "16", "now": "25", "clause": "1", "source": SOURCE}},
        {"set_value": {"name": "touch_voltage_limit", "was": "50 V", "now": "25 V", "source": SOURCE}},
        {"set": {"rule": "metal-from-ground", "when": {"was": "1", "now": "2"}}},
        {"add": [{"id": "new-rule"}]},
    ],
    ids=["its key", "a table", "a clause left out", "a field that cannot be set", "a rule without its parts"],
)
def test_a_slip_in_a_change_is_marked(change: dict[str, Any]) -> None:
    document = {**edition("2018-a4"), "changes": [change]}

    assert faults(document) != []


@pytest.mark.parametrize(
    ("change", "said"),
    [
        ({"when": {"reaches_grund": "yes"}}, "reaches_grund"),
        ({"when": {"reaches_ground": "maybe"}}, "maybe"),
        ({"raises": {"extraneous": "very"}}, "very"),
        ({"source": {"from": "nowhere", "kind": "stated", "confidence": "secondary"}}, "nowhere"),
        ({"clauze": "1"}, "clauze"),
    ],
    ids=["a fact", "a value", "a level", "a source", "a key"],
)
def test_a_slip_in_a_rule_is_marked(change: dict[str, Any], said: str) -> None:
    document = edition()
    document["rules"][0].update(change)

    assert any(said in fault for fault in faults(document)) or said in str(faults(document))


def test_a_rule_with_two_actions_is_marked() -> None:
    document = edition()
    document["rules"][0]["remarks"] = "extraneous"

    assert faults(document) != []
