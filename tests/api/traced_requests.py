"""Asks a service whose spans are kept in memory and prints them: `python -m tests.api.traced_requests FOLDER MARK`.

A process of its own, for OpenTelemetry's provider is one for the whole process. MARK stands wherever a caller can write.
"""

import json
import sys
from pathlib import Path

from opentelemetry import trace
from opentelemetry.sdk.trace import TracerProvider
from opentelemetry.sdk.trace.export import SimpleSpanProcessor
from opentelemetry.sdk.trace.export.in_memory_span_exporter import InMemorySpanExporter
from starlette.testclient import TestClient
from tests.api.builders import EVALUATIONS, JSON, described, service

from bondwright.api.app import create_app
from bondwright.shelf.packs import rules_folder
from bondwright.shelf.published import on_shelf


def main(folder: Path, mark: str) -> None:
    """Prints the statuses of the answers, and the spans as the SDK writes them."""
    spans = InMemorySpanExporter()
    provider = TracerProvider()
    provider.add_span_processor(SimpleSpanProcessor(spans))
    trace.set_tracer_provider(provider)
    bondwright = service(on_shelf(rules_folder()), folder / "record.sqlite")
    client = TestClient(create_app(bondwright), raise_server_exceptions=False)
    headers = JSON | {"authorization": mark, "user-agent": mark, "x-forwarded-for": mark}
    asked = [
        ("POST", EVALUATIONS, described(reference=mark)),
        ("POST", EVALUATIONS, described(**{mark: mark})),
        ("POST", f"{EVALUATIONS}?{mark}={mark}", described()),
        ("GET", f"{EVALUATIONS}?reference={mark}", b""),
        ("GET", f"{EVALUATIONS}?reference={mark}&limit=0", b""),
        ("GET", "/readyz", b""),
        ("GET", "/metrics", b""),
    ]
    answers = [client.request(method, path, content=body, headers=headers) for method, path, body in asked]
    bondwright.close()
    found = len(answers[3].json()["evaluations"])
    written = [json.loads(span.to_json()) for span in spans.get_finished_spans()]
    print(json.dumps({"statuses": [answer.status_code for answer in answers], "found": found, "spans": written}))


if __name__ == "__main__":
    main(Path(sys.argv[1]), sys.argv[2])
