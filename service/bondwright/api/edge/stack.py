"""The order in which a request passes the edge."""

from fastapi import FastAPI

from bondwright.api.batches import BATCHES, MOST_BATCH_BYTES, WRITTEN_AS
from bondwright.api.callers.refusals import Refusals
from bondwright.api.edge.acceptance import Acceptance
from bondwright.api.edge.bodies import Bodies
from bondwright.api.edge.caching import Caching
from bondwright.api.edge.compression import Compression
from bondwright.api.edge.last_net import LastNet
from bondwright.api.edge.leftovers import Leftovers
from bondwright.api.edge.methods import Methods
from bondwright.api.edge.shedding import Shedding
from bondwright.settings import Limits


def add_edge(app: FastAPI, limits: Limits) -> None:
    """Puts the edge before every route of `app`."""
    # Each is added outside the one before: a request meets the last first.
    app.add_middleware(Bodies, seconds=limits.body_s, large={BATCHES: MOST_BATCH_BYTES})
    app.add_middleware(Caching)
    app.add_middleware(Acceptance, written_as={BATCHES: WRITTEN_AS})
    app.add_middleware(Compression)
    app.add_middleware(Methods)
    app.add_middleware(Shedding, most_at_once=limits.most_at_once, most_price=limits.most_price)
    app.add_middleware(Refusals)
    app.add_middleware(LastNet)
    app.add_middleware(Leftovers)
