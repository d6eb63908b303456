"""The page for the site of a recorded evaluation, and what is behind it."""

from typing import Annotated, Any

from fastapi import FastAPI, Path, Request, Response
from starlette.concurrency import run_in_threadpool

from bondwright.access.keys import Caller
from bondwright.api.callers.access import may
from bondwright.api.callers.metering import PRICED, spend
from bondwright.api.problems import CONTRADICTION, CUT_OFF, DISAGREEMENT, INTERNAL, NOT_READY, NOT_THE_SCHEMA, UNKNOWN_NAME, problem
from bondwright.api.rule_packs import WITHDRAWN, withdrawn_headers
from bondwright.api.site_page.asking import parameters, read_asked
from bondwright.assembly import Bondwright

_TEXT: dict[str, Any] = {"text/plain": {"schema": {"type": "string"}}}
_RULE_PACK = {"Rule-Pack": {"description": "Id of the rule pack that decided.", "required": True, "schema": {"type": "string"}}}


def add_site_page(app: FastAPI, bondwright: Bondwright) -> None:
    """Adds the page below a recorded evaluation."""

    @app.get(
        "/v1/evaluations/{evaluation_id}/page",
        tags=["evaluations"],
        response_class=Response,
        summary="Read an evaluation as a page to take to the site",
        responses={
            200: {"description": "The page.", "content": _TEXT, "headers": {**_RULE_PACK, **WITHDRAWN, **PRICED}},
            **problem(UNKNOWN_NAME, CONTRADICTION, NOT_THE_SCHEMA, INTERNAL, DISAGREEMENT, NOT_READY, CUT_OFF),
        },
        openapi_extra={"parameters": parameters()},
    )
    async def get_page(
        request: Request, evaluation_id: Annotated[str, Path(json_schema_extra={"format": "uuid"})], caller: Annotated[Caller, may("read")]
    ) -> Response:
        """Plain text in the language of the rule pack, worked out from the record at what the evaluation costs.

        Refused where today another answer comes out than the one that was kept. For programs there is the evaluation itself.
        """
        asked = read_asked(request)
        record = await run_in_threadpool(bondwright.kept, evaluation_id, caller.tenant)
        left = spend(request, caller, bondwright.price_of_replay(record))
        text = await bondwright.page(record, asked)
        headers = {"Rule-Pack": record.pack_id, **withdrawn_headers(bondwright.withdrawn.get(record.pack_id)), **left}
        return Response(text, 200, headers, "text/plain; charset=utf-8")
