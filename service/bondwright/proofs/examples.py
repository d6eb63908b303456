"""The pack's own examples, run through the reader that serves: what each expects, and what comes out."""

from collections import Counter
from collections.abc import Iterable, Iterator

from bondwright.conclude.concluding import begun, plainly, through
from bondwright.conclude.conclusion import Conclusion
from bondwright.errors import NoSize
from bondwright.members import replace
from bondwright.proofs.findings import Finding
from bondwright.rulebook.pack import RulePack
from bondwright.rulebook.rule import Example, Rule

_DIGITS = 4
_NO_SIZE = "no rule gives "


def as_expected(pack: RulePack) -> tuple[Finding, ...]:
    """An error for each example that comes out otherwise than it expects; a pack without examples is one too."""
    runner = Runner(pack)
    found = [
        Finding("examples", "error", example.place, f"rule `{rule.rule_id}`: {fault}")
        for rule, example in all_examples(pack)
        if (fault := runner.fault(rule, example))
    ]
    none = () if any(all_examples(pack)) else (Finding("examples", "error", None, "the pack has no examples: nothing was shown"),)
    return (*none, *found)


def gathered(findings: Iterable[Finding]) -> tuple[Finding, ...]:
    """The findings, of those for want of the same size only the first, which says how many more there are."""
    first: dict[str, int] = {}
    kept, further = list[Finding](), Counter[int]()
    for finding in findings:
        fault = finding.detail.partition(": ")[2]
        if finding.check == "examples" and fault.startswith(_NO_SIZE) and first.setdefault(fault, len(kept)) < len(kept):
            further[first[fault]] += 1
        else:
            kept.append(finding)
    said = "{} (examples that come to the same: {} more)"
    return tuple(replace(one, detail=said.format(one.detail, more)) if (more := further[at]) else one for at, one in enumerate(kept))


def all_examples(pack: RulePack) -> Iterator[tuple[Rule, Example]]:
    """Every example with the rule below which it stands."""
    yield from ((rule, example) for rule in pack.rules for example in pack.examples_of(rule))


class Runner:
    """Runs examples through one pack, a stage at a time; `pack` may be a mutant of the one whose examples they are."""

    def __init__(self, pack: RulePack) -> None:
        self._pack = pack
        self._acts = plainly(pack)

    def fault(self, rule: Rule, example: Example, before: Conclusion | None = None) -> str:
        """How the example comes out otherwise than it expects; empty where it does not.

        `before`: the subject as it stands before the rule's own stage, where that is known. A remark whose example
        expects nothing of outcomes is itself what is expected.
        """
        try:
            one = self._stage(before or self.before(rule, example), rule.stage)
        except NoSize as error:
            always = "let one rule that sizes it hold always, `when: {all: []}`"
            return f"{_NO_SIZE}`{error.name}`, which is worked out for every {error.of}: {always}"
        found = told(one, self._pack)
        apart = [f"{key} is {found.get(key)}, expected {value}" for key, value in example.expect if found.get(key) != value]
        if not example.expect and rule.rule_id not in one.acts.worst_case:
            apart.append("the remark is not made")
        return "; ".join(apart)

    def before(self, rule: Rule, example: Example) -> Conclusion:
        """The subject of an example after every stage before the rule's; outcomes that it gives stand as given."""
        outcomes = self._pack.outcomes
        given = {name: value for name, value in example.given.items() if name in outcomes}
        facts = {fact.name: example.given.get(fact.name, fact.unknown()) for fact in self._pack.facts_of(rule.of)}
        one = begun(rule.of, facts)
        for stage in self._pack.stages[: self._pack.stages.index(rule.stage)]:
            one = self._stage(one, stage)
            stands = {name: value for name, value in given.items() if outcomes[name].stage == stage}
            one = replace(one, facts={**one.facts, **stands}, certain={**one.certain, **stands})
        return one

    def _stage(self, one: Conclusion, stage: str) -> Conclusion:
        return through(self._pack, [stage], [one], self._acts)[0]


def told(one: Conclusion, pack: RulePack) -> dict[str, str]:
    """Everything that an example may expect of a subject, as examples write it."""
    found: dict[str, str] = {}
    for name, level in one.levels.items():
        ladder = pack.outcomes[name].levels
        found |= {name: ladder[level.worst_case], f"{name}.lowest_possible": ladder[min(level.lowest, level.worst_case)]}
        found[f"{name}.firm"] = _yes(level.firm)
    for name, size in one.sizes.items():
        worst = size.highest if pack.outcomes[name].cautious == "larger" else size.lowest
        found |= {name: _number(worst), f"{name}.lowest": _number(size.lowest), f"{name}.highest": _number(size.highest)}
        found[f"{name}.provisional"] = "none" if size.provisional is None else _number(size.provisional)
        found[f"{name}.firm"] = _yes(size.lowest == size.highest)
    return found


def _number(value: float) -> str:
    return str(round(value, _DIGITS))


def _yes(holds: bool) -> str:
    return "yes" if holds else "no"
