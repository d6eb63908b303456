"""`bondwright rules history`: one rule through the published packs, or every pack with its reasons for leniency and its cases."""

from argparse import Namespace
from collections.abc import Sequence
from dataclasses import asdict
from typing import Any

from bondwright.cli.rules.choosing import WrongCall, did_you_mean, family, folder_of, published, usable
from bondwright.cli.rules.differences import Change, changes_of_its_tables, changes_of_rule
from bondwright.cli.rules.printing import print_json
from bondwright.cli.statuses import DONE
from bondwright.rulebook.because import Because, KeptCases
from bondwright.rulebook.pack import RulePack


def history(asked: Namespace) -> int:
    """One rule through every published pack of its family; without a rule, every pack."""
    packs = published(folder_of(asked))
    if asked.rule is None:
        return _of_packs(packs, asked.format)
    steps = _steps(packs, asked.rule)
    if not steps:
        known = {rule.rule_id for pack in packs for rule in pack.rules}
        raise WrongCall(f"no published pack has a rule `{asked.rule}`{did_you_mean(asked.rule, sorted(known))}")
    if asked.format == "json":
        print_json(
            [
                {
                    "pack_id": pack.pack_id,
                    "usable": usable(pack),
                    "is": kind,
                    "changes": [asdict(change) for change in changes],
                    "lenient": [_reason(one) for one in _about(pack, packs, asked.rule)],
                }
                for pack, kind, changes in steps
            ]
        )
        return DONE
    for pack, kind, changes in steps:
        print(f"{pack.pack_id} ({usable(pack)}): {kind}")
        for change in changes:
            print(f"  {change.line()}")
        for because in _about(pack, packs, asked.rule):
            print(f"  {_line(because)}")
    return DONE


def _of_packs(packs: Sequence[RulePack], form: str) -> int:
    if form == "json":
        print_json(
            [
                {
                    "pack_id": pack.pack_id,
                    "usable": usable(pack),
                    "lenient": [_reason(one) for one in pack.lenient],
                    "cases": asdict(pack.cases) if pack.cases else None,
                }
                for pack in packs
            ]
        )
        return DONE
    for pack in packs:
        print(f"{pack.pack_id} ({usable(pack)}): {_cases(pack.cases)}")
        for because in pack.lenient:
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
