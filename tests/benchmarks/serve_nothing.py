"""An endpoint that reads a description and decides nothing: `python -m tests.benchmarks.serve_nothing`; it prints its address."""

import uvicorn
from fastapi import FastAPI, Request, Response

from bondwright.api.operating.server import listening
from bondwright.installation.description import Installation

app = FastAPI()


@app.get("/livez")
async def livez() -> Response:
    """Nothing."""
    return Response(b"{}", media_type="application/json")


@app.post("/{size}")
async def nothing(size: int, request: Request) -> Response:
    """So many bytes."""
    Installation.model_validate_json(await request.body())
    return Response(b" " * size, 201, media_type="application/json")


if __name__ == "__main__":
    listener = listening("127.0.0.1", 0)
    print(f"nothing http://127.0.0.1:{listener.getsockname()[1]}", flush=True)
    uvicorn.Server(uvicorn.Config(app, log_level="error", access_log=False)).run(sockets=[listener])
