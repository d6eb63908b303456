"""Spans and figures for OpenTelemetry: the framework's own, with nothing in them that a caller said.

Idle until the environment names where to send them (`OTEL_EXPORTER_OTLP_ENDPOINT`) or a provider is set.
"""

from typing import Any

from fastapi.telemetry import TelemetryConfig
from starlette.types import ASGIApp, Receive, Scope, Send

from bondwright.api.operating.watching import NOT_LOGGED

_QUERY = "query_string"


def telemetry() -> TelemetryConfig:
    """What the application is made with; Query must stand behind it."""
    return {
        "auto_configure": True,
        "logs": False,  # they hold the words of exceptions
        "exclude": _hidden,
    }


class Query:
    """Gives a request the query back that was hidden from its span."""

    def __init__(self, app: ASGIApp) -> None:
        self._app = app

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answers as the application behind does."""
        if _QUERY in scope.get("state", {}):
            scope[_QUERY] = scope["state"].pop(_QUERY)
        await self._app(scope, receive, send)


def _hidden(scope: Any) -> bool:
    """Whether a request gets no span. The framework asks before it begins one, and would write the query into it."""
    if scope.get(_QUERY):
        scope.setdefault("state", {})[_QUERY], scope[_QUERY] = scope[_QUERY], b""
    return scope["path"] in NOT_LOGGED
