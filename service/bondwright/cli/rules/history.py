"""`bondwright rules history`: what has a name through the published packs, or every pack with its reasons for leniency and its cases."""

from argparse import Namespace
from collections.abc import Sequence
from dataclasses import asdict
from typing import Any

from bondwright.cli.rules.choosing import WrongCall, did_you_mean, family, folder_of, published, shelved, usable
from bondwright.cli.rules.differences import Change, changes, changes_of_its_tables, changes_of_rule
from bondwright.cli.rules.printing import print_json
from bondwright.cli.rules.sections import names, placed
from bondwright.cli.statuses import DONE
from bondwright.rulebook.because import Because, KeptCases
from bondwright.rulebook.pack import RulePack
from bondwright.shelf.published import PublishedPack
from bondwright.shelf.words.shelved import reasons_on_shelf


def history(asked: Namespace) -> int:
    """One rule, or whatever else has that name, through every published pack of its family; without a name, every pack."""
    if asked.name is None:
        return _of_packs(shelved(folder_of(asked)), asked.format)
    packs = published(folder_of(asked))
    is_rule = any(pack.has_rule(asked.name) for pack in packs)
    steps = _steps(packs, asked.name, is_rule)
    if not steps:
        known = {rule.rule_id for pack in packs for rule in pack.rules} | names(packs[-1])
        raise WrongCall(f"no published pack has a rule, table or anything else `{asked.name}`{did_you_mean(asked.name, sorted(known))}")
    about = _about if is_rule else _about_change
    if asked.format == "json":
        print_json(
            [
                {
                    "pack_id": pack.pack_id,
                    "usable": usable(pack),
                    "is": kind,
                    "changes": [asdict(change) for change in changed],
                    "lenient": [_reason(one) for one in about(pack, packs, asked.name)],
                }
                for pack, kind, changed in steps
            ]
        )
        return DONE
    for pack, kind, changed in steps:
        print(f"{pack.pack_id} ({usable(pack)}): {kind}")
        for change in changed:
            print(f"  {change.line()}")
        for because in about(pack, packs, asked.name):
            print(f"  {_line(because)}")
    return DONE


def _of_packs(packs: Sequence[PublishedPack], form: str) -> int:
    found = [(pack, *reasons_on_shelf(pack.text, pack.file)) for pack in packs]
    if form == "json":
        print_json(
            [
                {
                    "pack_id": pack.pack_id,
                    "usable": usable(pack),
                    "lenient": [_reason(one) for one in lenient],
                    "cases": asdict(kept) if kept else None,
                }
                for pack, lenient, kept in found
            ]
        )
        return DONE
    for pack, lenient, kept in found:
        print(f"{pack.pack_id} ({usable(pack)}): {_cases(kept)}")
        for because in lenient:
            print(f"  {_line(because)}")
    return DONE


def _cases(kept: KeptCases | None) -> str:
    if kept is None:
        return "keeps nothing of its worked cases"
    return f"keeps {kept.expectations} expectations of {kept.claims} claims, digest {kept.digest}"


def _about(pack: RulePack, packs: Sequence[RulePack], rule_id: str) -> list[Because]:
    """The pack's reasons about an outcome on which the rule acts."""
    having = [one for one in (pack, *packs) if one.has_rule(rule_id) and family(one) == family(pack)]
    acted_on = {outcome for one in having for outcome in _outcomes(one, rule_id)}
    return [because for because in pack.lenient if because.about == "outcome" and because.name in acted_on]


def _about_change(pack: RulePack, _: Sequence[RulePack], name: str) -> list[Because]:
    """The pack's reasons about a change of what has that name, of its clause or its confidence, or about an outcome of that name."""
    return [because for because in pack.lenient if f" {name}, " in f" {because.name}, "]


def _outcomes(pack: RulePack, rule_id: str) -> set[str]:
    rule = pack.rule(rule_id)
    return {rule.outcome} if rule.outcome else {outcome for target in rule.targets for outcome in _outcomes(pack, target)}


def _line(because: Because) -> str:
    backed = f"{because.clause}; {because.source}, {because.kind}, {because.confidence}"
    what = {"outcome": f"{because.name} more lenient", "change": f"{because.name} changed", "case": f"worked case {because.name} changed"}
    changed = f" at {', '.join(because.changed)}" if because.changed else ""
    return f"{what[because.about]}{changed} since {because.since}, because: {because.says} ({backed})"


def _reason(because: Because) -> dict[str, Any]:
    return {key: value for key, value in asdict(because).items() if key != "place"}


def _steps(packs: Sequence[RulePack], name: str, is_rule: bool) -> list[tuple[RulePack, str, list[Change]]]:
    """Each pack of the families that ever had the rule, or anything else of that name, with what became of it there."""
    there = {pack.pack_id for pack in packs if (pack.has_rule(name) if is_rule else placed(pack, name))}
    having = {family(pack) for pack in packs if pack.pack_id in there}
    steps: list[tuple[RulePack, str, list[Change]]] = []
    before: dict[str, RulePack] = {}
    for pack in packs:
        if family(pack) not in having:
            continue
        earlier = before.get(family(pack))
        had, has = earlier is not None and earlier.pack_id in there, pack.pack_id in there
        if had and has and earlier is not None:
            found = _changes_of_rule(earlier, pack, name) if is_rule else [one for one in changes(earlier, pack) if one.name == name]
            steps.append((pack, "changed" if found else "unchanged", found))
        else:
            steps.append((pack, "added" if has else "withdrawn" if had else "not there", []))
        before[family(pack)] = pack
    return steps


def _changes_of_rule(earlier: RulePack, pack: RulePack, rule_id: str) -> list[Change]:
    return [*changes_of_its_tables(earlier, pack, rule_id), *changes_of_rule(earlier, pack, rule_id)]
