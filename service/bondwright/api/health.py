"""Is it alive, is it ready: for whoever runs the service."""

from dataclasses import dataclass
from typing import Literal

from fastapi import FastAPI, Response

from bondwright.api.problems import INTERNAL, NOT_READY, problem
from bondwright.assembly import Bondwright
from bondwright.errors import BondwrightError


@dataclass(frozen=True, slots=True)
class Health:
    """The service is well."""

    status: Literal["alive", "ready"]


def add_health(app: FastAPI, bondwright: Bondwright) -> None:
    """Adds the routes /livez and /readyz."""

    @app.get("/livez", tags=["operations"], summary="The process answers; nothing else is touched", responses=problem(INTERNAL))
    async def livez() -> Health:
        """For whoever watches the process: restart it where this does not answer."""
        return Health("alive")

    @app.get(
        "/readyz",
        tags=["operations"],
        summary="Rules are loaded and the record takes durable writes",
        response_model=Health,
        responses=problem(INTERNAL, NOT_READY),
    )
    def readyz() -> Health | Response:
        """For whoever sends requests here: send none while this is 503."""
        try:
            bondwright.ready()
        except BondwrightError:
            return NOT_READY.answer()
        return Health("ready")
