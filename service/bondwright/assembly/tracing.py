"""Spans of the work inside a request, for OpenTelemetry."""

from contextlib import AbstractContextManager, nullcontext

from opentelemetry import trace

_NOTHING = nullcontext(trace.INVALID_SPAN)
"""Where nobody has set what collects spans: making one that goes nowhere takes 0.02 ms (2026-11-29)."""


def span(name: str) -> AbstractContextManager[trace.Span]:
    """A span around the block, if anyone collects them. An exception leaves nothing in it: its words may be the caller's."""
    if isinstance(trace.get_tracer_provider(), trace.ProxyTracerProvider):
        return _NOTHING
    return trace.get_tracer("bondwright").start_as_current_span(f"bondwright.{name}", record_exception=False, set_status_on_exception=False)
