"""The page for the site: short, in the order in which it is read, in the names of whoever described the installation."""

import json
from collections.abc import Iterator
from contextlib import closing
from typing import Any

import pytest
from tests.described import standing
from tests.longer.described import worked
from tests.opened import in_place
from tests.pages.installations import BLOCK, block, twenty
from tests.pages.measured import Measured, made, measured, size

from bondwright.assembly import Bondwright, build
from bondwright.outline.making import outline_of
from bondwright.report.page.shape import Entry, Page, Section, shortened
from bondwright.report.page.written import page_text
from bondwright.report.rows import WIDTH
from bondwright.settings import Settings

INSPECTION = {"kind": "inspection", "inspected_on": "2026-11-25"}
PME = {"earthing_system": "TN-C-S", "pme_conditions": "apply", "neutral": {"size": 25, "material": "copper"}}
GAS = {"id": "gas-entry", "kind": "gas", "comes_from": "ground", "enters_as": "steel", "insulating_section": "none", "hidden": "no"}
STEEL_GAS: dict[str, Any] = {**GAS, "inside": "steel", "joined_by": "screwed", "meter": {"position": "outside"}, "bonds": []}
BOND = {"id": "b", "on": "entering_pipe", "connected_to": "main_earthing_terminal", "size": 10, "material": "copper", "length_m": 8}
SOUND = {**BOND, "continuity": "0.02 ohm", "continuity_parted": "yes", "joint": "sound"}


@pytest.fixture(scope="module")
def service(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Bondwright]:
    with closing(build(Settings(tmp_path_factory.mktemp("page")))) as bondwright:
        yield bondwright


@pytest.fixture(scope="module")
def pages() -> dict[str, Measured]:
    """What is measured of the twenty, by name."""
    return {one.name: one for one in measured()}


def page(service: Bondwright, **told: Any) -> Page:
    """The page of an inspection on PME, unless something else is told."""
    return made(service.evaluate(json.dumps({"work": INSPECTION, "supply": PME, **told}).encode()))


def flat(page: Page) -> str:
    """The text in one line."""
    return " ".join(page_text(page).split())


@pytest.mark.parametrize("name", [name for name in twenty() if name != BLOCK])
def test_a_house_has_at_most_60_lines_and_450_words(pages: dict[str, Measured], name: str) -> None:
    lines, words = size(pages[name].page)

    assert lines <= 60
    assert words <= 450


def test_ten_dwellings_have_at_most_150_lines(pages: dict[str, Measured]) -> None:
    assert size(pages[BLOCK].page)[0] <= 150


def test_there_are_twenty_installations_of_both_families(pages: dict[str, Measured]) -> None:
    assert len(pages) == 20
    assert sum("IEC 60364" in one.page for one in pages.values()) == 2


def test_no_line_is_wider_than_the_page(pages: dict[str, Measured]) -> None:
    assert max(len(line) for one in pages.values() for line in one.page.splitlines()) <= WIDTH


@pytest.mark.parametrize(
    ("work", "begins"),
    [
        (INSPECTION, "Inspection:"),
        ({"kind": "new_installation", "designed_on": "2026-11-25"}, "New installation:"),
        ({"kind": "addition", "designed_on": "2026-11-25"}, "Work on an existing installation:"),
    ],
)
def test_each_kind_of_work_opens_in_its_own_words(service: Bondwright, work: dict[str, str], begins: str) -> None:
    assert page(service, work=work, services=[STEEL_GAS]).opening.startswith(begins)


def test_what_waits_for_the_bonding_is_said_once(service: Bondwright) -> None:
    work = {"kind": "addition", "designed_on": "2026-11-25"}

    told = flat(page(service, work=work, services=[STEEL_GAS, {**STEEL_GAS, "id": "oil", "kind": "oil"}]))

    assert told.count("Until then the new work is not energised") == 1


def test_a_code_stands_on_the_first_line_of_its_part_and_in_an_inspection_alone(service: Bondwright) -> None:
    found = page_text(page(service, services=[STEEL_GAS]))
    work = {"kind": "addition", "designed_on": "2026-11-25"}

    assert "FOUND          1. C2 gas-entry (steel gas service): " in found
    assert "C2" not in page_text(page(service, work=work, services=[STEEL_GAS]))


def test_the_names_of_the_describer_stand_on_the_page_and_no_kind_in_place_of_them(service: Bondwright) -> None:
    told = flat(page(service, services=[STEEL_GAS]))

    assert "gas-entry" in told
    assert "the gas service" not in told


def test_a_part_that_nobody_named_is_called_by_its_kind(service: Bondwright) -> None:
    unnamed = {key: value for key, value in STEEL_GAS.items() if key != "id"}

    assert "Main bond on" not in flat(page(service, services=[unnamed]))
    assert "gas service" in flat(page(service, services=[unnamed]))


