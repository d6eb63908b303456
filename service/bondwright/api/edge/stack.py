"""The order in which a request passes the edge."""

from fastapi import FastAPI

from bondwright.api.edge.last_net import LastNet
from bondwright.api.edge.methods import Methods


def add_edge(app: FastAPI) -> None:
    """Puts the edge before every route of `app`."""
    # Each is added outside the one before: a request meets the last first.
    app.add_middleware(Methods)
    app.add_middleware(LastNet)
