"""Writes the kept files of `openapi/` anew: `uv run python -m tests.api.keep_documents`.

With `--release` it also makes the document the released one, by which every later document is judged.
"""

import argparse
import asyncio
import json
import tempfile
from pathlib import Path

import orjson
from starlette.testclient import TestClient
from tests.api.builders import JSON, service
from tests.compatibility.interface import breaks

from bondwright.api.app import create_app
from bondwright.assembly import Bondwright
from bondwright.shelf.packs import rules_folder
from bondwright.shelf.published import on_shelf

OPENAPI = Path(__file__).parents[2] / "openapi"
DOCUMENT = OPENAPI / "openapi.json"
RELEASED = OPENAPI / "released.json"
REQUEST = OPENAPI / "examples" / "house.request.json"
ANSWER = OPENAPI / "examples" / "house.answer.json"
PLACES = OPENAPI / "examples" / "places"
"""An installation for each special location that the newest pack judges, with the page of the answer."""


def document_bytes(bondwright: Bondwright) -> bytes:
    """The OpenAPI document as it is kept; it depends on no rule pack and no record."""
    return orjson.dumps(create_app(bondwright).openapi(), option=orjson.OPT_INDENT_2 | orjson.OPT_APPEND_NEWLINE)


def places() -> list[Path]:
    """The requests about special locations."""
    return sorted(PLACES.glob("*.request.json"))


def page_beside(request: Path) -> Path:
    """Where the page of the answer to a request is kept."""
    return request.with_name(f"{request.name.removesuffix('.request.json')}.page.txt")


def page(client: TestClient, request: Path) -> str:
    """The page of the answer to a request, as the service gives it."""
    answer = client.post("/v1/evaluations", content=request.read_bytes(), headers=JSON)
    assert answer.status_code == 201, answer.text
    return client.get(f"/v1/evaluations/{answer.json()['evaluation_id']}/page").text


def keep() -> None:
    """Write the document, the answer that the example's request gets today, and the pages of those about special locations."""
    with tempfile.TemporaryDirectory() as folder:
        bondwright = service(on_shelf(rules_folder()), Path(folder) / "record.sqlite")
        DOCUMENT.write_bytes(document_bytes(bondwright))
        ANSWER.write_bytes(asyncio.run(bondwright.submit(REQUEST.read_bytes())).body)
        with TestClient(create_app(bondwright)) as client:
            for request in places():
                page_beside(request).write_text(page(client, request), encoding="utf-8")


def compared(document: Path, released: Path) -> str:
    """What in the document breaks callers of the released one, a line each; or that there is none."""
    if not released.exists():
        return f"nothing is released yet: there is no {released.name} that {document.name} could be compared with"
    return "\n".join(map(str, breaks(json.loads(released.read_bytes()), json.loads(document.read_bytes()))))


def release(document: Path, released: Path) -> str:
    """Makes the document the released one, unless that breaks callers; why not, if so."""
    found = compared(document, released) if released.exists() else ""
    if found:
        return f"{found}\nnot released; if nobody was given {released.name} yet, delete it first"
    released.write_bytes(document.read_bytes())
    return ""


def main() -> str:
    """Keep the documents; release, if that is asked for."""
    asked = argparse.ArgumentParser(description="write the kept files of openapi/ anew", allow_abbrev=False)
    asked.add_argument("--release", action="store_true", help="make the document the one by which later ones are judged")
    released = asked.parse_args().release
    keep()
    print(compared(DOCUMENT, RELEASED) or f"{DOCUMENT.name} breaks no caller of {RELEASED.name}")
    return release(DOCUMENT, RELEASED) if released else ""


if __name__ == "__main__":
    raise SystemExit(main() or None)
