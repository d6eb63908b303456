"""What is told over HTTP of every published pack, whatever its revision, is as the document says."""

import json

import jsonschema_rs
import pytest
from starlette.testclient import TestClient
from tests.api.keep_documents import DOCUMENT

from bondwright.rulebook.pack import PackHead


@pytest.mark.parametrize("kind", ["PackContents", "RuleInFull"])
def test_what_every_published_pack_tells_is_as_the_document_says(kind: str, client: TestClient, packs: tuple[PackHead, ...]) -> None:
    document = json.loads(DOCUMENT.read_bytes())
    validator = jsonschema_rs.Draft202012Validator({"$ref": f"#/components/schemas/{kind}", "components": document["components"]})
    contents = [client.get(f"/v1/rule-packs/{pack.pack_id}").json() for pack in packs]
    newest = contents[-1]
    rules = [f"/v1/rule-packs/{newest['pack_id']}/rules/{rule['rule_id']}" for rule in newest["rules"][::10]]

    told = contents if kind == "PackContents" else [client.get(path).json() for path in rules]

    assert told != []
    assert [one for one in told if not validator.is_valid(one)] == []
