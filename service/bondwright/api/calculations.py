"""Calculations: what can be worked out on its own, and one route for each."""

from collections.abc import Awaitable, Callable
from dataclasses import dataclass
from typing import Annotated, Any

from fastapi import FastAPI, Request, Response

from bondwright.access.keys import Caller
from bondwright.api.bodies import body_or_refusal
from bondwright.api.callers.access import may
from bondwright.api.callers.metering import PRICED, demand_left, spend
from bondwright.api.problems import (
    CONTRADICTION,
    CUT_OFF,
    DISAGREEMENT,
    INTERNAL,
    NOT_JSON,
    NOT_THE_SCHEMA,
    TOO_LARGE,
    WRONG_MEDIA_TYPE,
    problem,
)
from bondwright.assembly import Bondwright
from bondwright.calculations.answer import CalculationAnswer
from bondwright.calculations.calculation import Calculation
from bondwright.calculations.catalogue import CALCULATIONS
from bondwright.rulebook.held import Sentences

_RULE_PACK = {"Rule-Pack": {"description": "Id of the rule pack whose values were used.", "required": True, "schema": {"type": "string"}}}

# Its schema is written once, in `document`: as the model of each route it would be worked out anew for each of them.
_ANSWER = {
    "description": "Successful Response",
    "headers": {**_RULE_PACK, **PRICED},
    "content": {"application/json": {"schema": {"$ref": f"#/components/schemas/{CalculationAnswer.__name__}"}}},
}


@dataclass(frozen=True, slots=True)
class CalculationSummary:
    """A calculation in short; `inputs` names the schema of what it is asked, `validity` says where it holds."""

    name: str
    title: str
    inputs: str
    validity: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class CalculationList:
    """Every calculation, like ones together."""

    calculations: tuple[CalculationSummary, ...]


def add_calculations(app: FastAPI, bondwright: Bondwright) -> None:
    """Adds the routes under /v1/calculations."""

    @app.get(
        "/v1/calculations",
        tags=["calculations"],
        summary="List the calculations",
        responses={**problem(INTERNAL)},
        dependencies=[may("evaluate")],
    )
    def list_calculations() -> CalculationList:
        """Each with the name that its path ends in, the schema of its inputs, and where it holds."""
        say = bondwright.say
        listed = (CalculationSummary(one.name, one.title(say), one.inputs.__name__, one.holds(say)) for one in CALCULATIONS.values())
        return CalculationList(tuple(listed))

    for calculation in CALCULATIONS.values():
        app.add_api_route(
            f"/v1/calculations/{calculation.name}",
            _route(calculation, bondwright),
            methods=["POST"],
            name=f"calculate_{calculation.name.replace('-', '_')}",
            tags=["calculations"],
            summary=calculation.name,
            response_model=None,
            responses={
                200: _ANSWER,
                **problem(NOT_JSON, CONTRADICTION, TOO_LARGE, WRONG_MEDIA_TYPE, NOT_THE_SCHEMA, INTERNAL, DISAGREEMENT, CUT_OFF),
            },
            openapi_extra=_body_of(calculation),
        )


def describe_calculations(paths: dict[str, Any], say: Sentences) -> None:
    """Puts the title of each calculation and where it holds into the document."""
    for calculation in CALCULATIONS.values():
        operation = paths[f"/v1/calculations/{calculation.name}"]["post"]
        operation["summary"] = calculation.title(say)
        operation["description"] = "\n\n".join((operation["description"], *calculation.holds(say)))


def _route(calculation: Calculation, bondwright: Bondwright) -> Callable[[Request, Caller], Awaitable[Response]]:
    async def route(request: Request, caller: Annotated[Caller, may("evaluate")]) -> Response:
        demand_left(request, caller)
        body = await body_or_refusal(request)
        if isinstance(body, Response):
            return body
        left = spend(request, caller, bondwright.price_of_calculation(body))
        pack_id, answer = await bondwright.calculated(calculation.name, body, caller.tenant)
        return Response(answer, 200, {"Rule-Pack": pack_id, **left}, "application/json")

    route.__doc__ = calculation.inputs.__doc__
    return route


def _body_of(calculation: Calculation) -> dict[str, Any]:
    schema = {"$ref": f"#/components/schemas/{calculation.inputs.__name__}"}
    return {"requestBody": {"required": True, "content": {"application/json": {"schema": schema}}}}
