"""Changes of the judged document, each with what it does to callers."""

import pytest
from tests.compatibility.breaks import CURRENT, RELEASED, Break
from tests.compatibility.edits import Edit, drop, edited, less, more, put
from tests.compatibility.interface import breaks
from tests.compatibility.places import Document
from tests.compatibility.released import judged_document

from bondwright.api.described.document import LEFT_OUT

SCHEMAS = ("components", "schemas")
SUPPLY = (*SCHEMAS, "Supply")
EARTHING = (*SUPPLY, "properties", "earthing_system")
MEASUREMENTS = (*SCHEMAS, "Section", "properties", "measurements")
VERDICT = (*SCHEMAS, "Verdict")
SUMMARY = (*SCHEMAS, "EvaluationSummary")
CREATE = ("paths", "/v1/evaluations", "post")
FIND = ("paths", "/v1/evaluations", "get")
READ = ("paths", "/v1/evaluations/{evaluation_id}", "get")
LINES = ("paths", "/v1/batches", "post", "responses", "200", "content", "application/jsonl")
WORK = (*SCHEMAS, "Installation", "properties", "work")
LIMIT = next(index for index, one in enumerate(judged_document()["paths"][FIND[1]]["get"]["parameters"]) if one["name"] == "limit")
REGION = {"name": "region", "in": "query", "schema": {"type": "string"}}
TEXT = {"type": "string"}
NEW_OPERATION = {"operationId": "list_regions", "responses": {"200": {"description": "Regions."}}}
CSV = {"text/csv": {"schema": TEXT}}


def moved(was: tuple[str, ...], now: tuple[str, ...]) -> Edit:
    """Moves a member of the document elsewhere."""

    def edit(document: Document) -> None:
        holder = document
        for key in was[:-1]:
            holder = holder[key]
        put(holder.pop(was[-1]), *now)(document)

    return edit


def and_then(*edits: Edit) -> Edit:
    """Several edits as one."""

    def edit(document: Document) -> None:
        for one in edits:
            one(document)

    return edit


def found(edit: Edit) -> tuple[Break, ...]:
    """What an edit of the judged document breaks."""
    return breaks(judged_document(), edited(edit))


