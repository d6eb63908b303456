"""The OpenAPI document: one pass over what the framework writes."""

from collections.abc import Callable, Container, Iterator
from copy import deepcopy
from typing import Any

from fastapi import FastAPI
from pydantic import BaseModel, TypeAdapter

from bondwright.api.batches import BatchEnd, BatchLine
from bondwright.api.calculations import describe_calculations
from bondwright.api.callers.metering import RATE_LIMIT, RETRY_AFTER
from bondwright.api.described.answers import either_form, say_tables, written_answers
from bondwright.api.described.describing import describe_schemas, describe_words
from bondwright.api.edge.declared import HEADERS, declare_edge
from bondwright.api.problems import KINDS, NO_KEY, NOT_READY, SCOPE_MISSING, TOO_MANY, Problem, problem
from bondwright.calculations.answer import CalculationAnswer
from bondwright.calculations.catalogue import CALCULATIONS
from bondwright.installation.description import Installation
from bondwright.installation.shapes import json_schema
from bondwright.installation.terms import Terms
from bondwright.rulebook.held import Sentences

_REF = "#/components/schemas/{model}"
_OF_THE_FRAMEWORK = ("HTTPValidationError", "ValidationError")

DESCRIPTION = "\n".join(
    [
        "Decides, for a described electrical installation, which metalwork needs protective bonding.",
        "",
        "What is not known is written `unknown` or left out; `null` and unknown keys are refused. A member that is left out counts as its",
        "`x-left-out` says; what a word means stands in `x-enum-descriptions`. Answers come compressed, by gzip or",
        "zstd, if `Accept-Encoding` admits it; digests are of the bytes before. Every error is a problem (RFC 9457):",
        "",
        *(f"- [`{kind.type}`]({kind.type}) ({kind.status}) {kind.title}. {kind.detail}" for kind in KINDS),
    ]
)
"""Stands at the head of /docs."""

LEFT_OUT = "x-left-out"
"""Keyword of a member of a request: what it counts as where it is left out."""

LICENCE = {"name": "Apache License 2.0", "identifier": "Apache-2.0"}
SERVERS: list[dict[str, Any]] = [{"url": "/", "description": "The service that gave this document."}]
TAGS: list[dict[str, Any]] = [
    {"name": "evaluations", "description": "Describe an installation and get the verdicts; find, read and replay what was recorded."},
    {"name": "calculations", "description": "A number on its own, with its working, its sources and where it holds."},
    {"name": "rule packs", "description": "The rules that decide: packs, their outcomes with levels, and each rule with its source."},
    {"name": "operations", "description": "For whoever runs the service; these ask for no key."},
]


def describe(app: FastAPI, terms: Callable[[], Terms], say: Callable[[], Sentences]) -> None:
    """Makes `app` give the finished document at /openapi.json, of requests in those terms, of calculations in those sentences."""
    written_by_framework = app.openapi

    def openapi() -> dict[str, Any]:
        if app.openapi_schema is None:
            app.openapi_schema = _finished(written_by_framework(), terms(), say())
        return app.openapi_schema

    app.openapi = openapi  # type: ignore[method-assign]  # the framework's documented way


