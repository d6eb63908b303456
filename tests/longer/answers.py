"""Every answer is the one that is recorded in `answers.sha256`, byte for byte, by every pack that is not withdrawn. Run by `.ci/run`.

What differs: `uv run python -m tests.longer.keep_answers --differing`.
"""

from collections.abc import Callable

import pytest
from tests.counted import COUNTED
from tests.longer.digests import bundles, judged, recorded
from tests.longer.judging import standing

SLICES = 8
_WAY_OUT = "see `python -m tests.longer.keep_answers --help`"


@pytest.mark.parametrize("part", range(SLICES))
@pytest.mark.parametrize("pack_id", standing())
def test_every_answer_is_the_recorded_one(pack_id: str, part: int, record_property: Callable[[str, object], None]) -> None:
    some = bundles()[part::SLICES]

    digests, kept = judged([pack_id], some), recorded()

    record_property(COUNTED, ("answers compared", sum(len(one.descriptions) for one in some)))
    differing = [entry.name for entry, digest in digests.items() if kept.get(entry) != digest]
    assert digests
    assert not differing, f"{len(differing)} of {len(digests)} lines differ; {_WAY_OUT}: {differing[:10]}"


def test_every_line_of_the_record_is_about_something_that_is_there() -> None:
    entries = {bundle.entry(pack_id) for pack_id in standing() for bundle in bundles()}

    assert entries
    assert entries == set(recorded()), _WAY_OUT
