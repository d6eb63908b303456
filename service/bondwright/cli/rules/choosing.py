"""What the rules commands share: finding packs and editions, and refusing a wrong call."""

import re
from argparse import ArgumentTypeError, Namespace
from collections.abc import Iterable, Mapping, Sequence
from datetime import UTC, date, datetime
from difflib import get_close_matches
from pathlib import Path

from bondwright.compose.choices import in_use
from bondwright.errors import BondwrightError
from bondwright.rulebook.pack import PackHead, RulePack
from bondwright.rulebook.withdrawal import Withdrawal, standing
from bondwright.shelf.packs import draft_pack, rules_folder
from bondwright.shelf.published import Head, PublishedPack, in_order, on_shelf
from bondwright.shelf.withdrawn import withdrawn_packs

_REVISION = re.compile(r"-r([0-9]+)$")


class WrongCall(BondwrightError):
    """The command cannot do what these arguments ask; nothing was changed."""


def folder_of(asked: Namespace) -> Path:
    """The rules folder that `--rules` names, or that of this installation."""
    return asked.rules or rules_folder()


def day(text: str) -> date:
    """A date given as an argument. Raises: ArgumentTypeError."""
    try:
        return date.fromisoformat(text)
    except ValueError:
        raise ArgumentTypeError("a date is year-month-day, such as 2026-04-15") from None


def today() -> date:
    """The day on which the command runs."""
    return datetime.now(UTC).date()


def family(pack: PackHead) -> str:
    """What its editions and revisions share: the first word of their ids, and the name of their folder."""
    return pack.pack_id.partition("-")[0]


def edition_of_pack(pack: PackHead) -> str:
    """What its revisions share: the id without the revision."""
    return _REVISION.sub("", pack.pack_id)


def revision(pack: PackHead) -> int:
    """The number of its revision; 0 where its id has none."""
    found = _REVISION.search(pack.pack_id)
    return int(found[1]) if found else 0


def superseded(pack: PackHead, shelf: Iterable[PackHead]) -> bool:
    """Whether a later revision of its edition is published."""
    return any(edition_of_pack(one) == edition_of_pack(pack) and revision(one) > revision(pack) for one in shelf)


def newest_in_use(packs: Sequence[Head], on: date, withdrawn: Mapping[str, Withdrawal]) -> list[Head]:
    """The newest pack of each family that may be worked to on that day; for one that is withdrawn, its successor, if that may."""
    in_time = {pack.pack_id: pack for pack in in_order(packs) if in_use(pack, on)}
    newest = {family(pack): pack for pack in in_time.values()}
    return [one for pack in newest.values() if (one := standing(pack, in_time, withdrawn))]


def published(folder: Path) -> tuple[RulePack, ...]:
    """Every published pack with its rules, in order. Raises: as `shelved`, and UnreadableRules, if rules cannot be read."""
    return tuple(pack.whole() for pack in shelved(folder))


def shelved(folder: Path) -> tuple[PublishedPack, ...]:
    """Every published pack, in order, its rules not read yet. Raises: UnreadableRules; BondwrightError, if there is none."""
    packs = on_shelf(folder)
    if not packs:
        raise BondwrightError("no rule pack is published; publish one")
    return packs


def those_that_stand(folder: Path, packs: Sequence[Head]) -> tuple[Head, ...]:
    """The published `packs` that are not withdrawn, in their order. Raises: UnreadableRules."""
    withdrawn = withdrawn_packs(folder, packs)
    return tuple(pack for pack in packs if pack.pack_id not in withdrawn)


def editions(folder: Path) -> list[str]:
    """The names of the edition files, such as `bs7671/2018-a4`: every file with a section `pack:` one folder down."""
    files = [path for path in sorted(folder.glob("*/*.yaml")) if path.parent.name != "published"]
    return [f"{path.parent.name}/{path.stem}" for path in files if re.search(rb"^pack:", path.read_bytes(), re.MULTILINE)]


def named_pack(packs: Sequence[Head], name: str) -> Head:
    """The published pack of that id or digest. Raises: WrongCall."""
    for pack in packs:
        if name in (pack.pack_id, pack.digest):
            return pack
    raise WrongCall(f"no rule pack `{name}` is published{did_you_mean(name, [pack.pack_id for pack in packs])}")


def pack_or_draft(folder: Path, name: str) -> RulePack:
    """A published pack by id or digest, or the draft that the files of an edition make. Raises: WrongCall, UnreadableRules."""
    return draft_pack(folder, name) if "/" in name else named_pack(shelved(folder), name).whole()


def did_you_mean(name: str, known: Iterable[str]) -> str:
    """What to put after an unknown name; empty when nothing is near."""
    near = get_close_matches(name, tuple(known), n=1)
    return f"; did you mean `{near[0]}`?" if near else ""


def usable(pack: PackHead) -> str:
    """From when to when a pack may be worked to, in words."""
    return f"usable from {pack.usable_from} to {pack.usable_to}" if pack.usable_to else f"usable from {pack.usable_from}, no end set"
