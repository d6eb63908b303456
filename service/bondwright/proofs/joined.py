"""The table that joins duty and objection into an act: never without an answer, and never bolder for knowing less."""

from collections.abc import Iterator
from itertools import product

from msgspec import Struct

from bondwright.plan.acts import LOOKING
from bondwright.proofs.findings import Finding
from bondwright.rulebook.pack import COVERED, LOOK_FIRST, JoinedRow, RulePack

BOND_STATES = ("none", "not_told", "counts", "departs", "mend", "cannot_rely", "failed", "covered")
"""The states in which the bond that is there can be found, as `evaluate.bonds` names them."""
_DO = "do"
_REMOVE = "remove"
_BOLD = frozenset({_DO, _REMOVE})
_NOT_CONNECTING = frozenset({"do_not_connect", "stop", "settle_first"})


class _Situation(Struct, frozen=True):
    duty: int
    duty_firm: bool
    objection: int
    objection_firm: bool
    bond: str


def joined(pack: RulePack) -> tuple[Finding, ...]:
    """What is wrong with the joined table.

    Errors for a part that another one's bond serves and that has no words for it, for a situation without a row, for anything in
    doubt that leads to removing a bond, for an objection in doubt that still leads to work, and for knowing less that does.

    A warning where metalwork that is to be left comes to work by knowing less: the duty is then in doubt.
    """
    roles = pack.roles
    if not {roles.duty, roles.objection} <= pack.outcomes.keys():
        return (Finding("joined", "error", None, f"the pack has no outcomes `{roles.duty}` and `{roles.objection}` to join into acts"),)
    found: list[Finding] = []
    duty = pack.outcomes[roles.duty]
    if COVERED in pack.advice and not duty.covered:
        found.append(
            Finding(
                "joined", "error", duty.place, f"`{duty.name}` has no words for a part that another one's bond serves; write `{COVERED}`"
            )
        )
    if LOOKING & pack.advice.keys() and not duty.look_first:
        found.append(
            Finding("joined", "error", duty.place, f"`{duty.name}` has no words for a bond of which nobody spoke; write `{LOOK_FIRST}`")
        )
    situations = tuple(_situations(pack))
    rows = {one: _fitting(one, pack) for one in situations}
    for one, row in rows.items():
        if row is None:
            last = pack.joined[-1].place if pack.joined else None
            found.append(Finding("joined", "error", last, f"no row fits {_shown(one, pack)}"))
        elif pack.advice[row.act].mark == _REMOVE and not (one.duty_firm and one.objection_firm):
            found.append(Finding("joined", "error", row.place, f"something is in doubt, and `{row.act}` removes for {_shown(one, pack)}"))
        elif one.objection and not one.objection_firm and pack.advice[row.act].mark == _DO:
            said = f"the objection is in doubt, and `{row.act}` is done for {_shown(one, pack)}"
            found.append(Finding("joined", "error", row.place, said))
    for fuller, lesser in product(situations, repeat=2):
        found += _bolder(fuller, lesser, rows[fuller], rows[lesser], pack)
    return tuple(dict.fromkeys(found))


def _bolder(fuller: _Situation, lesser: _Situation, before: JoinedRow | None, after: JoinedRow | None, pack: RulePack) -> Iterator[Finding]:
    if before is None or after is None or not _knows_less(fuller, lesser) or pack.advice[after.act].mark not in _BOLD:
        return
    mark = pack.advice[before.act].mark
    said = f"knowing less leads from `{before.act}` for {_shown(fuller, pack)} to `{after.act}` for {_shown(lesser, pack)}"
    if mark in _NOT_CONNECTING:
        yield Finding("joined", "error", after.place, said)
    elif mark != _DO and not lesser.duty_firm:
        yield Finding("joined", "warning", after.place, f"the duty is in doubt, and `{after.act}` is done all the same")


def _knows_less(fuller: _Situation, lesser: _Situation) -> bool:
    """Whether withheld facts can lead from one situation to the other: each ladder as it was, or in doubt and no lower."""
    return (
        fuller.bond == lesser.bond
        and _falls((fuller.duty, fuller.duty_firm), (lesser.duty, lesser.duty_firm))
        and _falls((fuller.objection, fuller.objection_firm), (lesser.objection, lesser.objection_firm))
    )


def _falls(before: tuple[int, bool], after: tuple[int, bool]) -> bool:
    return before == after or (not after[1] and after[0] >= before[0])


def alike(pack: RulePack, other: RulePack) -> bool:
    """Whether the joined tables of two packs give the same act in every situation; their outcomes are the same."""
    return all(_act(one, pack) == _act(one, other) for one in _situations(pack))


def _act(one: _Situation, pack: RulePack) -> str:
    row = _fitting(one, pack)
    return row.act if row else ""


def _situations(pack: RulePack) -> Iterator[_Situation]:
    duties, objections = (range(len(pack.outcomes[name].levels)) for name in (pack.roles.duty, pack.roles.objection))
    for duty, duty_firm, objection, objection_firm, bond in product(duties, (True, False), objections, (True, False), BOND_STATES):
        if (duty or duty_firm) and (objection or objection_firm):  # the first level is always firm
            yield _Situation(duty, duty_firm, objection, objection_firm, bond)


def _fitting(one: _Situation, pack: RulePack) -> JoinedRow | None:
    duty, objection = _levels(one, pack)
    for row in pack.joined:
        if (
            (not row.duty or duty in row.duty)
            and row.duty_firm in ("any", _yes(one.duty_firm))
            and (not row.objection or objection in row.objection)
            and row.objection_firm in ("any", _yes(one.objection_firm))
            and (not row.bond or one.bond in row.bond)
        ):
            return row
    return None


def _shown(one: _Situation, pack: RulePack) -> str:
    duty, objection = _levels(one, pack)
    return f"{duty} ({_firm(one.duty_firm)}), {objection} ({_firm(one.objection_firm)}), bond {one.bond}"


def _levels(one: _Situation, pack: RulePack) -> tuple[str, str]:
    roles = pack.roles
    return pack.outcomes[roles.duty].levels[one.duty], pack.outcomes[roles.objection].levels[one.objection]


def _firm(firm: bool) -> str:
    return "firm" if firm else "in doubt"


def _yes(holds: bool) -> str:
    return "yes" if holds else "no"
