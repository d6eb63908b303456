"""`bondwright rules list` and `scope`: which packs there are, and which kinds of things one judges."""

from argparse import Namespace
from pathlib import Path
from typing import Any

from bondwright.cli.rules.choosing import (
    editions,
    folder_of,
    newest_in_use,
    pack_or_draft,
    shelved,
    those_that_stand,
    today,
    usable,
)
from bondwright.cli.rules.printing import print_json
from bondwright.cli.statuses import DONE
from bondwright.errors import UnreadableRules
from bondwright.facts.scope import named
from bondwright.rulebook.because import draft_text
from bondwright.rulebook.kinds import Kind
from bondwright.rulebook.pack import PackHead, RulePack
from bondwright.rulebook.withdrawal import Withdrawal
from bondwright.shelf.declared.terms import terms_of
from bondwright.shelf.packs import draft_pack, issued_text
from bondwright.shelf.published import on_shelf
from bondwright.shelf.withdrawn import withdrawn_packs
from bondwright.shelf.words.shelved import rules_counted

_NO_SECTION = "none"


def list_packs(asked: Namespace) -> int:
    """Published packs and draft editions, one a line."""
    folder = folder_of(asked)
    on_it = on_shelf(folder)
    withdrawn = withdrawn_packs(folder, on_it)
    packs = [
        _row("withdrawn" if pack.pack_id in withdrawn else "published", pack.pack_id, pack, rules_counted(pack.text)) for pack in on_it
    ]
    packs = [row | {"withdrawn": _without_id(withdrawn.get(row["pack_id"]))} for row in packs]
    texts = {draft_text(pack.text) for pack in on_it}
    drafts = []
    for edition in editions(folder):
        try:
            pack = draft_pack(folder, edition)
        except UnreadableRules as error:
            drafts.append({"state": "broken draft", "name": edition, "fault": str(error)})
        else:
            drafts.append(
                _row("draft, as published" if draft_text(issued_text(pack)) in texts else "draft", edition, pack, len(pack.rules))
            )
    if asked.format == "json":
        print_json({"published": packs, "drafts": drafts})
    else:
        print("\n".join(_line(row) for row in (*packs, *drafts)))
    return DONE


def _without_id(withdrawal: Withdrawal | None) -> dict[str, Any] | None:
    return {"reason": withdrawal.reason, "since": withdrawal.since, "successor": withdrawal.successor} if withdrawal else None


def _row(state: str, name: str, pack: PackHead, rules: int) -> dict[str, Any]:
    return {
        "state": state,
        "name": name,
        "pack_id": pack.pack_id,
        "standard": pack.standard,
        "usable_from": pack.usable_from,
        "usable_to": pack.usable_to,
        "review_by": pack.review_by,
        "rules": rules,
        "digest": pack.digest,
        "usable": usable(pack),
    }


def _line(row: dict[str, Any]) -> str:
    if "fault" in row:
        return f"{row['name']} ({row['state']}): {row['fault']}"
    withdrawn = row.get("withdrawn")
    state = f"withdrawn since {withdrawn['since']} for {withdrawn['successor']}: {withdrawn['reason']}" if withdrawn else row["state"]
    return f"{row['name']} ({state}): {row['standard']}, {row['usable']}, {row['rules']} rules, digest {row['digest']}"


def list_kinds(asked: Namespace) -> int:
    """Every kind of thing that descriptions can name, and whether a pack judges it, one a line."""
    folder = folder_of(asked)
    pack = pack_or_draft(folder, asked.pack) if asked.pack else _newest(folder)
    terms = terms_of((*those_that_stand(folder, shelved(folder)), pack))
    kinds = [pack.kind(of, name) for of, name in named(terms)]
    if asked.format == "json":
        print_json({"pack_id": pack.pack_id, "standard": pack.standard, "kinds": [_kind(kind) for kind in kinds]})
        return DONE
    judged = sum(kind.judged for kind in kinds)
    print(f"{pack.pack_id} ({pack.standard}) judges {judged} of {len(kinds)} kinds of things:")
    for kind in kinds:
        print(f"  {_kind_line(kind)}")
    return DONE


def _newest(folder: Path) -> RulePack:
    packs = shelved(folder)
    chosen = [pack for pack in packs if not pack.on_request]
    return (newest_in_use(chosen, today(), withdrawn_packs(folder, packs)) or chosen)[-1].whole()


def _kind(kind: Kind) -> dict[str, Any]:
    governed = kind.governed
    return {
        "of": kind.of,
        "kind": kind.name,
        "judged": kind.judged,
        "section": governed.section or None if governed else _section(kind),
        "governed_by": governed.governed_by if governed else None,
        "known": governed.known if governed else None,
        "ask": governed.ask if governed else None,
    }


def _section(kind: Kind) -> str | None:
    """The number of the part of the standard about a kind that is judged; a row says `none` where there is no such part."""
    section = kind.word("section", _NO_SECTION)
    return None if section == _NO_SECTION else section


def _kind_line(kind: Kind) -> str:
    what = f"{kind.of} {kind.name}"
    governed = kind.governed
    return f"{what}: not judged; {governed.governed_by}: {governed.known} {governed.ask}" if governed else f"{what}: judged"
