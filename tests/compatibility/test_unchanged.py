"""What is passed over as unchanged: the same, and all that it leads to the same; anything doubtful is looked at."""

from typing import Any

import pytest
from tests.compatibility.places import whole
from tests.compatibility.unchanged import unchanged_between


def document(reference: str = "#/components/headers/Pace", inner: str = "integer") -> dict[str, Any]:
    """One path that refers to a header, which refers to a schema, which refers to itself and another."""
    node = {"properties": {"next": {"$ref": "#/components/schemas/Node"}, "count": {"$ref": "#/components/schemas/Count"}}}
    return {
        "paths": {"/": {"get": {"headers": {"pace": {"$ref": reference}}}}},
        "components": {
            "headers": {"Pace": {"schema": {"$ref": "#/components/schemas/Node"}}},
            "schemas": {"Node": node, "Count": {"type": inner}},
        },
    }


def is_unchanged(released: dict[str, Any], current: dict[str, Any]) -> bool:
    """What is said of the path."""
    return unchanged_between(released, current)(whole(released).at("paths", "/"), whole(current).at("paths", "/"))


def test_the_same_with_all_that_it_leads_to_is_unchanged() -> None:
    assert is_unchanged(document(), document())


def test_a_schema_that_differs_behind_another_changes_what_leads_to_it() -> None:
    assert not is_unchanged(document(), document(inner="string"))


@pytest.mark.parametrize("reference", ["#/components/headers/Gone", "#/components/schemas/Node/properties/next", "elsewhere.json"])
def test_a_reference_to_anything_but_a_component_that_is_there_is_looked_at(reference: str) -> None:
    assert not is_unchanged(document(reference), document(reference))
