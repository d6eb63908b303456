"""Writes the editor's schema anew: `uv run python -m tests.rules.keep_schema`."""

import orjson

from bondwright.shelf.editor_schema import editor_schema
from bondwright.shelf.packs import published_packs, rules_folder

KEPT = rules_folder() / "schema" / "edition.schema.json"


def schema_bytes() -> bytes:
    """The schema of the newest published pack's vocabulary, as it is kept."""
    newest = max((pack for pack in published_packs(rules_folder()) if pack.pack_id.startswith("bs7671")), key=lambda pack: pack.usable_from)
    return orjson.dumps(editor_schema(newest), option=orjson.OPT_INDENT_2 | orjson.OPT_APPEND_NEWLINE)


if __name__ == "__main__":
    KEPT.write_bytes(schema_bytes())