def _finished(document: dict[str, Any], terms: Terms, say: Sentences) -> dict[str, Any]:
    schemas = document["components"]["schemas"]
    for name in _OF_THE_FRAMEWORK:
        schemas.pop(name, None)
    requests = _of_request(Installation, terms)
    described = Installation.__name__
    requests[described] = dict(sorted({**requests[described], "examples": [terms.example]}.items()))
    for calculation in CALCULATIONS.values():
        requests |= _of_request(calculation.inputs, terms)
    schemas |= requests
    answer = TypeAdapter(CalculationAnswer).json_schema(ref_template=_REF, mode="serialization")
    schemas |= _with_parts(CalculationAnswer.__name__, answer)
    schemas |= _with_parts(BatchLine.__name__, TypeAdapter(BatchLine).json_schema(ref_template=_REF))
    schemas |= _with_parts("BatchEnd", TypeAdapter(BatchEnd).json_schema(ref_template=_REF))
    schemas |= _with_parts("Problem", TypeAdapter(Problem).json_schema(ref_template=_REF))
    answers = written_answers()
    schemas |= answers
    either_form(schemas)
    for name in schemas.keys() - requests.keys() - answers.keys() - {BatchLine.__name__}:
        schemas[name]["required"] = list(schemas[name]["properties"])
    _name_defaults(schemas, requests)
    describe_calculations(document["paths"], say)
    for path, method, operation in _operations(document):
        _declare_problems(operation)
        operation.setdefault("security", [])  # said, where no key is asked for
        if method == "get" and operation["security"]:
            operation["responses"]["200"]["headers"] = RATE_LIMIT | operation["responses"]["200"].get("headers", {})
        declare_edge(path, method, operation)
        operation["responses"] = dict(sorted(operation["responses"].items()))
    document["components"]["headers"] = deepcopy(HEADERS)
    document["components"]["schemas"] = {name: _as_choices(schema) for name, schema in sorted(schemas.items())}
    describe_schemas(document["components"]["schemas"], terms)
    say_tables(document["components"]["schemas"])
    for part in (document["paths"], document["components"]["headers"]):
        describe_words(part, "")
    return document


def _as_choices(schema: Any) -> Any:
    """The same schema, with a single value written as a choice of one: generators of clients stumble over `const` in alternatives."""
    if isinstance(schema, list):
        return [_as_choices(one) for one in schema]
    if not isinstance(schema, dict):
        return schema
    written = {name: _as_choices(value) for name, value in schema.items()}
    return written | {"enum": [written.pop("const")]} if "const" in written else written


def _operations(document: dict[str, Any]) -> Iterator[tuple[str, str, dict[str, Any]]]:
    for path, operations in document["paths"].items():
        yield from ((path, method, operation) for method, operation in operations.items())


def _declare_problems(operation: dict[str, Any]) -> None:
    """Each error as a problem only; the framework adds its own model of 422, which no route gives."""
    declared = problem(*KINDS)
    responses = {
        code: response if int(code) < 400 else response | {"content": declared[int(code)]["content"]}
        for code, response in operation["responses"].items()
        if "HTTPValidationError" not in str(response)
    }
    if "security" in operation:
        for status, answer in problem(NO_KEY, SCOPE_MISSING, NOT_READY).items():
            titles = [*responses.get(str(status), {"description": ""})["description"].split("; "), answer["description"]]
            responses[str(status)] = answer | {"description": "; ".join(dict.fromkeys(filter(None, titles)))}
        challenge = {"description": "What the key would have to be for (RFC 6750).", "required": True, "schema": {"type": "string"}}
        for status in ("401", "403"):
            responses[status]["headers"] = {"WWW-Authenticate": challenge}
    if "Price" in next(iter(operation["responses"].values())).get("headers", {}):
        responses["429"] = problem(TOO_MANY)[429] | {"headers": {**RETRY_AFTER, **RATE_LIMIT}}
    operation["responses"] = responses


def _of_request(model: type[BaseModel], terms: Terms) -> dict[str, Any]:
    return _with_parts(model.__name__, json_schema(model, terms, _REF))


def _name_defaults(schemas: dict[str, Any], requests: Container[str]) -> None:
    """Puts defaults under a name of ours: generators take what has a `default` for always there, or send it every time."""
    for name, schema in schemas.items():
        for member in schema.get("properties", {}).values():
            if (left_out := member.pop("default", None)) is not None and name in requests:
                member[LEFT_OUT] = left_out


def _with_parts(name: str, schema: dict[str, Any]) -> dict[str, Any]:
    parts: dict[str, Any] = schema.pop("$defs", {})
    return {**parts, name: schema}
