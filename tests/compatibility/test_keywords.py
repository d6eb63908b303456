"""Single keywords and ways in, also those that the judged document does not use yet."""

from typing import Any

import pytest
from tests.compatibility.interface import breaks
from tests.compatibility.places import Document

TEXT: Any = {"type": "string"}
LIST: Any = {"type": "array"}
OBJECT: Any = {"type": "object"}
LINKED: Any = {
    "type": "object",
    "properties": {"next": {"$ref": "#/components/schemas/Linked"}, "name": TEXT},
    "additionalProperties": False,
}

NARROWER: list[tuple[str, Any, Any]] = [
    ("integer-for-number", {"type": "number"}, {"type": "integer"}),
    ("multiple", {"type": "number"}, {"type": "number", "multipleOf": 2}),
    ("exclusive-bound", {"type": "number", "minimum": 0}, {"type": "number", "exclusiveMinimum": 0}),
    ("not", TEXT, {**TEXT, "not": {"const": "x"}}),
    ("all-of", {"allOf": [TEXT]}, {"allOf": [TEXT, {"maxLength": 3}]}),
    ("one-of-that-overlap", {"anyOf": [{"type": "number"}, {"type": "integer"}]}, {"oneOf": [{"type": "number"}, {"type": "integer"}]}),
    ("if-then", OBJECT, {**OBJECT, "if": {"required": ["a"]}, "then": {"required": ["b"]}}),
    ("dependent-required", OBJECT, {**OBJECT, "dependentRequired": {"a": ["b"]}}),
    ("pattern-properties", OBJECT, {**OBJECT, "patternProperties": {"^x": TEXT}}),
    ("property-names", OBJECT, {**OBJECT, "propertyNames": {"maxLength": 3}}),
    ("members-of-a-map", {**OBJECT, "additionalProperties": True}, {**OBJECT, "additionalProperties": TEXT}),
    ("prefix", LIST, {**LIST, "prefixItems": [TEXT]}),
    ("unique", LIST, {**LIST, "uniqueItems": True}),
    ("contains", LIST, {**LIST, "contains": TEXT}),
    ("format-nobody-knows", TEXT, {**TEXT, "format": "as-we-write-it"}),
    ("nothing", TEXT, False),
]

EITHER_WAY: list[tuple[str, Any, Any]] = [
    ("keyword-nobody-knows", TEXT, {**TEXT, "whispered": True}),
    ("encoding", TEXT, {**TEXT, "contentEncoding": "base64"}),
    ("dangling-reference", TEXT, {"$ref": "#/components/schemas/Nowhere"}),
    ("pattern-that-is-none", TEXT, {**TEXT, "pattern": "["}),
]

THE_SAME: list[tuple[str, Any, Any]] = [
    ("const-as-enum", {"const": "a"}, {"enum": ["a"]}),
    ("order-of-choices", {"enum": [1, 2]}, {"enum": [2, 1]}),
    ("nullable-either-way", {"type": ["string", "null"]}, {"anyOf": [{"type": "null"}, TEXT]}),
    ("extension", TEXT, {**TEXT, "x-note": 1}),
    ("named", LINKED, {"$ref": "#/components/schemas/Linked"}),
]

LOOSER: list[tuple[str, Any, Any]] = [
    ("no-key", [{"bearer": []}], []),
    ("another-way", [{"bearer": []}], [{"bearer": []}, {"other": []}]),
    ("fewer-scopes", [{"bearer": ["read", "write"]}], [{"bearer": ["read"]}]),
    ("one-of-two-keys", [{"bearer": [], "other": []}], [{"bearer": []}]),
]


def document(sent: Any = TEXT, answered: Any = TEXT, **operation: Any) -> Document:
    """A document of one operation."""
    return {
        "paths": {
            "/things": {
                "post": {
                    "requestBody": {"content": {"application/json": {"schema": sent}}},
                    "responses": {"200": {"content": {"application/json": {"schema": answered}}}},
                    **operation,
                }
            }
        },
        "components": {"schemas": {"Linked": LINKED}},
    }


def ids(table: list[tuple[str, Any, Any]]) -> list[str]:
    """The name of each row."""
    return [row[0] for row in table]


@pytest.mark.parametrize(("_", "wide", "narrow"), NARROWER, ids=ids(NARROWER))
def test_what_is_sent_may_only_be_taken_more_widely(_: str, wide: Any, narrow: Any) -> None:
    assert breaks(document(sent=wide), document(sent=narrow)) != ()
    assert breaks(document(sent=narrow), document(sent=wide)) == ()


@pytest.mark.parametrize(("_", "wide", "narrow"), NARROWER, ids=ids(NARROWER))
def test_what_is_answered_may_only_be_promised_more_narrowly(_: str, wide: Any, narrow: Any) -> None:
    assert breaks(document(answered=narrow), document(answered=wide)) != ()
    assert breaks(document(answered=wide), document(answered=narrow)) == ()


@pytest.mark.parametrize(("_", "was", "now"), EITHER_WAY, ids=ids(EITHER_WAY))
def test_what_cannot_be_decided_counts_as_breaking(_: str, was: Any, now: Any) -> None:
    assert breaks(document(sent=was), document(sent=now)) != ()
    assert breaks(document(answered=was), document(answered=now)) != ()


@pytest.mark.parametrize(("_", "was", "now"), THE_SAME, ids=ids(THE_SAME))
def test_another_way_of_writing_the_same_breaks_nobody(_: str, was: Any, now: Any) -> None:
    assert breaks(document(was, was), document(now, now)) == breaks(document(now, now), document(was, was)) == ()


@pytest.mark.parametrize(("_", "strict", "loose"), LOOSER, ids=ids(LOOSER))
def test_who_was_let_in_is_let_in_still(_: str, strict: Any, loose: Any) -> None:
    assert breaks(document(security=strict), document(security=loose)) == ()
    assert breaks(document(security=loose), document(security=strict)) != ()


def test_the_document_s_own_security_holds_where_an_operation_names_none() -> None:
    closed = {**document(), "security": [{"bearer": []}]}

    assert breaks(closed, document()) == ()
    assert breaks(document(), closed) != ()


def test_a_schema_that_holds_itself_is_compared() -> None:
    narrower = {**LINKED, "properties": {**LINKED["properties"], "name": {"type": "string", "maxLength": 3}}}
    was = document({"$ref": "#/components/schemas/Linked"})
    now = {**was, "components": {"schemas": {"Linked": narrower}}}

    assert [one.pointer for one in breaks(was, now)] == ["/components/schemas/Linked/properties/name"]


def test_a_member_of_an_open_object_stays_named_and_gets_no_type_later() -> None:
    named = {**OBJECT, "properties": {"a": TEXT}}

    assert breaks(document(sent=named), document(sent=OBJECT)) != ()
    assert breaks(document(sent=OBJECT), document(sent=named)) != ()


def test_a_parameter_may_be_declared_elsewhere() -> None:
    parameter = {"name": "region", "in": "query", "schema": TEXT}
    own = document(parameters=[parameter])
    of_the_path = document()
    of_the_path["paths"]["/things"]["parameters"] = [{"$ref": "#/components/parameters/Region"}]
    of_the_path["components"]["parameters"] = {"Region": parameter}

    assert breaks(own, of_the_path) == breaks(of_the_path, own) == ()
