"""Writes the kept files of `openapi/` anew: `uv run python -m tests.api.keep_documents`."""

import asyncio
import tempfile
from pathlib import Path

import orjson
from tests.api.builders import service

from bondwright.api.app import create_app
from bondwright.assembly import Bondwright
from bondwright.shelf.packs import published_packs, rules_folder

OPENAPI = Path(__file__).parents[2] / "openapi"
REQUEST = OPENAPI / "examples" / "house.request.json"
ANSWER = OPENAPI / "examples" / "house.answer.json"


def document_bytes(bondwright: Bondwright) -> bytes:
    """The OpenAPI document as it is kept; it depends on no rule pack and no record."""
    return orjson.dumps(create_app(bondwright).openapi(), option=orjson.OPT_INDENT_2 | orjson.OPT_APPEND_NEWLINE)


def main() -> None:
    """Write the document, and the answer that the example's request gets today."""
    with tempfile.TemporaryDirectory() as folder:
        bondwright = service(published_packs(rules_folder()), Path(folder) / "record.sqlite")
        (OPENAPI / "openapi.json").write_bytes(document_bytes(bondwright))
        ANSWER.write_bytes(asyncio.run(bondwright.submit(REQUEST.read_bytes())).body)
        bondwright.close()


if __name__ == "__main__":
    main()
