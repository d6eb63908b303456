"""`bondwright serve` sends spans where the standard environment of OpenTelemetry says."""

import os
import subprocess
from collections.abc import Iterator
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path
from threading import Thread
from typing import Any
from urllib.request import Request, urlopen

import pytest
from opentelemetry.proto.collector.trace.v1.trace_service_pb2 import ExportTraceServiceRequest
from tests.cli.command import BONDWRIGHT, HOUSE

PATIENCE_S = 60


class Collector(ThreadingHTTPServer):
    """Takes whatever is sent to it."""

    def __init__(self) -> None:
        super().__init__(("127.0.0.1", 0), _Taking)
        self.taken: list[tuple[str, bytes]] = []


class _Taking(BaseHTTPRequestHandler):
    def do_POST(self) -> None:
        assert isinstance(self.server, Collector)
        self.server.taken.append((self.path, self.rfile.read(int(self.headers["content-length"]))))
        self.send_response(200)
        self.end_headers()

    def log_message(self, *_: Any) -> None:
        """Nothing."""


@pytest.fixture
def collector() -> Iterator[Collector]:
    """A collector on a free port of loopback."""
    with Collector() as started:
        thread = Thread(target=started.serve_forever)
        thread.start()
        yield started
        started.shutdown()
        thread.join()


def test_spans_are_sent_at_the_latest_when_the_service_stops(collector: Collector, tmp_path: Path) -> None:
    where = {"OTEL_EXPORTER_OTLP_ENDPOINT": f"http://127.0.0.1:{collector.server_port}", "OTEL_SERVICE_NAME": "bondwright"}
    command: list[str | Path] = [BONDWRIGHT, "serve", "--no-auth", "--port", "0", "--data", tmp_path]
    with subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.PIPE, env={**os.environ, **where}) as process:
        try:
            assert process.stdout
            address = process.stdout.readline().decode().split()[1]
            urlopen(Request(f"{address}/v1/evaluations", HOUSE.read_bytes(), {"content-type": "application/json"}), timeout=60).close()
            process.terminate()
            process.wait(PATIENCE_S)
        finally:
            process.kill()

    traces = [ExportTraceServiceRequest.FromString(body) for path, body in collector.taken if path == "/v1/traces"]
    names = {span.name for sent in traces for resource in sent.resource_spans for scope in resource.scope_spans for span in scope.spans}
    assert {"POST /v1/evaluations", "bondwright.evaluate", "bondwright.record"} <= names
    assert {path for path, _ in collector.taken} <= {"/v1/traces", "/v1/metrics"}
