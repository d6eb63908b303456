"""Which files of tests a run takes, and in what order. Each that is left out is taken by `uv run pytest --longer`, and by its name."""

import random
from collections.abc import Mapping, Sequence
from pathlib import Path

import pytest

TESTS = Path(__file__).parent
LONGEST = (
    "api/test_fuzz.py",
    "rules/test_published_pack.py",
    "properties/test_caution_law.py",
    "cli/test_read_only.py",
    "core/test_every_revision_judges.py",
    "rules/test_proofs_published.py",
    "cases/test_mistakes_in_text.py",
    "api/sharing/test_apart.py",
    "properties/test_questions.py",
    "core/test_a_client_that_codes.py",
    "rules/test_declared_names.py",
    "rules/test_lacking.py",
    "properties/test_what_no_rule_covers.py",
    "cli/test_impact_resumed.py",
    "cli/test_costly.py",
    "audit/test_postgresql_gone.py",
    "audit/test_postgresql_kill.py",
    "audit/test_refusing_disk.py",
    "api/test_planted_faults.py",
    "pages/test_site_page_drops_nothing.py",
    "cli/test_rules_cases.py",
    "properties/test_outline.py",
    "properties/test_words_and_json.py",
    "words/test_nothing_stays_english.py",
    "words/test_answers_say_how_they_were_made.py",
    "words/test_published_words.py",
    "compatibility/test_generated_changes.py",
    "audit/test_power_cut.py",
    "client/test_node_clients.py",
    "cli/test_rules_kept_cases.py",
    "cli/test_rules_new_place.py",
    "rules/test_mistakes_are_refused.py",
    "cli/test_demo.py",
)
"""The files that take longest, the longest first: begun last, one of them would keep the others waiting."""
LONGER: Mapping[str, tuple[str, ...]] = {
    "publishing does it over again": (
        "cases/test_mistakes_are_noticed.py",
        "cases/test_mistakes_in_text.py",
        "cli/test_rules_cases.py",
        "cli/test_rules_kept_cases.py",
        "cli/test_rules_mistakes.py",
        "cli/test_rules_mistakes_published.py",
        "cli/test_rules_new_place.py",
        "rules/test_proofs_published.py",
    ),
    "packs of old, and such as are cut, damaged or say something otherwise in every way": (
        "api/test_every_pack_as_documented.py",
        "calculations/test_moves_with_the_pack.py",
        "core/test_every_revision_judges.py",
        "rules/test_declared_names.py",
        "rules/test_every_key_can_be_amended.py",
        "rules/test_kinds_taken_away.py",
        "rules/test_lacking.py",
        "rules/test_mutated_packs.py",
        "words/test_answer_names_its_words.py",
        "words/test_answers_say_how_they_were_made.py",
        "words/test_calculations_in_another_language.py",
        "words/test_nothing_stays_english.py",
        "words/test_published_words.py",
        "words/test_sentences_of_calculations.py",
        "words/test_terms_in_words.py",
    ),
    "programs and requests that are generated from the document, beside those of `api/test_fuzz.py`": (
        "api/test_fuzz_told.py",
        "client/test_generated_client.py",
        "client/test_node_clients.py",
    ),
    "what other tests find faults with": (
        "api/test_planted_faults.py",
        "cases/test_every_expectation_is_compared.py",
        "compatibility/test_changes.py",
        "compatibility/test_generated_changes.py",
        "compatibility/test_judged_by_instances.py",
    ),
    "disks, databases and processes that fail": (
        "api/sharing/test_apart.py",
        "audit/test_postgresql_full_disk.py",
        "audit/test_postgresql_gone.py",
        "audit/test_postgresql_kill.py",
        "audit/test_refusing_disk.py",
        "cli/test_impact_resumed.py",
    ),
}
"""What takes a third of the time, and seldom fails where nothing else does, by what it is about; `.ci/run` takes it too."""
_LONGER = frozenset(TESTS / name for names in LONGER.values() for name in names)


def is_left_out(path: Path, config: pytest.Config) -> bool:
    """Whether the run leaves out a file that it was not told to take by its name."""
    return path.is_file() and path.name.startswith("test_") and (path in _LONGER) != config.getoption("--longer")


def put_in_order(items: list[pytest.Item], seed: int | None) -> None:
    """The longest files first, or all of them in a random order; within a file nothing moves."""
    files = list(dict.fromkeys(item.path for item in items))
    if seed is None:
        files = [file for file in map(TESTS.joinpath, LONGEST) if file in files] + files
    else:
        random.Random(seed).shuffle(files)
    order = _places(files)
    items.sort(key=lambda item: order[item.path])


def _places(files: Sequence[Path]) -> Mapping[Path, int]:
    return {file: place for place, file in reversed(list(enumerate(files)))}
