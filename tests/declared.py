"""What the kept document declares of answers."""

import json
from functools import cache

import jsonschema
from tests.api.keep_documents import DOCUMENT


@cache
def declared(name: str) -> jsonschema.Draft202012Validator:
    """What checks a value by the schema that the document has under that name."""
    document = json.loads(DOCUMENT.read_bytes())
    return jsonschema.Draft202012Validator({"$ref": f"#/components/schemas/{name}", "components": document["components"]})
