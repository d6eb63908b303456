"""The worked examples of rules that come out otherwise: each is confirmed from the source and brought up to date."""

import re
from collections.abc import Mapping

from bondwright.cli.rules.choosing import WrongCall
from bondwright.cli.rules.setting.asking import given, member
from bondwright.cli.rules.setting.own_changes import example_changed, example_lines, same_example, with_change, without_change
from bondwright.cli.rules.written import expecting
from bondwright.cli.rules.written import written as written_lines
from bondwright.conclude.concluding import plainly, through
from bondwright.conclude.conclusion import Conclusion
from bondwright.proofs.examples import Runner, told
from bondwright.rulebook.pack import RulePack
from bondwright.rulebook.rule import Example, Rule
from bondwright.shelf.reading.nodes import read_nodes
from bondwright.shelf.reading.scalars import as_map


def with_examples(text: str, before: RulePack, after: RulePack, confirmed: bool) -> str:
    """The text with a change for each example that the new cell makes untrue, its expectation brought up to date once confirmed."""
    runner, earlier = Runner(after), Runner(before)
    for rule in after.rules:
        for example in after.examples_of(rule):
            if not runner.fault(rule, example) or earlier.fault(rule, example):
                continue
            line = " ".join(part.strip() for part in written_lines(after, example.place)).removeprefix("- ")
            new = _brought_up_to_date(line, rule, example, _told(after, runner.before(rule, example), rule), confirmed)
            was, now = (
                as_map(read_nodes(f"example: {one}\n".encode(), "").entries["example"], "an example").entries for one in (line, new)
            )
            own = example_changed(text, rule.rule_id, was)
            if own:
                text, was = without_change(text, own), as_map(own.entries["was"], "`was`").entries
            if not same_example(was, now):
                text = with_change(text, example_lines(rule.rule_id, was, now))
    return text


def _told(pack: RulePack, one: Conclusion, rule: Rule) -> Mapping[str, str]:
    return told(through(pack, [rule.stage], [one], plainly(pack))[0], pack)


def _brought_up_to_date(line: str, rule: Rule, example: Example, told: Mapping[str, str], confirmed: bool) -> str:
    for key, expected in example.expect:
        now = _bare(told[key])
        if told[key] == expected:
            continue
        outcome, _, field = key.partition(".")
        new = expecting(line, outcome, field, now)
        if new is None:
            raise WrongCall(
                f"an example of rule `{rule.rule_id}` cannot be changed by itself; ask an engineer; nothing was written: {line}"
            )
        print(f"an example of rule {rule.rule_id} comes out otherwise: {key} was {_bare(expected)} and is {now} now, for")
        print(f"  - {line}")
        if not confirmed and given(None, f"is {now} what the source says there? (yes or no): ", member(("yes", "no"))) == "no":
            raise WrongCall("the new entry and the source do not agree about the example; nothing was written")
        line = new
    return line


def _bare(value: str) -> str:
    """A number as rule files write it, or a word as it is."""
    return f"{float(value):g}" if re.fullmatch(r"[0-9.]+", value) else value
