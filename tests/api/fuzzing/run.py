"""Schemathesis as a program of its own, against an application that listens on loopback and asks for keys."""

import json
import os
import shutil
import subprocess
import sys
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from pathlib import Path
from threading import Thread

import uvicorn
from starlette.types import ASGIApp
from tests.api.builders import bearer
from tests.api.fuzzing.report import Report, read_report

from bondwright.api.operating.server import listening

CONFIGURATION = Path(__file__).parents[1] / "schemathesis.toml"
HOOKS = Path(__file__).with_name("hooks.py")
ENVIRONMENT = {
    "SCHEMATHESIS_HOOKS": str(HOOKS),
    "HYPOTHESIS_STORAGE_DIRECTORY": str(Path(__file__).parents[3] / ".hypothesis"),
    "NO_PROXY": "127.0.0.1",
}
"""Each run worked out anew which characters there are, for 1.4 s, and sought a proxy for each request (2026-11-30)."""
_REPORT, _SAID = "report.ndjson", "said.txt"


def fuzz(app: ASGIApp, keys: Mapping[str, str], folder: Path, *options: str, seed: int | None = None) -> Report:
    """What schemathesis found in `app`.

    `keys`: one for each peer by name; `folder`: a throw-away one; `options`: of `schemathesis run`. Without a `seed` it sends the same
    every time.
    """
    peers = [
        {"name": name, "fixedHeaders": [{"name": name, "value": value} for name, value in bearer(key).items()]}
        for name, key in keys.items()
    ]
    (folder / "peers.yaml").write_text(json.dumps({"auth": peers}))  # JSON is YAML too
    program = shutil.which("schemathesis", path=str(Path(sys.executable).parent))
    assert program, "schemathesis is not installed: uv sync"
    with served(app) as address, (folder / _SAID).open("w") as said:
        command = [program, "--config-file", str(CONFIGURATION), "run", f"{address}/openapi.json", "--no-color"]
        command += ["--report", "ndjson", "--report-ndjson-path", str(folder / _REPORT), *options]
        command += ["--generation-deterministic"] if seed is None else ["--seed", str(seed)]
        environment = os.environ | ENVIRONMENT
        done = subprocess.run(command, stdout=said, stderr=subprocess.STDOUT, cwd=folder, check=False, env=environment)
    report = read_report(folder / _REPORT, done.returncode, (folder / _SAID).read_text())
    (folder / _REPORT).unlink()  # a hundred megabytes that nobody looks at again
    return report


@contextmanager
def served(app: ASGIApp) -> Iterator[str]:
    """The address at which `app` listens until the block ends."""
    with listening("127.0.0.1", 0) as listener:
        server = uvicorn.Server(uvicorn.Config(app, log_config=None, lifespan="off"))
        thread = Thread(target=server.run, kwargs={"sockets": [listener]})
        thread.start()  # who connects before it accepts waits in the listener's queue
        try:
            yield f"http://127.0.0.1:{listener.getsockname()[1]}"
        finally:
            server.should_exit = True
            thread.join()
