"""The pages themselves: short, static, nothing loaded from elsewhere."""

import re
from html import escape

from fastapi import FastAPI
from fastapi.responses import HTMLResponse

from bondwright.api.problem_pages.explanations import EXPLANATIONS
from bondwright.api.problems import KINDS, Kind
from bondwright.errors import UnknownName

_STYLE = "body{font:1rem/1.5 sans-serif;max-width:42rem;margin:2rem auto;padding:0 1rem}pre{overflow:auto;border:1px solid;padding:.5rem}"
# What the pages need and nothing more: not even a script could be slipped in.
_HEADERS = {"Content-Security-Policy": "default-src 'none'; style-src 'unsafe-inline'"}


def add_problem_pages(app: FastAPI) -> None:
    """Adds /problems and a page below it for every kind."""
    pages = {kind.name: _page(f"{kind.title} ({kind.status})", _explained(kind)) for kind in KINDS}
    listed = _page("Problems", _list())

    @app.get("/problems", include_in_schema=False)
    async def list_problems() -> HTMLResponse:
        return HTMLResponse(listed, headers=_HEADERS)

    @app.get("/problems/{name}", include_in_schema=False)
    async def get_problem(name: str) -> HTMLResponse:
        if name not in pages:
            raise UnknownName("problem", name)
        return HTMLResponse(pages[name], headers=_HEADERS)


def _explained(kind: Kind) -> str:
    said = EXPLANATIONS.get(kind.name)
    if said is None:
        return _paragraph(kind.detail)
    return "".join(
        (
            f"<p><code>{kind.type}</code></p>",
            f"<h2>What it means</h2>{_paragraph(said.means)}",
            f"<h2>Example</h2><pre>{escape(said.example)}</pre>",
            f"<h2>What to do</h2>{_paragraph(said.do)}",
            '<p><a href="/problems">All problems</a> · <a href="/docs">Documentation</a></p>',
        )
    )


def _list() -> str:
    lines = (f'<li><a href="{kind.type}">{escape(kind.title)}</a> ({kind.status}). {escape(kind.detail)}</li>' for kind in KINDS)
    return f'<p>Why there was no answer, in kinds (RFC 9457).</p><ul>{"".join(lines)}</ul><p><a href="/docs">Documentation</a></p>'


def _paragraph(text: str) -> str:
    return "<p>" + re.sub("`([^`]+)`", r"<code>\1</code>", escape(text)) + "</p>"


def _page(title: str, body: str) -> str:
    return (
        f'<!doctype html><html lang="en"><head><meta charset="utf-8"><meta name="viewport" content="width=device-width">'
        f"<title>Bondwright: {escape(title)}</title><style>{_STYLE}</style></head><body><h1>{escape(title)}</h1>{body}</body></html>"
    )
