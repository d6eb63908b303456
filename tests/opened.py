"""Answers with everything in its place, for tests that look at what they say and not at how they are written."""

from collections.abc import Mapping
from typing import Any

import orjson

from bondwright.compose.answer import Evaluation
from bondwright.compose.written.opening import opened
from bondwright.compose.written.writing import evaluation_bytes


def in_place(evaluation: Mapping[str, Any] | Evaluation) -> Any:
    """The answer, in JSON of its own that may be changed; `evaluation`: as it was answered, or before it is written."""
    written = orjson.loads(evaluation_bytes(evaluation)) if isinstance(evaluation, Evaluation) else evaluation
    return orjson.loads(orjson.dumps(opened(written)))
