"""The rules of the drafts in a folder of the tests' own, their heads raised to format 4, with their sentences."""

import shutil
from functools import cache
from pathlib import Path
from tempfile import mkdtemp

from tests.rules.raised import raised as rules_raised

from bondwright.rulebook.pack import RulePack
from bondwright.shelf.packs import consolidate, draft_pack, load_pack

EDITION = "bs7671/2018-a4"
SENTENCES = "sentences.yaml"


@cache
def raised() -> Path:
    """The folder; whoever changes something in it takes a copy."""
    return rules_raised(Path(mkdtemp(prefix="raised-")) / "rules")


def copy_of(rules: Path, folder: Path) -> Path:
    """A folder of rules in another."""
    shutil.copytree(rules, folder, dirs_exist_ok=True)
    return folder


@cache
def text_of(edition: str = EDITION) -> bytes:
    """What publishing the edition would write, its words behind it."""
    return consolidate(raised(), edition)


@cache
def pack_of(edition: str = EDITION) -> RulePack:
    """The pack that publishing the edition would give."""
    return load_pack(text_of(edition), file_of(edition))


@cache
def draft_of(edition: str = EDITION) -> RulePack:
    """The draft of the edition."""
    return draft_pack(raised(), edition)


def file_of(edition: str = EDITION) -> str:
    """The name of the published file of the edition."""
    return f"published/{draft_of(edition).pack_id}.yaml"
