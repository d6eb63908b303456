"""The packs as tests take them: of each edition the newest revision, which alone decides. Nothing is read before it is asked for."""

import re
from functools import cache

from bondwright.cli.rules.choosing import editions, family
from bondwright.rulebook.because import rules_text
from bondwright.rulebook.pack import RulePack
from bondwright.shelf.packs import consolidate, draft_pack, load_pack, pack_of, rules_folder
from bondwright.shelf.published import PublishedPack, on_shelf
from bondwright.shelf.reading.nodes import read_nodes

_REVISION = re.compile(r"-r[0-9]+$")
_ID = re.compile(r"^  id: (\S+)", re.MULTILINE)


@cache
def shelf() -> dict[str, PublishedPack]:
    """The packs on the shelf, by id, in the order in which they came into use."""
    return {pack.pack_id: pack for pack in on_shelf(rules_folder())}


@cache
def published(pack_id: str) -> RulePack:
    """A published pack, whatever is newer; the others are not read.

    Kept to the end, for the shelf forgets what other tests have it read in between: all packs were read anew for nine files of tests.
    """
    return shelf()[pack_id].whole()


def all_published() -> tuple[RulePack, ...]:
    """Every pack on the shelf, in order."""
    return tuple(published(pack_id) for pack_id in shelf())


@cache
def newest_revisions() -> tuple[RulePack, ...]:
    """One pack of each edition, in the order in which editions came into use."""
    newest = {_REVISION.sub("", pack.pack_id): pack for pack in shelf().values()}
    return tuple(published(pack.pack_id) for pack in newest.values())


@cache
def first_and_newest() -> tuple[RulePack, ...]:
    """Of each family its first and its newest edition: those between have the rules of one or the other, proved when they are published."""
    ids = [pack.pack_id for pack in newest_revisions()]
    families = {family(pack): pack.pack_id for pack in newest_revisions()}
    first = {family(pack): pack.pack_id for pack in reversed(newest_revisions())}
    return tuple(published(name) for name in ids if name in {*families.values(), *first.values()})


def said(pack: RulePack | PublishedPack) -> tuple[str, ...]:
    """What a pack says, without who and when: its format, its lines from `values` on; comments, origins, reasons for leniency left out."""
    lines = rules_text(pack.text).decode().splitlines()
    values = lines.index("values:")
    form = [line for line in lines[:values] if line.startswith("  format: ")]
    return (*form, *(line for line in lines[values:] if not line.lstrip().startswith(("#", "from: "))))


def newest_published(edition: str) -> RulePack:
    """The newest published revision of an edition, such as `bs7671-2018-a4`; the others are not read."""
    *_, pack_id = (pack_id for pack_id in shelf() if _REVISION.sub("", pack_id) == edition)
    return published(pack_id)


def newest_id(edition: str) -> str:
    """What the files of an edition, such as `bs7671-2018-a4`, call its pack now; no pack is read."""
    return _newest_ids()[edition][0]


@cache
def newest(edition: str) -> RulePack:
    """The newest revision of an edition, such as `bs7671-2018-a4`: what its files say now, read as the file that publishing would write."""
    pack_id, files = _newest_ids()[edition]
    return load_pack(consolidate(rules_folder(), files), f"published/{pack_id}.yaml")


@cache
def _newest_ids() -> dict[str, tuple[str, str]]:
    """By edition the id of its pack, and the name of its files, such as `bs7671/2018-a4`."""
    found = {name: _ID.findall((rules_folder() / f"{name}.yaml").read_text(encoding="utf-8"))[0] for name in editions(rules_folder())}
    return {_REVISION.sub("", pack_id): (pack_id, name) for name, pack_id in found.items()}


def draft_read(text: str, file: str) -> RulePack:
    """The pack that the text of a draft makes, `file` its name in places. Raises: UnreadableRules."""
    return pack_of(read_nodes(text.encode(), file), text.encode(), draft=True)


@cache
def drafted(edition: str) -> RulePack:
    """What publishing an edition such as `bs7671/2018-a4` would give, as its files stand."""
    return draft_pack(rules_folder(), edition)
