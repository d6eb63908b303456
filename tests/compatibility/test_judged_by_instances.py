"""A second judge of what the check lets pass: instances, drawn by schemathesis from one schema and validated by jsonschema with another.

Schemas of the judged document are changed at random, wider and narrower. Where an instance shows that something is lost, the check
must have found a break, in what is sent and in what is answered.
"""

import copy
from collections import Counter
from functools import cache
from typing import Any

import schemathesis
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from jsonschema import Draft202012Validator, FormatChecker
from schemathesis.generation import GenerationMode
from tests.compatibility.breaks import Direction
from tests.compatibility.containment import named_in, self_contained
from tests.compatibility.places import Place
from tests.compatibility.released import judged_document
from tests.compatibility.schemas import SchemaPair, schema_breaks

DOCUMENT = judged_document()
SCHEMAS = DOCUMENT["components"]["schemas"]
SMALL = sorted(name for name in SCHEMAS if len(named_in(DOCUMENT, SCHEMAS[name])) <= 2)
OTHER_TYPES = ("string", "number", "integer", "boolean", "null", "array", "object")


@cache
def instances_of(name: str) -> st.SearchStrategy[Any]:
    """Values that a schema of the judged document takes."""
    body = {"required": True, "content": {"application/json": {"schema": {"$ref": f"#/components/schemas/{name}"}}}}
    paths = {"/": {"post": {"requestBody": body, "responses": {"200": {"description": "Taken."}}}}}
    alone = {"openapi": "3.1.0", "info": {"title": name, "version": "1"}, "paths": paths, "components": {"schemas": SCHEMAS}}
    operation = schemathesis.openapi.from_dict(alone)["/"]["POST"]
    return operation.as_strategy(generation_mode=GenerationMode.POSITIVE).map(lambda case: case.body)


def schemas_in(schema: Any) -> list[dict[str, Any]]:
    """The schema and every schema written inside it."""
    if not isinstance(schema, dict):
        return []
    inner = [*schema.get("properties", {}).values(), schema.get("items"), *schema.get("anyOf", ()), *schema.get("oneOf", ())]
    return [schema, *(found for one in inner for found in schemas_in(one))]


def ways_to_change(schema: dict[str, Any]) -> list[tuple[str, Any]]:
    """Keywords with what each could be instead; None takes it away."""
    ways: list[tuple[str, Any]] = [("additionalProperties", True), ("additionalProperties", False), ("enum", ["unknown", 1, None])]
    ways += [(keyword, None) for keyword in schema if keyword not in ("$ref", "title")]
    ways += [("type", other) for other in OTHER_TYPES] + [("required", [name]) for name in schema.get("properties", {})]
    if isinstance(schema.get("type"), str):
        ways += [("type", [schema["type"], "null"])]
    for keyword in ("minimum", "maximum", "minItems", "maxItems"):
        ways += [(keyword, schema[keyword] + step) for step in (-1, 1) if keyword in schema]
    for keyword in ("enum", "required", "anyOf", "oneOf"):
        ways += [(keyword, [one for one in schema[keyword] if one != gone]) for gone in schema.get(keyword, ())]
        if keyword in schema:
            ways.append((keyword, [*schema[keyword], {"type": "boolean"} if keyword.endswith("Of") else "more"]))
    properties = schema.get("properties", {})
    ways += [("properties", {name: one for name, one in properties.items() if name != gone}) for gone in properties]
    return [*ways, ("properties", {**properties, "more": {"type": "string"}}), ("pattern", "^[a-m]"), ("maxLength", 3), ("minLength", 1)]


def changed_at_random(name: str, draw: Any) -> Any:
    """A schema of the document with one to three keywords changed."""
    schema = copy.deepcopy(SCHEMAS[name])
    for _ in range(draw(st.integers(1, 3))):
        inside = draw(st.sampled_from(schemas_in(schema)))
        keyword, value = draw(st.sampled_from(ways_to_change(inside)))
        if value is None or value == []:
            inside.pop(keyword, None)
        else:
            inside[keyword] = value
    return schema


def test_what_the_check_lets_pass_loses_no_instance() -> None:
    seen: Counter[str] = Counter()

    @settings(deadline=None, max_examples=300, suppress_health_check=list(HealthCheck))
    @given(st.sampled_from(SMALL), st.data())
    def judge(name: str, data: st.DataObject) -> None:
        was, now = Place(DOCUMENT, "/was", SCHEMAS[name]), Place(DOCUMENT, "/now", changed_at_random(name, data.draw))
        validator = Draft202012Validator(self_contained(now), format_checker=FormatChecker())
        lost = not validator.is_valid(data.draw(instances_of(name)))
        # What is sent as `was` must be taken as `now`; what is answered as `was` must keep the promise of `now`.
        broken = [schema_breaks(SchemaPair(*pair)) != [] for pair in ((was, now, Direction.SENT), (now, was, Direction.ANSWERED))]
        seen[f"lost {lost}, broken {broken[0]}"] += 1
        assert not lost or all(broken)

    judge()

    assert seen["lost True, broken True"] >= 30, seen
    assert seen["lost False, broken False"] >= 30, seen
