"""Puts an application under watch."""

from fastapi import FastAPI

from bondwright.api.edge.request_ids import RequestIds
from bondwright.api.operating.leaving import Leaving, WayOut
from bondwright.api.operating.metrics import Figures, add_metrics
from bondwright.api.operating.tracing import Query
from bondwright.api.operating.watching import Watch
from bondwright.assembly import Bondwright


def add_operating(app: FastAPI, bondwright: Bondwright) -> None:
    """Adds the log, the figures with their route, what spans need, and the way out, which stands in the state of `app` as `way_out`.

    Called last, so that whatever answers is seen.
    """
    figures = Figures(bondwright)
    add_metrics(app, figures)
    app.state.way_out = WayOut()
    app.add_middleware(Leaving, way_out=app.state.way_out)
    # Outside of all that answers by itself, so that every answer has one.
    app.add_middleware(RequestIds)
    app.add_middleware(Watch, heard=figures.heard)
    app.add_middleware(Query)
