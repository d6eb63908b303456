"""Which published pack a new one follows, and the worked cases that were kept with it."""

import hashlib
from collections.abc import Sequence
from pathlib import Path

import orjson

from bondwright.cases.kept import Kept
from bondwright.cli.rules.choosing import edition_of_pack, revision, those_that_stand
from bondwright.errors import BondwrightError, UnreadableRules
from bondwright.rulebook.because import KeptCases
from bondwright.rulebook.facts import Place
from bondwright.rulebook.pack import PackHead, RulePack
from bondwright.shelf.amendments import amended_by
from bondwright.shelf.declared.terms import terms_of
from bondwright.shelf.lines import file_bytes
from bondwright.shelf.packs import draft_pack, edited_place
from bondwright.shelf.published import PublishedPack
from bondwright.shelf.reading.nodes import refused
from bondwright.shelf.words.joined import parts


def followed(folder: Path, edition: str, pack: RulePack, shelf: Sequence[PublishedPack]) -> RulePack | None:
    """The pack that `pack` follows: the newest other revision of its edition, else of the nearest edition that it amends.

    None where nothing of them is published. Raises: BondwrightError, where its revision is not above that one's.
    """
    newest = _newest(pack, [one for one in shelf if one.pack_id != pack.pack_id])
    if newest:
        if revision(pack) <= revision(newest):
            raise BondwrightError(f"`{newest.pack_id}` is published; write a revision above it in the `id` of `{pack.pack_id}`")
        return newest.whole()
    base = amended_by(folder, edition)
    while base:
        if newest := _newest(draft_pack(folder, base), shelf):
            return newest.whole()
        base = amended_by(folder, base)
    return None


def _newest(pack: PackHead, shelf: Sequence[PublishedPack]) -> PublishedPack | None:
    return max((one for one in shelf if edition_of_pack(one) == edition_of_pack(pack)), key=revision, default=None)


def kept_file(pack_id: str) -> str:
    """Name within the rules folder of the file with what is kept of a pack's worked cases."""
    return f"published/{pack_id}.cases.json"


def kept_with(folder: Path, pack: RulePack) -> Kept | None:
    """What was kept of the cases when `pack` was published; None for a pack of before any was kept.

    Raises: UnreadableRules, if the file is not what it was.
    """
    if pack.cases is None:
        return None
    name = kept_file(pack.pack_id)
    data = file_bytes(folder / name, name)
    if hashlib.sha256(data).hexdigest() != pack.cases.digest:
        raise UnreadableRules(name, 1, 1, f"the file differs from its digest in `{pack.pack_id}`; what was published is never edited")
    kept: Kept = orjson.loads(data)
    return kept


def with_cases(text: bytes, kept: KeptCases) -> bytes:
    """The text of a pack with what is kept of its cases; its words stay behind it."""
    section = f'cases: {{claims: {kept.claims}, expectations: {kept.expectations}, digest: "{kept.digest}"}}'
    pack, words = parts(text)
    return pack + f"# ---- cases\n{section}\n".encode() + words


def demand_terms_fit(folder: Path, edition: str, pack: RulePack, shelf: Sequence[PackHead]) -> None:
    """Nothing, if descriptions can be told in the terms of the packs that stand and of this one. Raises: UnreadableRules."""
    try:
        terms_of((*those_that_stand(folder, shelf), pack))
    except UnreadableRules as error:
        place = edited_place(folder, edition, Place(error.file, error.line, error.column))
        raise refused(place, error.detail) from None
