"""What the query of a page asks for: strictly, each fault at its parameter."""

import json
from typing import Annotated, Any, Literal

from fastapi import Request
from pydantic import BaseModel, ConfigDict, Field

from bondwright.errors import Contradiction, Fault, NotTheSchema
from bondwright.installation.documents import read_document
from bondwright.report.page.written import Asked

_MOST_SIGNS = 100


class PageQuery(BaseModel):
    """The query, as text; left out, it is the page for the site that is asked for."""

    model_config = ConfigDict(extra="forbid", frozen=True)

    why: Annotated[
        Annotated[str, Field(min_length=1, max_length=_MOST_SIGNS, examples=["supply"])] | None,
        Field(description="The name of a part, location or circuit, as the page has it, or `supply`: everything behind that alone."),
    ] = None
    whole: Annotated[Literal["yes"] | None, Field(description="The whole answer with every reason, instead of the page for the site.")] = (
        None
    )


def read_asked(request: Request) -> Asked:
    """What the query of `request` asks for. Raises: NotTheSchema; Contradiction, if it asks for two things."""
    given: dict[str, str] = {}
    for name, value in request.query_params.multi_items():
        if name in given and name in PageQuery.model_fields:
            raise NotTheSchema((Fault(f"/{name}", "given more than once; give it once"),))
        given[name] = value
    asked, _ = read_document(json.dumps(given).encode(), PageQuery)
    if asked.why is not None and asked.whole is not None:
        raise Contradiction((Fault("/whole", "the whole answer has everything behind each thing; leave out `why` or this"),))
    return Asked(asked.why, asked.whole is not None)


def parameters() -> list[dict[str, Any]]:
    """The parameters as the OpenAPI document declares them."""
    declared = []
    for name, schema in PageQuery.model_json_schema()["properties"].items():
        own = next(one for one in schema["anyOf"] if one["type"] != "null")
        declared.append({"name": name, "in": "query", "required": False, "description": schema["description"], "schema": own})
    return declared
