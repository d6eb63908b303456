"""Serves as `bondwright serve` does, but told to stop it waits for nobody: `serve_leaving_at_once.py FOLDER`."""

import socket
import sys
from contextlib import closing
from pathlib import Path

import uvicorn

from bondwright.api.app import create_app
from bondwright.assembly import build
from bondwright.settings import Settings


def main(folder: Path) -> None:
    """Prints its address as the second word of a line."""
    with socket.create_server(("127.0.0.1", 0)) as listener, closing(build(Settings(folder))) as bondwright:
        bondwright.ready()
        print(f"serving http://127.0.0.1:{listener.getsockname()[1]}", flush=True)
        config = uvicorn.Config(create_app(bondwright), log_level="critical", access_log=False, timeout_graceful_shutdown=0)
        uvicorn.Server(config).run(sockets=[listener])


if __name__ == "__main__":
    main(Path(sys.argv[1]))