def test_ten_radiators_alike_are_one_entry(service: Bondwright) -> None:
    radiator = {"kind": "radiator", "material": "steel", "fed_by": "plastic", "touches": "nothing_earthy"}

    told = page(service, items=[{**radiator, "id": f"radiator-{number}"} for number in range(10)])

    assert [len(entry.about) for entry in told.section("free")] == [10]


def test_several_alike_in_one_item_are_counted(service: Bondwright) -> None:
    radiators = {"id": "radiators", "kind": "radiator", "count": 6, "material": "steel", "fed_by": "plastic", "touches": "nothing_earthy"}

    assert "radiators (6)" in flat(page(service, items=[radiators]))


def test_at_most_five_questions_are_asked_each_once_and_the_others_are_counted(service: Bondwright) -> None:
    told = page(service, services=[{"id": "w", "kind": "water"}, {"id": "g", "kind": "gas"}], supply={})
    asked = [entry.text for entry in told.section("check")]

    assert 2 <= len(asked) - 1 <= 5
    assert len({text.partition("?")[0] for text in asked}) == len(asked)
    assert asked[-1].startswith("More questions: ")


def test_a_bond_of_8_m_of_10_mm2_is_expected_to_read_0_015_ohm(service: Bondwright) -> None:
    # IEC 60228 table of stranded copper as makers' tables print it: 1.83 ohm/km for 10 mm² at 20 °C; 8 m give 0.0146 ohm.
    told = flat(page(service, services=[{**STEEL_GAS, "bonds": [SOUND]}]))

    assert "Bond on gas-entry: expect about 0.015 Ω for 8 m, leads nulled. ______" in told


def test_a_bond_that_is_still_to_be_made_has_its_figure_for_10_m(service: Bondwright) -> None:
    assert "about 0.018 Ω for 10 m of 10 mm²" in flat(page(service, services=[STEEL_GAS]))


def test_what_nobody_told_of_the_supply_is_marked(service: Bondwright) -> None:
    (known, _) = page(service, services=[STEEL_GAS], supply={}).section("supply")

    assert known.text == "NOT KNOWN: type of earthing, PME, size of the supply neutral"


HOT = {**SOUND, "joint": "heat_damaged"}


def test_signs_of_heat_on_a_bond_come_above_everything(service: Bondwright) -> None:
    told = page_text(page(service, services=[{**STEEL_GAS, "bonds": [HOT]}]))

    assert told.startswith("KEEP OFF:")
    assert "105" in told.partition("Installation without")[0]
    assert "lift nothing" in told


def test_answer_and_outline_say_to_keep_off_where_the_page_does(service: Bondwright) -> None:
    said = json.dumps({"work": INSPECTION, "services": [{**STEEL_GAS, "bonds": [SOUND, {**HOT, "id": "hot"}]}]}).encode()

    evaluated = service.evaluate(said)
    told, outline = in_place(json.loads(evaluated.body)), outline_of(evaluated.body, said, evaluated.pack)

    assert [one["why"].partition(":")[0] for one in told["keep_off"]] == ["KEEP OFF"]
    assert tuple(told["keep_off"][0]["bonds"]) == outline.keep_off == ("/services/0/bonds/1",)


@pytest.mark.parametrize("joint", ["sound", "loose", "corroded", "unknown"])
def test_no_other_joint_says_to_keep_off(service: Bondwright, joint: str) -> None:
    assert page(service, services=[{**STEEL_GAS, "bonds": [{**SOUND, "joint": joint}]}]).keep_off == ()


def test_the_international_page_names_no_number_of_one_country(service: Bondwright) -> None:
    told = flat(page(service, services=[{**STEEL_GAS, "bonds": [HOT]}], rule_pack="iec60364-2017-r10"))

    assert told.startswith("KEEP OFF:")
    assert "105" not in told
    assert "BS 951" not in told


@pytest.mark.parametrize("pack_id", [pack.pack_id for pack in standing()])
def test_every_pack_that_stands_has_the_page(service: Bondwright, pack_id: str) -> None:
    told = page(service, services=[{**STEEL_GAS, "bonds": [HOT]}], rule_pack=pack_id)

    assert told.keep_off
    assert all(told.section(name) for name in ("supply", "found", "test", "record", "customer", "safety", "basis"))


def test_what_is_not_covered_comes_before_the_supply(service: Bondwright) -> None:
    told = page(service, services=[STEEL_GAS], items=[{"id": "van", "kind": "caravan", "bonds": []}])

    assert [section.name for section in told.sections][:2] == ["not_covered", "supply"]
    assert "van: Section 721" in flat(told)