BREAKING: list[tuple[str, Edit, str, str]] = [
    ("path-gone", drop("paths", "/livez"), RELEASED, "/paths/~1livez/get"),
    ("path-renamed", moved(("paths", "/livez"), ("paths", "/alive")), RELEASED, "/paths/~1livez/get"),
    ("method-gone", drop(*FIND), RELEASED, "/paths/~1v1~1evaluations/get"),
    ("operation-id", put("evaluate", *CREATE, "operationId"), CURRENT, "/paths/~1v1~1evaluations/post"),
    ("tag", put(["records"], *CREATE, "tags"), CURRENT, "/paths/~1v1~1evaluations/post"),
    ("security-stricter", put([{"other": []}], *CREATE, "security"), CURRENT, "/paths/~1v1~1evaluations/post"),
    ("security-stricter-everywhere", put([{"other": []}], *READ, "security"), CURRENT, "/paths/~1v1~1evaluations~1{evaluation_id}/get"),
    ("schema-name-gone", moved((*SCHEMAS, "Health"), (*SCHEMAS, "Wellness")), RELEASED, "/components/schemas/Health"),
    ("parameter-gone", drop(*FIND, "parameters", LIMIT), RELEASED, f"/paths/~1v1~1evaluations/get/parameters/{LIMIT}"),
    ("parameter-required", put(True, *FIND, "parameters", LIMIT, "required"), CURRENT, f"/paths/~1v1~1evaluations/get/parameters/{LIMIT}"),
    (
        "parameter-narrowed",
        put(50, *FIND, "parameters", LIMIT, "schema", "maximum"),
        CURRENT,
        f"/paths/~1v1~1evaluations/get/parameters/{LIMIT}/schema",
    ),
    (
        "parameter-default",
        put(10, *FIND, "parameters", LIMIT, "schema", "default"),
        CURRENT,
        f"/paths/~1v1~1evaluations/get/parameters/{LIMIT}/schema",
    ),
    ("parameter-new-required", more({**REGION, "required": True}, *READ, "parameters"), CURRENT, "/parameters/2"),
    (
        "parameter-new-required-on-the-path",
        put([{**REGION, "required": True}], *READ[:2], "parameters"),
        CURRENT,
        "/paths/~1v1~1evaluations~1{evaluation_id}/parameters/0",
    ),
    (
        "header-new-required",
        more({**REGION, "in": "header", "required": True}, *CREATE, "parameters"),
        CURRENT,
        "/paths/~1v1~1evaluations/post/parameters/2",
    ),
    (
        "body-newly-required",
        put({"required": True, "content": {"application/json": {"schema": TEXT}}}, *READ, "requestBody"),
        CURRENT,
        "/paths/~1v1~1evaluations~1{evaluation_id}/get/requestBody",
    ),
    ("body-gone", drop(*CREATE, "requestBody"), RELEASED, "/paths/~1v1~1evaluations/post/requestBody"),
    ("media-type-of-body", put(CSV, *CREATE, "requestBody", "content"), RELEASED, "/requestBody/content/application~1json"),
    ("request-member-gone", drop(*SUPPLY, "properties", "phases"), RELEASED, "/components/schemas/Supply/properties/phases"),
    ("request-member-required", put(["phases"], *SUPPLY, "required"), CURRENT, "/components/schemas/Supply"),
    (
        "request-member-new-required",
        and_then(put(TEXT, *SUPPLY, "properties", "region"), put(["region"], *SUPPLY, "required")),
        CURRENT,
        "/components/schemas/Supply",
    ),
    (
        "member-of-a-line-gone",
        and_then(drop(*SCHEMAS, "BatchEnd", "properties", "end"), less("end", *SCHEMAS, "BatchEnd", "required")),
        RELEASED,
        "/components/schemas/BatchEnd/properties/end",
    ),
    (
        "lines-no-longer-described",
        drop("paths", "/v1/batches", "post", "responses", "200", "content", "application/jsonl", "x-item-schema"),
        RELEASED,
        "/content/application~1jsonl/x-item-schema/anyOf/0",
    ),
    (
        "another-kind-of-line",
        more(TEXT, "paths", "/v1/batches", "post", "responses", "200", "content", "application/jsonl", "x-item-schema", "anyOf"),
        CURRENT,
        "/content/application~1jsonl/x-item-schema/anyOf/2",
    ),
    ("request-enum-narrowed", less("TT", *EARTHING, "enum"), CURRENT, "/components/schemas/Supply/properties/earthing_system"),
    ("request-enum-for-const", and_then(put("TT", *EARTHING, "const")), CURRENT, "/components/schemas/Supply/properties/earthing_system"),
    ("request-default", put("TT", *EARTHING, LEFT_OUT), CURRENT, "/components/schemas/Supply/properties/earthing_system"),
    (
        "request-bound-narrowed",
        put(500, *SCHEMAS, "Conductor", "properties", "size", "anyOf", 0, "maximum"),
        CURRENT,
        "/components/schemas/Conductor/properties/size/anyOf/0",
    ),
    (
        "request-alternative-gone",
        drop(*SCHEMAS, "Conductor", "properties", "size", "anyOf", 1),
        CURRENT,
        "/components/schemas/Conductor/properties/size",
    ),
    ("request-list-shorter", put(5, *MEASUREMENTS, "maxItems"), CURRENT, "/components/schemas/Section/properties/measurements"),
    ("request-list-longer", put(1, *MEASUREMENTS, "minItems"), CURRENT, "/components/schemas/Section/properties/measurements"),
    (
        "request-pattern-narrowed",
        put("^[a-z]{0,80}$", *SCHEMAS, "MainBondSizeInputs", "properties", "rule_pack", "pattern"),
        CURRENT,
        "/components/schemas/MainBondSizeInputs/properties/rule_pack",
    ),
    (
        "request-format-new",
        put("uri", *SCHEMAS, "MainBondSizeInputs", "properties", "rule_pack", "format"),
        CURRENT,
        "/components/schemas/MainBondSizeInputs/properties/rule_pack",
    ),
    ("request-type-narrowed", put("integer", *FIND, "parameters", 0, "schema", "type"), CURRENT, "/parameters/0/schema"),
    ("request-alternative-of-work-gone", drop(*WORK, "oneOf", 1), CURRENT, "/components/schemas/Installation/properties/work"),
    (
        "request-alternatives-overlap",
        put({"type": "object", "additionalProperties": True}, *WORK, "oneOf", 1),
        CURRENT,
        "/components/schemas/Installation/properties/work",
    ),
    (
        "discriminator-entry-gone",
        drop(*WORK, "discriminator", "mapping", "inspection"),
        CURRENT,
        "/components/schemas/Installation/properties/work",
    ),
    ("response-member-gone", drop(*VERDICT, "properties", "words"), RELEASED, "/components/schemas/Verdict/properties/words"),
    ("response-member-optional", less("firm", *VERDICT, "required"), CURRENT, "/components/schemas/Verdict"),
    (
        "response-member-nullable",
        put({"anyOf": [{"type": "boolean"}, {"type": "null"}]}, *VERDICT, "properties", "firm"),
        CURRENT,
        "/components/schemas/Verdict/properties/firm",
    ),
    (
        "response-type",
        put({"type": "number"}, *SUMMARY, "properties", "counter"),
        CURRENT,
        "/components/schemas/EvaluationSummary/properties/counter",
    ),
    (
        "response-enum-widened",
        more("unwell", *SCHEMAS, "Health", "properties", "status", "enum"),
        CURRENT,
        "/components/schemas/Health/properties/status",
    ),
    (
        "response-format-gone",
        drop(*SUMMARY, "properties", "evaluation_id", "format"),
        CURRENT,
        "/components/schemas/EvaluationSummary/properties/evaluation_id",
    ),
    ("response-list-for-one", put({"type": "array", "items": TEXT}, *VERDICT, "properties", "words"), CURRENT, "/Verdict/properties/words"),
    ("problem-member-gone", drop(*SCHEMAS, "Problem", "properties", "detail"), RELEASED, "/components/schemas/Problem/properties/detail"),
    ("status-gone", drop(*READ, "responses", "404"), RELEASED, "/responses/404"),
    ("success-new", put({"description": "Later."}, *CREATE, "responses", "202"), CURRENT, "/responses/202"),
    ("redirect-new", put({"description": "Elsewhere."}, *READ, "responses", "303"), CURRENT, "/responses/303"),
    ("success-other", moved((*CREATE, "responses", "201"), (*CREATE, "responses", "200")), RELEASED, "/responses/201"),
    ("media-type-of-answer", put(CSV, *READ, "responses", "200", "content"), RELEASED, "/responses/200/content/application~1json"),
    (
        "media-type-of-answer-new",
        put(CSV["text/csv"], *READ, "responses", "200", "content", "text/csv"),
        CURRENT,
        "/responses/200/content/text~1csv",
    ),
    ("member-of-a-line-gone", drop(*SCHEMAS, "BatchEnd", "properties", "end"), RELEASED, "/components/schemas/BatchEnd/properties/end"),
    ("lines-untold", drop(*LINES, "x-item-schema"), RELEASED, "/responses/200/content/application~1jsonl/x-item-schema/anyOf/1"),
    ("header-gone", drop(*READ, "responses", "200", "headers", "ETag"), RELEASED, "/responses/200/headers/ETag"),
    (
        "header-optional",
        put(False, *READ, "responses", "200", "headers", "Rule-Pack", "required"),
        CURRENT,
        "/responses/200/headers/Rule-Pack",
    ),
    ("link-gone", drop(*CREATE, "responses", "201", "links", "replay"), RELEASED, "/responses/201/links/replay"),
    ("servers", put([{"url": "/other"}], *CREATE, "servers"), CURRENT, "/paths/~1v1~1evaluations/post/servers"),
]

