"""A verdict on a place says nothing of rules that are about other places."""

from tests.core.cases import judged

POOLS = "no-code-where-the-designer-decides"
"""A rule that relaxes what an inspection reports, at a pool alone."""


def waiting(kind: str) -> set[str]:
    """The rules that would have made the report of a location of that kind milder, had more been known."""
    place = {"kind": kind, "services": [], "items": [], "circuits": [], "supplementary_bonding": {"present": "no"}}
    (room,) = judged({"work": {"kind": "inspection", "inspected_on": "2026-11-25"}, "locations": [place]}).rooms
    return {one.rule for found in room.findings for one in found.did_not_act}


def test_a_rule_about_pools_waits_at_a_pool_and_nowhere_else() -> None:
    assert POOLS in waiting("pool_or_fountain")
    assert POOLS not in waiting("bath_or_shower") | waiting("agricultural_or_horticultural")
