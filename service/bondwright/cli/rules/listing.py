"""`bondwright rules list` and `history`: which packs there are, and one rule through them."""

from argparse import Namespace
from collections.abc import Sequence
from dataclasses import asdict
from typing import Any

from bondwright.cli.rules.choosing import (
    WrongCall,
    did_you_mean,
    editions,
    family,
    folder_of,
    published,
    usable,
)
from bondwright.cli.rules.differences import Change, changes_of_its_tables, changes_of_rule
from bondwright.cli.rules.printing import print_json
from bondwright.cli.statuses import DONE
from bondwright.errors import UnreadableRules
from bondwright.rulebook.pack import RulePack
from bondwright.shelf.packs import draft_pack, published_packs


def list_packs(asked: Namespace) -> int:
    """Published packs and draft editions, one a line."""
    folder = folder_of(asked)
    packs = [_row("published", pack.pack_id, pack) for pack in published_packs(folder)]
    digests = {row["digest"] for row in packs}
    drafts = []
    for edition in editions(folder):
        try:
            pack = draft_pack(folder, edition)
        except UnreadableRules as error:
            drafts.append({"state": "broken draft", "name": edition, "fault": str(error)})
        else:
            drafts.append(_row("draft, as published" if pack.digest in digests else "draft", edition, pack))
    if asked.format == "json":
        print_json({"published": packs, "drafts": drafts})
    else:
        print("\n".join(_line(row) for row in (*packs, *drafts)))
    return DONE


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
    return f"{row['name']} ({row['state']}): {row['standard']}, {row['usable']}, {row['rules']} rules, digest {row['digest']}"


def history(asked: Namespace) -> int:
    """One rule through every published pack of its family."""
    packs = published(folder_of(asked))
    steps = _steps(packs, asked.rule)
    if not steps:
        known = {rule.rule_id for pack in packs for rule in pack.rules}
        raise WrongCall(f"no published pack has a rule `{asked.rule}`{did_you_mean(asked.rule, sorted(known))}")
    if asked.format == "json":
        print_json(
            [
                {"pack_id": pack.pack_id, "usable": usable(pack), "is": kind, "changes": [asdict(change) for change in changes]}
                for pack, kind, changes in steps
            ]
        )
        return DONE
    for pack, kind, changes in steps:
        print(f"{pack.pack_id} ({usable(pack)}): {kind}")
        for change in changes:
            print(f"  {change.line()}")
    return DONE


def _steps(packs: Sequence[RulePack], rule_id: str) -> list[tuple[RulePack, str, list[Change]]]:
    """Each pack of the families that ever had the rule, with what became of it there."""
    having = {family(pack) for pack in packs if pack.has_rule(rule_id)}
    steps: list[tuple[RulePack, str, list[Change]]] = []
    before: dict[str, RulePack] = {}
    for pack in packs:
        if family(pack) not in having:
            continue
        earlier = before.get(family(pack))
        had, has = earlier is not None and earlier.has_rule(rule_id), pack.has_rule(rule_id)
        if had and has and earlier is not None:
            changes = [*changes_of_its_tables(earlier, pack, rule_id), *changes_of_rule(earlier, pack, rule_id)]
            steps.append((pack, "changed" if changes else "unchanged", changes))
        else:
            steps.append((pack, "added" if has else "withdrawn" if had else "not there", []))
        before[family(pack)] = pack
    return steps