ADDITIVE: list[tuple[str, Edit]] = [
    ("member-of-a-line-new", put(TEXT, *SCHEMAS, "BatchEnd", "properties", "added")),
    ("path-new", put({"get": NEW_OPERATION}, "paths", "/v1/regions")),
    ("method-new", put(NEW_OPERATION, *READ[:2], "delete")),
    ("parameter-new", more(REGION, *FIND, "parameters")),
    ("parameter-looser", put(200, *FIND, "parameters", LIMIT, "schema", "maximum")),
    ("header-new-optional", more({**REGION, "in": "header"}, *CREATE, "parameters")),
    ("body-new-optional", put({"content": {"application/json": {"schema": TEXT}}}, *READ, "requestBody")),
    ("media-type-of-body-new", put(CSV["text/csv"], *CREATE, "requestBody", "content", "text/csv")),
    ("request-member-new", put(TEXT, *SUPPLY, "properties", "region")),
    ("request-enum-wider", more("DC", *EARTHING, "enum")),
    ("request-bound-wider", put(2000, *SCHEMAS, "Conductor", "properties", "size", "anyOf", 0, "maximum")),
    ("request-alternative-new", more({"type": "boolean"}, *SCHEMAS, "Conductor", "properties", "size", "anyOf")),
    ("request-list-longer-allowed", put(99, *MEASUREMENTS, "maxItems")),
    ("request-open", put(True, *SUPPLY, "additionalProperties")),
    ("request-no-longer-required", drop(*SCHEMAS, "MainBondSizeInputs", "required")),
    ("request-pattern-gone", drop(*SCHEMAS, "MainBondSizeInputs", "properties", "rule_pack", "pattern")),
    ("response-member-new", and_then(put(TEXT, *VERDICT, "properties", "advice"), more("advice", *VERDICT, "required"))),
    ("response-member-new-optional", put(TEXT, *VERDICT, "properties", "advice")),
    ("response-enum-narrowed", less("alive", *SCHEMAS, "Health", "properties", "status", "enum")),
    ("response-never-null", put({"type": "string"}, *SCHEMAS, "Difference", "properties", "was")),
    ("problem-member-new", put({"type": "string"}, *SCHEMAS, "Problem", "properties", "instance")),
    ("status-new-4xx", put({"description": "Gone."}, *CREATE, "responses", "410")),
    ("status-new-5xx", put({"description": "Bad gateway."}, *CREATE, "responses", "502")),
    ("header-new", put({"schema": TEXT}, *READ, "responses", "200", "headers", "Region")),
    ("link-new", put({"operationId": "list_rule_packs"}, *CREATE, "responses", "201", "links", "packs")),
    ("schema-new", put(TEXT, *SCHEMAS, "Region")),
    ("security-scheme-new", put({"type": "http", "scheme": "other"}, "components", "securitySchemes", "another")),
    ("described-otherwise", put("Other words.", *EARTHING, "description")),
    ("deprecated", put(True, *CREATE, "deprecated")),
    ("version", put("0.2.0", "info", "version")),
]


