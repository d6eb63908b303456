"""`bondwright rules publish`: writes the pack that the files of an edition make."""

from argparse import Namespace

from bondwright.cli.rules.choosing import folder_of, today
from bondwright.cli.rules.publishing.checking import counted, faults_of
from bondwright.cli.rules.publishing.writing import lock_of, locked_digest, write_whole
from bondwright.cli.statuses import DONE, WANTING
from bondwright.errors import BondwrightError
from bondwright.shelf.packs import LOCK, draft_pack, published_packs


def publish(asked: Namespace) -> int:
    """Writes the pack that the files of an edition make, with its line in the lock; nothing, if a check falls."""
    folder = folder_of(asked)
    pack = draft_pack(folder, asked.edition)
    lock = lock_of(folder)
    digest = locked_digest(lock, pack.pack_id)
    if digest not in (None, pack.digest):
        raise BondwrightError(f"pack `{pack.pack_id}` is published with other content; raise the revision in its `id`")
    findings = faults_of(pack, asked.edition, full=True) if digest is None else []
    faults = [finding for finding in findings if finding.fault]
    if faults:
        print("\n".join(f"WANTING {fault.name}: {fault.fault}" for fault in faults))
        print("nothing was published")
        return WANTING
    # The pack first: should the lock not follow, the next call finds nothing locked and writes both again.
    write_whole(folder / "published" / f"{pack.pack_id}.yaml", pack.text)
    if digest is None:
        write_whole(folder / LOCK, lock + f"{pack.pack_id} {pack.digest} {today()}\n".encode())
    published_packs(folder)
    print(f"published {counted(pack)}" if digest is None else f"nothing to do: {counted(pack)} is published")
    return DONE
