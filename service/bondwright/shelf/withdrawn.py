"""The file that says which published packs are withdrawn: why, since when, and which pack stands in the place of each."""

from collections.abc import Mapping, Sequence
from datetime import date
from pathlib import Path

from bondwright.rulebook.pack import PackHead
from bondwright.rulebook.withdrawal import Withdrawal
from bondwright.shelf.folder import published_on
from bondwright.shelf.lines import file_bytes
from bondwright.shelf.reading.nodes import Node, read_nodes, refused
from bondwright.shelf.reading.scalars import as_items, day, fields, one_of, text

FILE = "withdrawn.yaml"
"""Stands beside the lock, and may be left out while nothing is withdrawn."""


def withdrawn_packs(folder: Path, packs: Sequence[PackHead]) -> Mapping[str, Withdrawal]:
    """The withdrawals among the published `packs` of a rules folder, by pack_id.

    Raises: UnreadableRules, also where an entry names a pack that is not published, or a successor that is none, is itself withdrawn,
    is of another family or is chosen otherwise; where a pack stands twice; where a date is before either of both was published.
    """
    if not (folder / FILE).exists():
        return {}
    sections = fields(read_nodes(file_bytes(folder / FILE, FILE), FILE), f"file `{FILE}`", ("withdrawn",))
    entries = [
        fields(node, "a withdrawal", ("pack_id", "reason", "since", "successor")) for node in as_items(sections["withdrawn"], "`withdrawn`")
    ]
    published = {pack.pack_id: pack for pack in packs}
    found: dict[str, Withdrawal] = {}
    for entry in entries:
        pack_id = one_of(entry["pack_id"], published, "published pack")
        if pack_id in found:
            raise refused(entry["pack_id"].place, f"pack `{pack_id}` is withdrawn twice; keep one of both entries")
        successor = one_of(entry["successor"], published, "published pack")
        found[pack_id] = Withdrawal(pack_id, text(entry["reason"], "`reason`"), day(entry["since"], "`since`"), successor)
    days = published_on(folder)
    for entry, withdrawal in zip(entries, found.values(), strict=True):
        _demand_fitting(entry["successor"], withdrawal, published, found)
        _demand_in_time(entry["since"], days, withdrawal)
    return found


def _demand_fitting(place: Node, withdrawal: Withdrawal, published: Mapping[str, PackHead], withdrawn: Mapping[str, Withdrawal]) -> None:
    pack, successor = published[withdrawal.pack_id], published[withdrawal.successor]
    if successor.pack_id in withdrawn:
        raise refused(place.place, f"`{successor.pack_id}` is withdrawn itself; name a pack that stands")
    if successor.pack_id.partition("-")[0] != pack.pack_id.partition("-")[0]:
        raise refused(place.place, f"`{successor.pack_id}` is of another family than `{pack.pack_id}`; name one of the same standard")
    if successor.on_request and not pack.on_request:
        raise refused(place.place, f"`{successor.pack_id}` is used on request alone; name one that a date chooses, as `{pack.pack_id}`")


def _demand_in_time(place: Node, published: Mapping[str, date], withdrawal: Withdrawal) -> None:
    for name in (withdrawal.pack_id, withdrawal.successor):
        if withdrawal.since < (first := published[name]):
            raise refused(place.place, f"`since` {withdrawal.since} is before `{name}` was published, on {first}")
