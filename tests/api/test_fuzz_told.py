"""Schemathesis over the evaluations of packs of which one has facts told and the others have not: they are sent, and answered."""

import json
from collections.abc import Mapping
from contextlib import closing
from pathlib import Path
from typing import Any

from tests.api.builders import OURS
from tests.api.fuzzing.run import fuzz
from tests.api.fuzzing.subject import subject
from tests.core.test_told import FACTS
from tests.described import standing
from tests.rules.raised import raised_pack

from bondwright.audit.record import Search
from bondwright.audit.sqlite.store import SqliteRecordStore

FEWER: Mapping[str, tuple[str, ...]] = {
    "Installation": ("work", "rule_pack", "items", "locations"),
    "Item": ("kind", "told"),
    "Location": ("kind", "told"),
}
"""The members that are sent here, by the schema that has them; what is left out of a request is no fault."""


def narrowed(schemas: dict[str, Any]) -> None:
    """Leaves those members alone in the document, so that a short run comes to each of them."""
    for name, members in FEWER.items():
        schemas[name]["properties"] = {member: schemas[name]["properties"][member] for member in members}


def test_told_facts_are_drawn_from_the_document_and_every_promise_is_kept(tmp_path: Path) -> None:
    pack = raised_pack(tmp_path / "rules", *FACTS)

    with subject((*standing(), pack), tmp_path) as (app, keys):
        narrowed(app.openapi()["components"]["schemas"])
        report = fuzz(app, keys, tmp_path, "--phases=coverage", "--include-name=POST /v1/evaluations")
        with closing(SqliteRecordStore(tmp_path / "record.sqlite")) as store:
            kept = [store.get(OURS, one.evaluation_id) for one in store.find(OURS, Search(), None, 10_000)]

    location = app.openapi()["components"]["schemas"]["Location"]["properties"]["told"]
    assert list(location["properties"]) == ["livestock", "bedding"] and location["additionalProperties"] is False
    assert (report.status, report.found) == (0, frozenset()), report.said
    told = [record for record in kept if any(name in record.input_bytes for name in (b'"livestock"', b'"bedding"', b'"depth"', b'"grid"'))]
    unused = [record for record in told if json.loads(record.evaluation_bytes).get("told_not_used")]
    assert len(told) >= 20 and unused and len(unused) < len(told)
