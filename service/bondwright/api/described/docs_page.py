"""The page /docs, made of the document in the browser; what it loads comes from this service alone."""

from fastapi import FastAPI, Request
from fastapi.openapi.docs import get_swagger_ui_html
from fastapi.responses import HTMLResponse

_STATIC = "/static-offline-docs"


def add_docs_page(app: FastAPI) -> None:
    """Adds /docs."""

    @app.get("/docs", include_in_schema=False)
    async def docs(request: Request) -> HTMLResponse:
        root = request.scope.get("root_path", "")
        return get_swagger_ui_html(
            openapi_url=f"{root}{app.openapi_url}",
            title=f"{app.title}: every request and answer",
            swagger_js_url=f"{root}{_STATIC}/swagger-ui-bundle.js",
            swagger_css_url=f"{root}{_STATIC}/swagger-ui.css",
            swagger_favicon_url=f"{root}{_STATIC}/favicon.png",
            swagger_ui_parameters={"showExtensions": True},
        )
