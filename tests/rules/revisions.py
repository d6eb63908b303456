"""The published packs as tests take them: of each edition the newest revision, which alone decides."""

import re
from functools import cache

from bondwright.rulebook.pack import RulePack
from bondwright.shelf.packs import draft_pack, published_packs, rules_folder

_REVISION = re.compile(r"-r[0-9]+$")


@cache
def newest_revisions() -> tuple[RulePack, ...]:
    """One pack of each edition, in the order in which editions came into use."""
    newest = {_REVISION.sub("", pack.pack_id): pack for pack in published_packs(rules_folder())}
    return tuple(newest.values())


def newest(edition: str) -> RulePack:
    """The newest revision of an edition, such as `bs7671-2018-a4`."""
    return next(pack for pack in newest_revisions() if _REVISION.sub("", pack.pack_id) == edition)


@cache
def drafted(edition: str) -> RulePack:
    """What publishing an edition such as `bs7671/2018-a4` would give, as its files stand."""
    return draft_pack(rules_folder(), edition)