@pytest.mark.parametrize(("edit", "file", "place"), [row[1:] for row in BREAKING], ids=[row[0] for row in BREAKING])
def test_a_breaking_change_is_found_at_its_place(edit: Edit, file: str, place: str) -> None:
    assert [one for one in found(edit) if one.file == file and one.pointer.endswith(place)] != [], found(edit)


@pytest.mark.parametrize("edit", [row[1] for row in ADDITIVE], ids=[row[0] for row in ADDITIVE])
def test_an_additive_change_breaks_nobody(edit: Edit) -> None:
    assert found(edit) == ()


def test_a_break_names_the_place_what_broke_and_the_way_out() -> None:
    (told,) = found(less("TT", *EARTHING, "enum"))

    assert str(told) == (
        "openapi/openapi.json#/components/schemas/Supply/properties/earthing_system: `enum` differs, gone: 'TT'; "
        "keep taking what was taken, and add an optional member or another path beside it"
    )


def test_breaks_in_and_around_a_schema_are_both_told() -> None:
    told = found(and_then(put(["phases"], *SUPPLY, "required"), less("TT", *EARTHING, "enum")))

    assert [one.pointer for one in told] == ["/components/schemas/Supply", "/components/schemas/Supply/properties/earthing_system"]


@pytest.mark.parametrize("detail", [{"type": ["string", "null"]}, {"type": "string", "maxLength": 9}], ids=["wider", "narrower"])
def test_what_is_both_sent_and_answered_may_become_neither_wider_nor_narrower(detail: Document) -> None:
    sent_too = put({"$ref": "#/components/schemas/Fault"}, *SUPPLY, "properties", "fault")
    released = edited(sent_too)
    current = edited(sent_too, put(detail, *SCHEMAS, "Fault", "properties", "detail"))

    assert {one.pointer for one in breaks(released, current)} == {"/components/schemas/Fault/properties/detail"}
