"""Spans of the work inside a request, for OpenTelemetry."""

from contextlib import AbstractContextManager

from opentelemetry import trace


def span(name: str) -> AbstractContextManager[trace.Span]:
    """A span around the block, if anyone collects them. An exception leaves nothing in it: its words may be the caller's."""
    return trace.get_tracer("bondwright").start_as_current_span(f"bondwright.{name}", record_exception=False, set_status_on_exception=False)
