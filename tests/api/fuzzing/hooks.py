"""What is changed in generated requests, so that they get past three doors and reach what lies behind them.

Loaded by schemathesis itself. Nothing is changed that a check has an opinion on: a key or a name that breaks its pattern stays as it is.
"""

import gc
import hashlib
import re
from typing import Any

import schemathesis

# The program ends after the run. Its collector of garbage took a tenth of the time (2026-11-29).
gc.collect()
gc.freeze()
gc.set_threshold(50_000, 20, 50)

_KEY = re.compile(r"[!#-\[\]-~]{1,255}")
_PACK_ID = re.compile(r"[a-z0-9-]{1,80}")
_ID = re.compile(r"[A-Za-z0-9][A-Za-z0-9._-]{0,39}")
_PUBLISHED = re.compile(r"(bs7671|iec60364)-[a-z0-9-]+-r[0-9]+")


@schemathesis.hook
def before_load_schema(_context: schemathesis.HookContext, raw_schema: dict[str, Any]) -> None:
    """Gives members their defaults again, which the document calls otherwise: without them a quarter of the descriptions that fit the
    schema contradicted themselves and went no further (2026-11-30).
    """
    for schema in raw_schema["components"]["schemas"].values():
        for member in schema.get("properties", {}).values():
            if "x-left-out" in member:
                member["default"] = member["x-left-out"]


@schemathesis.hook
def before_call(_context: schemathesis.HookContext, case: schemathesis.Case[Any], _kwargs: dict[str, Any]) -> None:
    """Gives each body an Idempotency-Key of its own; takes out ids that are there twice, and rule packs that nobody has published.

    A handful of keys came with thousands of bodies: of 3,008 descriptions of the coverage phase 2,999 were refused as sent before, and
    none of their faults was looked at (2026-11-25). The same body keeps its key, so some requests are repeated indeed.
    """
    body: Any = case.body
    named = body.get("rule_pack") if isinstance(body, dict) else None
    if isinstance(named, str) and _PACK_ID.fullmatch(named) and not _PUBLISHED.fullmatch(named):
        body["rule_pack"] = ""
    _leave_out_repeated_ids(body, set())
    headers: Any = case.headers or {}
    key = headers.get("Idempotency-Key")
    if isinstance(key, str) and _KEY.fullmatch(key.strip('"')):
        headers["Idempotency-Key"] = hashlib.sha256(repr(body).encode(errors="backslashreplace")).hexdigest()


def _leave_out_repeated_ids(value: Any, seen: set[str]) -> None:
    if isinstance(value, dict):
        name = value.get("id")
        if isinstance(name, str) and _ID.fullmatch(name):
            if name in seen:
                del value["id"]
            seen.add(name)
    for inner in value.values() if isinstance(value, dict) else value if isinstance(value, list) else ():
        _leave_out_repeated_ids(inner, seen)


@schemathesis.serializer("application/jsonl", "application/octet-stream")
def lines(_context: schemathesis.SerializationContext, value: Any) -> bytes:
    """A body of JSON Lines as it goes out: what is drawn for it is text, or bytes already."""
    return value if isinstance(value, bytes) else str(value).encode(errors="backslashreplace")
