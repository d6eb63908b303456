"""Rate limits: how many evaluations a key may ask for, told in the draft standard's headers (draft-ietf-httpapi-ratelimit-headers-11)."""

import time
from typing import Any

from fastapi import FastAPI, Request

from bondwright.access.keys import Caller
from bondwright.assembly.quota import WINDOW_S, Allowance, Quota

_POLICY = "evaluations"

RATE_LIMIT: dict[str, Any] = {
    "RateLimit-Policy": {
        "description": "What a key may ask for, in evaluations (`q`) in so many seconds (`w`); it fills up evenly. Draft.",
        "schema": {"type": "string", "examples": [f'"{_POLICY}";q=1200;w={WINDOW_S}']},
    },
    "RateLimit": {
        "description": "What is left (`r`), and in how many seconds it is full again (`t`). Draft. Absent without a limit.",
        "schema": {"type": "string", "examples": [f'"{_POLICY}";r=1199;t=1']},
    },
}


RETRY_AFTER: dict[str, Any] = {
    "Retry-After": {"description": "In how many seconds to try again.", "required": True, "schema": {"type": "string"}}
}


def keep_quota(app: FastAPI, per_minute: int) -> None:
    """Makes `app` let each key ask for so many evaluations a minute; 0 is without limit."""
    app.state.quota = Quota(per_minute, time.monotonic) if per_minute else None


def spend(request: Request, caller: Caller, evaluations: int = 1) -> dict[str, str]:
    """The headers that tell what is left once so many are let in; none, where there is no limit. Raises: QuotaSpent."""
    quota: Quota | None = request.app.state.quota
    if quota is None or caller.key_id is None:
        return {}
    return headers_of(quota.spend(caller.key_id, evaluations))


def headers_of(left: Allowance) -> dict[str, str]:
    """What is left, as the draft writes it."""
    return {
        "RateLimit-Policy": f'"{_POLICY}";q={left.per_minute};w={WINDOW_S}',
        "RateLimit": f'"{_POLICY}";r={left.remaining};t={left.full_in_s}',
    }
