"""`bondwright rules show`: what stands under a name or a clause on a day, with all that it rests on."""

import re
from argparse import Namespace
from collections.abc import Mapping, Sequence
from typing import Any, TypeAlias

from msgspec import Struct

from bondwright.cli.rules.choosing import (
    WrongCall,
    did_you_mean,
    folder_of,
    newest_in_use,
    pack_or_draft,
    shelved,
    today,
    usable,
)
from bondwright.cli.rules.printing import print_json
from bondwright.cli.rules.sections import names as names_in
from bondwright.cli.rules.sections import placed
from bondwright.cli.rules.written import written
from bondwright.cli.statuses import DONE
from bondwright.compose.choices import in_use
from bondwright.conclude.reasons import CONFIDENCE
from bondwright.evaluate.editions import lawful
from bondwright.rulebook.declared.acts import Advice
from bondwright.rulebook.facts import Place
from bondwright.rulebook.pack import PackHead, RulePack
from bondwright.rulebook.reference import NamedValue, ReferenceTable
from bondwright.rulebook.rule import Rule
from bondwright.rulebook.sizing import LimitsTable
from bondwright.rulebook.withdrawal import Withdrawal
from bondwright.shelf.packs import edited_place
from bondwright.shelf.withdrawn import withdrawn_packs

_Cited: TypeAlias = Rule | LimitsTable | NamedValue | ReferenceTable


class Other(Struct, frozen=True):
    """Anything else with a name, such as a property, a sentence or a fact, and where it stands."""

    kind: str
    name: str
    place: Place


Shown: TypeAlias = _Cited | Advice | Other
"""What can be shown."""

_INDENT = "    "


def show(asked: Namespace) -> int:
    """Every rule, table and value of that name, or whose clause names it."""
    packs, on = shelved(folder_of(asked)), asked.on or today()
    withdrawn = withdrawn_packs(folder_of(asked), packs)
    named = [pack_or_draft(folder_of(asked), asked.pack)] if asked.pack else []
    chosen = named or [pack.whole() for pack in newest_in_use(packs, on, withdrawn)]
    found = [(pack, one) for pack in chosen for one in _found(pack, asked.name)]
    if not chosen:
        gone = [withdrawn[pack.pack_id].sentence() for pack in packs if pack.pack_id in withdrawn and in_use(pack, on)]
        raise WrongCall(f"no published pack was usable on {on}; {'; '.join(gone) or f'the first is {usable(packs[0])}'}")
    if not found:
        elsewhere = [pack for pack in packs if _found(pack.whole(), asked.name)]
        names = [name for pack in chosen for name in _names(pack)]
        hint = f"; it stands in {_listed(elsewhere)}" if elsewhere else did_you_mean(asked.name, names)
        raise WrongCall(f"`{asked.name}` is no rule, table, value, act, clause or other name of {_listed(chosen)}{hint}")
    shown = [_shown(pack, one) for pack, one in found]
    if "/" in (asked.pack or ""):
        for told, (_, one) in zip(shown, found, strict=True):
            told["place"] = _words(edited_place(folder_of(asked), asked.pack, one.place)) if one.place else ""
    if asked.format == "json":
        print_json(shown)
    else:
        print("\n\n".join(_text(one) for one in shown))
        for withdrawal in (withdrawn[pack.pack_id] for pack in chosen if pack.pack_id in withdrawn):
            print(f"\n{withdrawal.sentence()}")
        lawful_too = () if asked.pack else lawful(packs, on, withdrawn)
        others = [pack for pack in lawful_too if not isinstance(pack, Withdrawal) and pack.pack_id not in {one.pack_id for one in chosen}]
        if others:
            print(f"\nlawful on {on} too, see them with --pack: {_listed(others)}")
    return DONE


def _found(pack: RulePack, name: str) -> Sequence[Shown]:
    if pack.has_rule(name):
        return [pack.rule(name)]
    if name in pack.tables:
        return [pack.tables[name]]
    if name in pack.values:
        return [pack.values[name]]
    if name in pack.references:
        return [pack.references[name]]
    if name in pack.advice and pack.advice[name].place is not None:
        return [pack.advice[name]]
    # A clause is found in a longer list of clauses, and by the beginning of its number: 415.2 finds 415.2.2, not 701.415.2.
    names_it = re.compile(rf"(?<![\w.]){re.escape(name)}(?!\w)", re.IGNORECASE)
    everything: tuple[_Cited, ...] = (
        *pack.tables.values(),
        *pack.references.values(),
        *pack.values.values(),
        *pack.rules,
    )
    if cited := [one for one in everything if names_it.search(one.clause)]:
        return cited
    other = placed(pack, name)
    return [Other(other[0], name, other[1])] if other else []


