"""Puts an application under watch."""

from fastapi import FastAPI

from bondwright.api.operating.metrics import Figures, add_metrics
from bondwright.api.operating.watching import Watch
from bondwright.assembly import Bondwright


def add_operating(app: FastAPI, bondwright: Bondwright) -> None:
    """Adds the log, the figures and their route. Called last, so that whatever answers is seen."""
    figures = Figures(bondwright)
    add_metrics(app, figures)
    app.add_middleware(Watch, heard=figures.heard)
