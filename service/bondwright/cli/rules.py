"""`bondwright rules`: publish a rule pack, check those that are published."""

import os
from argparse import Namespace
from datetime import UTC, datetime
from pathlib import Path

from bondwright.cli.arguments import Commands
from bondwright.cli.statuses import DONE
from bondwright.engine.channels import TwoChannels
from bondwright.errors import BondwrightError
from bondwright.rulebook.pack import RulePack
from bondwright.shelf.packs import LOCK, draft_pack, published_packs, rules_folder


def add_rules(commands: Commands) -> None:
    """Adds the command with its own commands."""
    command = commands.add_parser("rules", help="publish and check rule packs", allow_abbrev=False)
    actions = command.add_subparsers(title="commands", metavar="COMMAND", required=True)
    publish = actions.add_parser("publish", help="publish the pack that the rule files of an edition make", allow_abbrev=False)
    publish.add_argument("edition", metavar="EDITION", help="file of the edition without its ending, such as bs7671/2018-a4")
    publish.set_defaults(run=_publish)
    check = actions.add_parser("check", help="load every published pack and count what it holds", allow_abbrev=False)
    check.set_defaults(run=_check)
    for action in (publish, check):
        action.add_argument("--rules", type=Path, default=None, metavar="FOLDER", help="rules folder (default: that of this installation)")


def _publish(asked: Namespace) -> int:
    folder = asked.rules or rules_folder()
    pack = draft_pack(folder, asked.edition)
    TwoChannels(pack).close()
    lock = _lock(folder)
    digest = _locked_digest(lock, pack.pack_id)
    if digest not in (None, pack.digest):
        raise BondwrightError(f"pack `{pack.pack_id}` is published with other content; raise the revision in its `id`")
    # The pack first: should the lock not follow, the next call finds nothing locked and writes both again.
    _replace(folder / "published" / f"{pack.pack_id}.yaml", pack.text)
    if digest is None:
        _replace(folder / LOCK, lock + f"{pack.pack_id} {pack.digest} {datetime.now(UTC).date()}\n".encode())
    published_packs(folder)
    print(f"published {_counted(pack)}" if digest is None else f"nothing to do: {_counted(pack)} is published")
    return DONE


def _check(asked: Namespace) -> int:
    packs = published_packs(asked.rules or rules_folder())
    if not packs:
        raise BondwrightError("no rule pack is published; publish one")
    for pack in packs:
        TwoChannels(pack).close()
        print(_counted(pack))
    return DONE


def _lock(folder: Path) -> bytes:
    try:
        return (folder / LOCK).read_bytes()
    except FileNotFoundError:
        return b""


def _locked_digest(lock: bytes, pack_id: str) -> str | None:
    lines = (line.split() for line in lock.decode("ascii", "replace").splitlines())
    return next((fields[1] for fields in lines if fields[:1] == [pack_id] and len(fields) > 1), None)


def _replace(path: Path, content: bytes) -> None:
    """Writes a file whole or not at all. Raises: BondwrightError."""
    draft = path.with_name(f".{path.name}.new")
    try:
        path.parent.mkdir(exist_ok=True)
        with draft.open("wb") as file:
            file.write(content)
            file.flush()
            os.fsync(file.fileno())
        draft.replace(path)
    except OSError as error:
        raise BondwrightError(f"`{path}` cannot be written ({error.strerror})") from None


def _counted(pack: RulePack) -> str:
    counts = f"{len(pack.rules)} rules, {len(pack.facts)} facts, {len(pack.outcomes)} outcomes, {len(pack.tables)} tables"
    return f"{pack.pack_id}: {counts}, digest {pack.digest}"