def _names(pack: RulePack) -> list[str]:
    clauses = [clause.strip() for rule in pack.rules for clause in rule.clause.split(";")]
    return [*(rule.rule_id for rule in pack.rules), *pack.tables, *pack.references, *pack.values, *pack.advice, *clauses, *names_in(pack)]


def _listed(packs: Sequence[PackHead]) -> str:
    return " and ".join(pack.pack_id for pack in packs)


def _shown(pack: RulePack, one: Shown) -> dict[str, Any]:
    kind, name = _title(one)
    of_pack = {"kind": kind, "name": name, "pack_id": pack.pack_id, "standard": pack.standard, "usable": usable(pack)}
    if isinstance(one, Advice):
        assert one.place is not None, "an act that stands in no file is not shown"
        told = {"says": one.line, "mark": one.mark, "instruction": one.instruction}
        return {**of_pack, **told, "place": _words(one.place), "written": written(pack, one.place)}
    if isinstance(one, Other):
        return {**of_pack, "place": _words(one.place), "written": written(pack, one.place)}
    common = {**of_pack, "clause": one.clause}
    own: Mapping[str, Any] = {}
    if isinstance(one, ReferenceTable):
        weakest = max((cell.confidence for _, cell in one), key=CONFIDENCE.index)
        titles = "; ".join(dict.fromkeys(pack.sources[cell.source].title for _, cell in one))
        names = ", ".join(dict.fromkeys(cell.source for _, cell in one))
        own = {"says": one.title, "gives": one.gives, "unit": one.unit, "rows": len(one.cells)}
        rests = {"source": names, "source_title": titles, "confidence": weakest, "place": _words(one.place)}
        return {**common, **own, **rests, "written": written(pack, one.place)}
    rests = {"source": one.source, "source_title": pack.sources[one.source].title, "confidence": one.confidence, "place": _words(one.place)}
    if isinstance(one, Rule):
        own = {
            "says": one.says,
            **({"other_view": one.other_view} if one.other_view else {}),
            "source_kind": one.kind,
            "edited_at": _words(one.origin),
            "examples": len(pack.examples_of(one)),
        }
    elif isinstance(one, NamedValue):
        own = {"value": one.value, "unit": one.unit, "source_kind": one.kind}
    return {**common, **own, **rests, "written": written(pack, one.place)}


def _title(one: Shown) -> tuple[str, str]:
    match one:
        case Rule():
            return "rule", one.rule_id
        case LimitsTable():
            return "table", one.table_id
        case NamedValue():
            return "value", one.name
        case ReferenceTable():
            return "reference table", one.table_id
        case Advice():
            return "act", one.act
        case Other():
            return one.kind, one.name


def _words(place: Place) -> str:
    return f"{place.file}:{place.line}"


def _text(shown: Mapping[str, Any]) -> str:
    how = ", ".join(shown[key].replace("_", " ") for key in ("source_kind", "confidence") if key in shown)
    lines = [f"{shown['kind']} {shown['name']} in {shown['pack_id']} ({shown['standard']}, {shown['usable']})"]
    if "says" in shown:
        lines.append(f"  says:     {shown['says']}")
    if "other_view" in shown:
        lines.append(f"  others:   {shown['other_view']}")
    if "mark" in shown:
        lines += [f"  mark:     {shown['mark']}", f"  programs: {shown['instruction']}"]
    elif "clause" in shown:
        lines += [f"  clause:   {shown['clause']}", f"  source:   {shown['source']}, {shown['source_title']} ({how})"]
    lines.append(f"  place:    {shown['place']}")
    if "edited_at" in shown:
        lines += [f"  edit at:  {shown['edited_at']}", f"  examples: {shown['examples']}"]
    return "\n".join([*lines, "  written:", *(_INDENT + line for line in shown["written"])])
