"""Changes drawn at random places of the judged document: what breaks is always found, what only adds never is."""

from typing import Any

from hypothesis import given, settings
from hypothesis import strategies as st
from tests.compatibility.containment import named_in
from tests.compatibility.edits import Edit, Key, drop, edited, less, more, put
from tests.compatibility.interface import METHODS, breaks
from tests.compatibility.released import judged_document

DOCUMENT = judged_document()
SCHEMAS = DOCUMENT["components"]["schemas"]
OPERATIONS = {("paths", path, method): there[method] for path, there in DOCUMENT["paths"].items() for method in there if method in METHODS}
SENT = sorted(named_in(DOCUMENT, [one.get("requestBody") for one in OPERATIONS.values()]))
ANSWERED = sorted(named_in(DOCUMENT, [one["responses"] for one in OPERATIONS.values()]))
LEAVES = [name for name in ANSWERED if not named_in(DOCUMENT, SCHEMAS[name])]
"""Schemas that refer to no other: what refers to them holds itself nowhere, for then nothing is decided and all counts as breaking."""

FEW = settings(deadline=None, max_examples=25)


def members_of(names: list[str], required: bool | None = None) -> list[tuple[str, str]]:
    """Each member of these schemas, by schema and name: all, or those that are required or that are not."""
    return [
        (schema, member)
        for schema in names
        for member in SCHEMAS[schema].get("properties", ())
        if required in (None, member in SCHEMAS[schema].get("required", ()))
    ]


def without_member(schema: str, member: str) -> list[Edit]:
    """The edits that take a member away."""
    keys = ("components", "schemas", schema)
    needed = [less(member, *keys, "required")] if member in SCHEMAS[schema].get("required", ()) else []
    return [drop(*keys, "properties", member), *needed]


def parts_of_operations() -> list[tuple[Key, ...]]:
    """Every operation, parameter, body, media type, status, header and link."""
    found: list[tuple[Key, ...]] = []
    for keys, one in OPERATIONS.items():
        found += [keys, *((*keys, "parameters", index) for index in range(len(one.get("parameters", ()))))]
        if "requestBody" in one:
            found += [(*keys, "requestBody"), *((*keys, "requestBody", "content", name) for name in one["requestBody"]["content"])]
        for status, response in one["responses"].items():
            found.append((*keys, "responses", status))
            found += [(*keys, "responses", status, key, name) for key in ("content", "headers", "links") for name in response.get(key, ())]
    return found


def enumerations(names: list[str]) -> list[tuple[Key, ...]]:
    """Where these schemas list the values of a member."""
    keys = [("components", "schemas", schema, "properties", member) for schema, member in members_of(names)]
    return [(*one, "enum") for one in keys if "enum" in SCHEMAS[one[2]]["properties"][one[4]]]


PLAIN = st.sampled_from([{"type": "string"}, {"type": "number", "minimum": 1}, {"enum": ["a", "b"]}, True, {"type": ["string", "null"]}])
NAMED = st.sampled_from(LEAVES).map(lambda name: {"$ref": f"#/components/schemas/{name}"})


def new_schemas(simplest: st.SearchStrategy[Any]) -> st.SearchStrategy[Any]:
    """A schema for something new: a simplest one, a list of it, or it or nothing."""
    lists = simplest.map(lambda one: {"type": "array", "items": one})
    return simplest | lists | simplest.map(lambda one: {"anyOf": [one, {"type": "null"}]})


def additions() -> st.SearchStrategy[Edit]:
    """An edit that only adds."""
    operation = {"operationId": "look_elsewhere", "responses": {"200": {"description": "Something."}}}
    somewhere = st.sampled_from(sorted(OPERATIONS))
    return st.one_of(
        st.sampled_from(SENT + ANSWERED).flatmap(
            lambda name: new_schemas(PLAIN if name in LEAVES else PLAIN | NAMED).map(
                lambda schema: put(schema, "components", "schemas", name, "properties", "added")
            )
        ),
        st.builds(
            lambda keys, schema: more({"name": "added", "in": "query", "schema": schema}, *keys, "parameters"),
            somewhere,
            new_schemas(PLAIN),
        ),
        st.sampled_from(["402", "418", "507"]).flatmap(
            lambda status: somewhere.map(lambda keys: put({"description": "No."}, *keys, "responses", status))
        ),
        somewhere.map(lambda keys: put(operation, *keys[:2], "patch")),
        st.sampled_from(["/v1/elsewhere", "/v1/evaluations/{evaluation_id}/elsewhere"]).map(
            lambda path: put({"get": operation}, "paths", path)
        ),
    )


@FEW
@given(st.lists(additions(), min_size=1, max_size=4))
def test_adding_breaks_nobody(edits: list[Edit]) -> None:
    assert breaks(DOCUMENT, edited(*edits)) == ()


@FEW
@given(st.sampled_from(members_of(SENT) + members_of(ANSWERED)), st.lists(additions(), max_size=2))
def test_a_member_that_is_gone_is_found_whatever_is_added(which: tuple[str, str], edits: list[Edit]) -> None:
    schema, member = which

    found = breaks(DOCUMENT, edited(*edits, *without_member(schema, member)))

    assert f"/components/schemas/{schema}/properties/{member}" in {one.pointer for one in found}


@FEW
@given(st.sampled_from(members_of(SENT, required=False)), st.lists(additions(), max_size=2))
def test_a_member_that_callers_must_send_all_at_once_is_found(which: tuple[str, str], edits: list[Edit]) -> None:
    schema, member = which

    found = breaks(DOCUMENT, edited(*edits, more(member, "components", "schemas", schema, "required")))

    assert f"/components/schemas/{schema}" in {one.pointer for one in found}


@FEW
@given(st.sampled_from(members_of(ANSWERED, required=True)), st.lists(additions(), max_size=2))
def test_a_member_that_answers_may_leave_out_all_at_once_is_found(which: tuple[str, str], edits: list[Edit]) -> None:
    schema, member = which

    found = breaks(DOCUMENT, edited(*edits, less(member, "components", "schemas", schema, "required")))

    assert f"/components/schemas/{schema}" in {one.pointer for one in found}


@FEW
@given(st.sampled_from(members_of(SENT) + members_of(ANSWERED)))
def test_a_member_of_another_type_is_found(which: tuple[str, str]) -> None:
    schema, member = which
    other = put({"type": "array", "items": {"type": "boolean"}}, "components", "schemas", schema, "properties", member)

    found = breaks(DOCUMENT, edited(other))

    assert any(one.pointer.startswith(f"/components/schemas/{schema}/properties/{member}") for one in found)


@FEW
@given(st.sampled_from(enumerations(SENT)), st.data())
def test_a_value_that_is_no_longer_taken_is_found(keys: tuple[Key, ...], data: st.DataObject) -> None:
    values = SCHEMAS[keys[2]]["properties"][keys[4]]["enum"]

    found = breaks(DOCUMENT, edited(less(data.draw(st.sampled_from(values)), *keys)))

    assert "/" + "/".join(map(str, keys[:-1])) in {one.pointer for one in found}


@FEW
@given(st.sampled_from(parts_of_operations()), st.lists(additions(), max_size=2))
def test_a_part_of_an_operation_that_is_gone_is_found(keys: tuple[Key, ...], edits: list[Edit]) -> None:
    pointer = "".join("/" + str(key).replace("/", "~1") for key in keys)

    found = breaks(DOCUMENT, edited(drop(*keys), *edits))

    assert pointer in {one.pointer for one in found}
