"""The packs as tests take them: of each edition the newest revision, which alone decides."""

import re
from functools import cache

from bondwright.cli.rules.choosing import editions
from bondwright.rulebook.pack import RulePack
from bondwright.shelf.packs import consolidate, draft_pack, load_pack, on_shelf, rules_folder

_REVISION = re.compile(r"-r[0-9]+$")


@cache
def newest_revisions() -> tuple[RulePack, ...]:
    """One pack of each edition, in the order in which editions came into use."""
    newest = {_REVISION.sub("", pack.pack_id): pack for pack in on_shelf(rules_folder())}
    return tuple(pack.whole() for pack in newest.values())


def published(pack_id: str) -> RulePack:
    """A published pack, whatever is newer; the others are not read."""
    return next(pack for pack in on_shelf(rules_folder()) if pack.pack_id == pack_id).whole()


def newest_published(edition: str) -> RulePack:
    """The newest published revision of an edition, such as `bs7671-2018-a4`."""
    return next(pack for pack in newest_revisions() if _REVISION.sub("", pack.pack_id) == edition)


def newest(edition: str) -> RulePack:
    """The newest revision of an edition, such as `bs7671-2018-a4`: what its files say now, published or still a draft."""
    found = newest_published(edition)
    return next((draft for draft in _drafts() if _REVISION.sub("", draft.pack_id) == edition and draft.digest != found.digest), found)


@cache
def _drafts() -> tuple[RulePack, ...]:
    """What the files of every edition say now, read as the file that publishing them would write."""
    texts = [consolidate(rules_folder(), name) for name in editions(rules_folder())]
    return tuple(load_pack(text, f"published/{_pack_id(text)}.yaml") for text in texts)


def _pack_id(text: bytes) -> str:
    """What the header of a published file calls its pack."""
    found = re.search(r"^  id: (\S+)", text.decode(), re.MULTILINE)
    assert found
    return found[1]


@cache
def drafted(edition: str) -> RulePack:
    """What publishing an edition such as `bs7671/2018-a4` would give, as its files stand."""
    return draft_pack(rules_folder(), edition)
