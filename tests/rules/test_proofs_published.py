"""What is proved of the published packs: the fast set of the first and the newest of a family, everything of the newest.

The others are proved whole when they are published; `bondwright rules check --full` does so again.
"""

import pytest
from tests.rules.revisions import first_and_newest, newest

from bondwright.proofs.check import FAST, SLOW, Check
from bondwright.proofs.findings import errors
from bondwright.rulebook.pack import RulePack


def name(value: object) -> str:
    """What a case is called: the pack's id or the check's name."""
    return value.pack_id if isinstance(value, RulePack) else str(getattr(value, "__name__", value))


@pytest.mark.parametrize("check", FAST, ids=name)
@pytest.mark.parametrize("pack", first_and_newest(), ids=name)
def test_a_published_pack_passes_the_fast_checks(pack: RulePack, check: Check) -> None:
    assert errors(check(pack)) == ()


@pytest.mark.parametrize("check", SLOW, ids=name)
def test_the_newest_pack_passes_every_other_check(check: Check) -> None:
    assert errors(check(newest("bs7671-2018-a4"))) == ()
