"""`bondwright rules list` and `history`: which packs there are, and one rule through them."""

from argparse import Namespace
from typing import Any

from bondwright.cli.rules.choosing import (
    editions,
    folder_of,
    usable,
)
from bondwright.cli.rules.printing import print_json
from bondwright.cli.statuses import DONE
from bondwright.errors import UnreadableRules
from bondwright.rulebook.because import draft_text
from bondwright.rulebook.pack import RulePack
from bondwright.rulebook.withdrawal import Withdrawal
from bondwright.shelf.packs import draft_pack, published_packs
from bondwright.shelf.withdrawn import withdrawn_packs


def list_packs(asked: Namespace) -> int:
    """Published packs and draft editions, one a line."""
    folder = folder_of(asked)
    on_it = published_packs(folder)
    withdrawn = withdrawn_packs(folder, on_it)
    packs = [_row("withdrawn" if pack.pack_id in withdrawn else "published", pack.pack_id, pack) for pack in on_it]
    packs = [row | {"withdrawn": _without_id(withdrawn.get(row["pack_id"]))} for row in packs]
    texts = {draft_text(pack.text) for pack in on_it}
    drafts = []
    for edition in editions(folder):
        try:
            pack = draft_pack(folder, edition)
        except UnreadableRules as error:
            drafts.append({"state": "broken draft", "name": edition, "fault": str(error)})
        else:
            drafts.append(_row("draft, as published" if pack.text in texts else "draft", edition, pack))
    if asked.format == "json":
        print_json({"published": packs, "drafts": drafts})
    else:
        print("\n".join(_line(row) for row in (*packs, *drafts)))
    return DONE


def _without_id(withdrawal: Withdrawal | None) -> dict[str, Any] | None:
    return {"reason": withdrawal.reason, "since": withdrawal.since, "successor": withdrawal.successor} if withdrawal else None


def _row(state: str, name: str, pack: RulePack) -> dict[str, Any]:
    return {
        "state": state,
        "name": name,
        "pack_id": pack.pack_id,
        "standard": pack.standard,
        "usable_from": pack.usable_from,
        "usable_to": pack.usable_to,
        "review_by": pack.review_by,
        "rules": len(pack.rules),
        "digest": pack.digest,
        "usable": usable(pack),
    }


def _line(row: dict[str, Any]) -> str:
    if "fault" in row:
        return f"{row['name']} ({row['state']}): {row['fault']}"
    withdrawn = row.get("withdrawn")
    state = f"withdrawn since {withdrawn['since']} for {withdrawn['successor']}: {withdrawn['reason']}" if withdrawn else row["state"]
    return f"{row['name']} ({state}): {row['standard']}, {row['usable']}, {row['rules']} rules, digest {row['digest']}"
