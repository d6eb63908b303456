"""The application: every route, every error a problem, documentation that needs no internet."""

from collections.abc import Collection
from importlib.metadata import version

from fastapi import Depends, FastAPI
from fastapi.routing import APIRoute
from fastapi_offline import FastAPIOffline

from bondwright.api.batches import add_batches
from bondwright.api.calculations import add_calculations
from bondwright.api.callers.access import keep_access
from bondwright.api.callers.metering import keep_quota
from bondwright.api.callers.origins import Origins
from bondwright.api.callers.queries import demand_known_query
from bondwright.api.described.docs_page import add_docs_page
from bondwright.api.described.document import DESCRIPTION, LICENCE, SERVERS, TAGS, describe
from bondwright.api.described.schemas import keep_schemas
from bondwright.api.edge.stack import add_edge
from bondwright.api.evaluations import RecordedEvaluation, RecordedOutline, add_evaluations
from bondwright.api.health import add_health
from bondwright.api.operating.adding import add_operating
from bondwright.api.operating.tracing import telemetry
from bondwright.api.problem_pages.pages import add_problem_pages
from bondwright.api.problems import answer_problems
from bondwright.api.records import EvaluationList, RecordInFull, ReplayAnswer, add_records
from bondwright.api.rule_packs import PackContents, PackList, RuleInFull, add_rule_packs
from bondwright.api.site_page.route import add_site_page
from bondwright.assembly import Bondwright, Keyring
from bondwright.compose.answer import Evaluation
from bondwright.outline.shape import Outline
from bondwright.settings import USUAL_LIMITS, Limits


def create_app(
    bondwright: Bondwright, keyring: Keyring | None = None, limits: Limits = USUAL_LIMITS, origins: Collection[str] = ()
) -> FastAPI:
    """The HTTP front of `bondwright`, which the caller closes after the last request; so too `keyring`.

    With no `keyring`, no keys are asked for: whoever reaches it may do everything. `origins`: whose pages are let in.
    """
    app: FastAPI = FastAPIOffline(
        title="Bondwright",
        version=version("bondwright"),
        description=DESCRIPTION,
        license_info=LICENCE,
        servers=SERVERS,
        openapi_tags=TAGS,
        docs_url=None,
        redoc_url=None,
        redirect_slashes=False,
        generate_unique_id_function=_operation_id,
        telemetry=telemetry(),
        dependencies=[Depends(demand_known_query)],
    )
    add_edge(app, limits)
    answer_problems(app)
    keep_access(app, keyring)
    keep_quota(app, limits.evaluations_per_minute)
    if origins:
        app.add_middleware(Origins, origins=origins)
    add_docs_page(app)
    add_problem_pages(app)
    describe(app, lambda: bondwright.terms, lambda: bondwright.say)
    keep_schemas(Evaluation, Outline, RecordedEvaluation, RecordedOutline, EvaluationList, RecordInFull, ReplayAnswer)
    keep_schemas(PackList, PackContents, RuleInFull)
    for add in (add_evaluations, add_batches, add_records, add_site_page, add_calculations, add_rule_packs, add_health, add_operating):
        add(app, bondwright)
    return app


def _operation_id(route: APIRoute) -> str:
    return route.name
