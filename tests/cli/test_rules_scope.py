"""`bondwright rules scope`: every kind of thing that descriptions can name, judged or not judged by a pack, and why not."""

import json
from typing import Any

import pytest
from tests.described import terms

from bondwright.cli import main
from bondwright.facts.scope import named
from bondwright.shelf.packs import draft_pack, rules_folder

DRAFT = "bs7671/2018-a4"


def said(capsys: pytest.CaptureFixture[str], *arguments: str) -> str:
    capsys.readouterr()
    assert main(["rules", "scope", *arguments]) == 0
    return capsys.readouterr().out


def told(capsys: pytest.CaptureFixture[str], *arguments: str) -> Any:
    return json.loads(said(capsys, *arguments, "--format", "json"))


def test_every_kind_that_a_description_can_name_is_listed_once(capsys: pytest.CaptureFixture[str]) -> None:
    kinds = told(capsys, "--pack", DRAFT)["kinds"]

    assert [(one["of"], one["kind"]) for one in kinds] == list(named(terms()))
    assert len(kinds) > 80


def test_it_says_what_the_pack_itself_goes_by(capsys: pytest.CaptureFixture[str]) -> None:
    pack = draft_pack(rules_folder(), DRAFT)

    for one in told(capsys, "--pack", DRAFT)["kinds"]:
        kind = pack.kind(one["of"], one["kind"])
        assert one["judged"] is kind.judged
        assert (one["known"] is None) is kind.judged
        assert kind.governed is None or (one["governed_by"], one["ask"]) == (kind.governed.governed_by, kind.governed.ask)


def test_every_special_location_is_there_with_its_section(capsys: pytest.CaptureFixture[str]) -> None:
    kinds = told(capsys, "--pack", DRAFT)["kinds"]

    sections = {one["section"] for one in kinds if one["of"] == "location" and one["section"]}
    assert sections == {str(number) for number in (*range(701, 707), *range(708, 713), 714, 715, 717, 721, 722, 729, 730, 740, 753)}
    not_judged = {one["kind"] for one in kinds if one["of"] == "location" and not one["judged"]}
    assert not_judged == {"solar_power", "explosion_risk", "other", "unknown", "hv_substation", "island_mode", "earth_free"}


def test_as_text_a_kind_is_a_line_that_says_why_not(capsys: pytest.CaptureFixture[str]) -> None:
    first, *lines = said(capsys, "--pack", DRAFT).splitlines()

    assert first.startswith("bs7671-2018-a4-r") and f"judges {sum(line.endswith(': judged') for line in lines)} of {len(lines)}" in first
    assert any(line.startswith("  location solar_power: not judged; Section 712: ") for line in lines)
    assert "  item tank: judged" in lines


def test_without_a_name_the_newest_pack_in_use_is_shown(capsys: pytest.CaptureFixture[str]) -> None:
    assert told(capsys)["pack_id"].startswith("bs7671-2018-a4-r")


def test_a_pack_published_before_judges_the_kinds_that_it_has_words_for(capsys: pytest.CaptureFixture[str]) -> None:
    kinds = {(one["of"], one["kind"]): one for one in told(capsys, "--pack", "bs7671-2018-a4-r1")["kinds"]}

    assert kinds["location", "other"]["judged"] and kinds["item", "solar_frame"]["judged"]
    assert not kinds["location", "sauna"]["judged"] and kinds["location", "sauna"]["section"] is None


def test_a_pack_that_is_not_there_is_a_wrong_call(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["rules", "scope", "--pack", "bs7671-2018-a4-r99"]) == 2
    assert "no rule pack `bs7671-2018-a4-r99` is published" in capsys.readouterr().err
