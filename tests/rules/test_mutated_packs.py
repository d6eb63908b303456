"""Whatever a pack holds that passes the checks, it answers, or says what it lacks."""

import random
from functools import cache

import pytest
from hypothesis import given, settings
from hypothesis import strategies as some
from tests.core.cases import cases
from tests.described import described as read_description
from tests.rules.mutated import Mutant, mutant

from bondwright.conclude.concluding import plainly
from bondwright.errors import Contradiction, UnreadableRules
from bondwright.evaluate.order import evaluate
from bondwright.installation.description import Installation
from bondwright.members import replace
from bondwright.report.text import evaluation_text
from bondwright.rulebook.memory import Kept, Memory
from bondwright.rulebook.pack import RulePack
from bondwright.shelf.declared.declaration import declaration
from bondwright.shelf.packs import consolidate, pack_of, rules_folder
from bondwright.shelf.reading.nodes import Items, Map, Scalar
from bondwright.shelf.reading.scalars import as_items, as_map
from bondwright.shelf.words.filling import nodes_of

PACKS = ("bs7671/2018-a4", "iec60364/2017", "published/bs7671-2018-a4-r2")
"""Two drafts, and a pack that was published before packs said their format."""
DESCRIPTIONS = 3
"""Worked cases that each changed pack judges."""
EXAMPLES = 33
"""Changes of each pack in an everyday run."""


@cache
def nodes(name: str) -> Map:
    """What the pack holds."""
    folder = rules_folder()
    text = (folder / f"{name}.yaml").read_bytes() if name.startswith("published") else consolidate(folder, name)
    return nodes_of(text, "pack.yaml", declaration(folder))


@cache
def described() -> tuple[Installation, ...]:
    """What the worked cases describe."""
    return tuple(read_description(case.claim.installation) for case in cases())


def read(changed: Mutant) -> RulePack | None:
    """The changed pack; none where the shelf refuses it."""
    try:
        return pack_of(changed.root, b"")
    except UnreadableRules:
        return None


def judge(pack: RulePack, installation: Installation, memory: Memory) -> str:
    """What the pack says: an answer on paper, or what it or the description lacks."""
    try:
        return evaluation_text(evaluate(installation, pack, plainly(pack), memory), pack.say)
    except Contradiction as refused:
        return str(refused)


@pytest.mark.parametrize("name", PACKS)
@settings(max_examples=max(EXAMPLES, settings().max_examples // 100 * EXAMPLES))
@given(seed=some.integers(0, 2**32))
def test_a_changed_pack_is_refused_or_answers_or_says_what_it_lacks(name: str, seed: int) -> None:
    rng = random.Random(seed)
    changed = mutant(nodes(name), rng)

    pack = read(changed)

    if pack is not None:
        memory = Kept()
        for installation in rng.sample(described(), DESCRIPTIONS):
            assert judge(pack, installation, memory), changed.said


@pytest.mark.parametrize("name", PACKS)
def test_some_changed_packs_are_refused_and_some_judge(name: str) -> None:
    rng = random.Random(1)
    read_ones = [read(mutant(nodes(name), rng)) is not None for _ in range(40)]

    assert 3 <= sum(read_ones) <= 37


# --- what the changes found: each ended in a traceback ---


def answers_of(pack: RulePack) -> set[str]:
    """What the pack says of all that is described."""
    memory = Kept()
    return {judge(pack, installation, memory) for installation in described()}


def test_a_size_that_no_rule_gives_is_said_with_its_name() -> None:
    pack = pack_of(nodes("iec60364/2017"), b"")
    fewer = [replace(pack, rules=tuple(other for other in pack.rules if other is not rule)) for rule in pack.rules if rule.form is not None]

    told = {judge(one, installation, Kept()) for one in fewer for installation in described()[:DESCRIPTIONS]}

    assert any(one.startswith(f"/rule_pack: rule pack `{pack.pack_id}` has no rule that gives `") for one in told)


def test_an_act_that_no_row_gives_is_said_with_what_would_join() -> None:
    pack = pack_of(nodes("published/bs7671-2018-a4-r2"), b"")
    fewer = replace(pack, joined=pack.joined[:1])

    assert any("has no row in `joined` for duty `" in told for told in answers_of(fewer))


def test_a_joined_table_that_leaves_a_case_out_is_refused() -> None:
    root = nodes("iec60364/2017")
    *rows, last = as_items(root.entries["joined"], "`joined`")
    row = as_map(last, "a row")
    narrower = Map({**row.entries, "duty": Scalar("not_required", False, row.place)}, row.keys, row.place)
    fewer = Map({**root.entries, "joined": Items([*rows, narrower], row.place)}, root.keys, root.place)

    with pytest.raises(UnreadableRules, match=r"`joined` lacks a row for duty `required`, objection `.+` and bond `none`"):
        pack_of(fewer, b"")


def test_water_that_conducts_nothing_is_said_of_a_pack_of_the_first_format() -> None:
    pack = pack_of(nodes("published/bs7671-2018-a4-r2"), b"")
    least = pack.value("water_conductivity_least")
    pure = replace(pack, values={**pack.values, least.name: replace(least, value=0.0)})

    assert any("gives a number with which nothing can be worked out: conductivity" in told for told in answers_of(pure))
