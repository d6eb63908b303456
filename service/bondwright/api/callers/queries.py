"""The query of a request: an operation that asks nothing by it refuses one that is there."""

from fastapi import Request

from bondwright.errors import Fault, NotTheSchema

_SAYS = "nothing is asked here by a query; leave out the question mark and what follows it"


async def demand_known_query(request: Request) -> None:
    """Nothing, if the query is empty, or the operation declares parameters: then it reads the query itself.

    A name that is passed over would let a caller believe that it did something. Raises: NotTheSchema.
    """
    if not request.query_params:
        return
    declared = request.scope["route"].openapi_extra or {}
    if not any(parameter["in"] == "query" for parameter in declared.get("parameters", ())):
        raise NotTheSchema((Fault("", _SAYS),))
