"""Figures of the service as Prometheus reads them.

Every label comes from a list that is bounded: routes, usual methods, statuses, rule packs, outcomes and levels, kinds of problem.
"""

from collections.abc import Iterable, Iterator
from functools import cache
from typing import Any

from fastapi import FastAPI, Response
from prometheus_client import CollectorRegistry, Counter, GCCollector, Histogram, PlatformCollector, ProcessCollector, generate_latest
from prometheus_client.core import CounterMetricFamily, GaugeMetricFamily, Metric
from prometheus_client.exposition import CONTENT_TYPE_PLAIN_0_0_4
from prometheus_client.registry import Collector

from bondwright.api.operating.watching import Answered
from bondwright.api.problems import INTERNAL, problem
from bondwright.assembly import Bondwright

_SHOWN: dict[int | str, dict[str, Any]] = {200: {"description": "Figures", "content": {"text/plain": {"schema": {"type": "string"}}}}}


class Figures:
    """The figures of one application, in a registry of its own."""

    def __init__(self, bondwright: Bondwright) -> None:
        self._registry = CollectorRegistry()
        for collect in (ProcessCollector, PlatformCollector, GCCollector):
            collect(registry=self._registry)
        self._registry.register(_Inside(bondwright))
        asked = ("route", "method")
        self._requests = Counter(
            "bondwright_requests", "Requests answered; status none: given up", (*asked, "status"), registry=self._registry
        )
        self._seconds = Histogram(
            "bondwright_request_seconds", "From a request's head to the end of its answer", asked, registry=self._registry
        )
        # As many as the labels allow, which are bounded.
        self._of = cache(self._labelled)
        self._problems = Counter(
            "bondwright_problems", "Problems answered, by the name that ends their type", ("problem",), registry=self._registry
        )

    def heard(self, answered: Answered) -> None:
        """Counts one request."""
        requests, seconds = self._of(answered.route, answered.method, answered.status)
        requests.inc()
        seconds.observe(answered.seconds)
        if answered.problem:
            self._problems.labels(answered.problem).inc()

    def _labelled(self, route: str, method: str, status: int | None) -> tuple[Counter, Histogram]:
        return self._requests.labels(route, method, str(status or "none")), self._seconds.labels(route, method)

    def shown(self) -> bytes:
        """All of them, in Prometheus's text format."""
        return generate_latest(self._registry)


def add_metrics(app: FastAPI, figures: Figures) -> None:
    """Adds the route /metrics."""

    @app.get(
        "/metrics",
        tags=["operations"],
        summary="Figures in Prometheus's text format",
        response_class=Response,
        responses={**_SHOWN, **problem(INTERNAL)},
    )
    def metrics() -> Response:
        """Requests, problems, evaluations, verdicts, the memory of situations, the writing of records, and the process."""
        return Response(figures.shown(), 200, {"Content-Type": CONTENT_TYPE_PLAIN_0_0_4})


class _Inside(Collector):
    """What the service counts by itself, read when it is asked for."""

    def __init__(self, bondwright: Bondwright) -> None:
        self._bondwright = bondwright

    def collect(self) -> Iterator[Metric]:
        figures = self._bondwright.figures()
        yield _counted("evaluations", "Evaluations recorded", ("pack",), (((pack,), count) for pack, count in figures.recorded.items()))
        yield _counted(
            "verdicts", "Verdicts of recorded evaluations on parts and rooms", ("pack", "outcome", "act_on"), figures.verdicts.items()
        )
        met = (
            ((pack, remembered), count)
            for pack, counts in figures.situations.items()
            for remembered, count in zip(("yes", "no"), counts, strict=True)
        )
        yield _counted(
            "situations", "Situations that rules were asked about; remembered: no channel had to be", ("pack", "remembered"), met
        )
        waiting = GaugeMetricFamily("bondwright_waiting", "Requests that wait for their turn to be evaluated", labels=("where",))
        for where, count in figures.waiting.items():
            waiting.add_metric((where,), count)
        yield waiting
        yield _counted("apart_starts", "Times that the process for what costs much was started", (), [((), figures.started)])
        if writing := figures.writing:
            yield GaugeMetricFamily("bondwright_record_waiting", "Writes that wait for the record", writing.waiting)
            yield _counted(
                "record_writes", "Writes that the record has answered; per commit: the size of a batch", (), [((), writing.answered)]
            )
            yield _counted("record_commits", "Transactions committed for them", (), [((), writing.commits)])


def _counted(name: str, meaning: str, labels: tuple[str, ...], counts: Iterable[tuple[tuple[str, ...], int]]) -> Metric:
    family = CounterMetricFamily(f"bondwright_{name}", meaning, labels=labels)
    for values, count in counts:
        family.add_metric(values, count)
    return family