def test_no_size_and_no_row_of_the_form_is_given_for_premises_that_are_not_covered(service: Bondwright) -> None:
    told = page(service, services=[STEEL_GAS], premises="fairground_or_exhibition")

    assert told.section("supply")[-1].text == "No sizes: the premises are not covered."
    assert told.section("record") == ()


def test_a_bond_that_must_come_off_is_neither_tested_nor_recorded_as_one_that_serves(service: Bondwright) -> None:
    bond = {key: value for key, value in SOUND.items() if key != "on"}
    told = page(service, items=[{"id": "pump", "kind": "equipment_case", "protected_as": "selv", "bonds": [bond]}])

    assert [entry.code for entry in told.section("found")] == ["C2"]
    assert "Bond on pump" not in flat(told)
    assert "Main bond found on pump" not in flat(told)


def test_a_bond_that_is_replaced_has_the_figure_of_the_new_size_for_the_length_of_the_old_one(service: Bondwright) -> None:
    # By the same tables of makers 4.61 ohm/km for 4 mm²: 0.0369 ohm for 8 m; and 0.0146 ohm for 8 m of 10 mm².
    told = flat(page(service, services=[{**STEEL_GAS, "bonds": [{**SOUND, "size": 4, "continuity": "0.04 ohm"}]}]))

    assert "once bonded: about 0.015 Ω for 8 m of 10 mm²" in told
    assert "expect about 0.037 Ω for 8 m" in told


def test_a_stop_says_what_may_not_be_done_and_the_alternatives(pages: dict[str, Measured]) -> None:
    (told,) = (" ".join(one.page.split()) for name, one in pages.items() if name.endswith("is-a-stop"))

    assert "Do not join it; do not remove what is joined." in told
    assert "Alternatives: An insulating section in free air" in told


def test_an_unprotected_bathroom_bond_is_4_mm2_on_the_page(service: Bondwright) -> None:
    (name,) = (name for name in worked() if "/copper-from-the-ground-in-a-bathroom-without-an-rcd" in name and name.endswith(".json"))
    told = json.loads(worked()[name])
    told["locations"][0]["bonding_protected"] = "no"

    (entry,) = (entry for entry in made(service.evaluate(json.dumps(told).encode())).section("found") if "bathroom" in entry.about)

    (joins,) = entry.joins
    assert "extraneous part to extraneous part" in joins
    assert joins.endswith(": at least 4 mm²")  # 544.2, from memory: not below 4 mm² where nothing protects it


def test_least_sizes_of_connections_are_the_last_to_go_from_a_long_page() -> None:
    entry = Entry("Bond bathroom.", ("bathroom",), joins=("part to part: at least 4 mm²",))
    other = Entry("word " * 440, ("gas",))

    def of(*entries: Entry) -> tuple[Entry, ...]:
        return shortened(Page((), "title", "opening", (Section("do", "DO", entries),), "foot"), ()).section("do")

    assert of(entry) == (entry,)
    assert of(entry, other) == (Entry(entry.text, entry.about), other)


def test_a_block_names_each_of_its_dwellings(service: Bondwright) -> None:
    told = flat(made(service.evaluate(block(10))))

    assert [number for number in range(1, 11) if f"flat-{number}-bathroom" not in told] == []


def test_nothing_described_is_said(service: Bondwright) -> None:
    assert "nothing to decide" in flat(page(service))


def test_the_page_of_every_worked_case_is_short(service: Bondwright) -> None:
    cases = {name: service.evaluate(raw) for name, raw in worked().items() if "of-ten-dwellings" not in name}
    sizes = {name: size(page_text(made(one))) for name, one in cases.items()}

    assert {name: found for name, found in sizes.items() if found > (60, 0) or found[1] > 450} == {}
    assert len(sizes) > 500


def test_a_page_made_shorter_lacks_no_act_and_says_what_waits_when_it_is_asked() -> None:
    about = ("gas",)
    entries = {
        "found": (Entry("Measure gas first.", about, "FI", "1.1"),),
        "test": (Entry("gas: once bonded " + "word " * 300, about, blanks=("",)), Entry("Bond on water.", ("water",), blanks=("",))),
        "free": (Entry("Leave plastic.", ("plastic",), clause="2.2", why="word " * 140),),
    }
    whole = Page((), "title", "opening", tuple(Section(name, name, some) for name, some in entries.items()), "foot")

    short, enough = shortened(whole, {"gas"}), shortened(whole, ())

    assert short.section("found") == entries["found"]
    assert [entry.text for entry in short.section("test")] == ["Bond on water."]
    assert (short.section("free")[0].clause, short.section("free")[0].why[:4]) == ("2.2", "word")
    assert enough.section("test") == entries["test"] and enough.section("free")[0].why == ""
