"""Writes the editor's schema anew: `uv run python -m tests.rules.keep_schema`."""

import orjson
from tests.rules.revisions import newest

from bondwright.shelf.editor_schema import editor_schema
from bondwright.shelf.packs import rules_folder

KEPT = rules_folder() / "schema" / "edition.schema.json"


def schema_bytes() -> bytes:
    """The schema of the newest published pack's vocabulary, as it is kept."""
    return orjson.dumps(editor_schema(newest("bs7671-2018-a4")), option=orjson.OPT_INDENT_2 | orjson.OPT_APPEND_NEWLINE)


if __name__ == "__main__":
    KEPT.write_bytes(schema_bytes())
