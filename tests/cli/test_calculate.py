"""`bondwright calculate`: its options are the inputs, its faults name the option, its page and its JSON say the same."""

import json

import pytest
from tests.cli.command import bondwright, started_afresh

from bondwright.calculations.catalogue import CALCULATIONS
from bondwright.cli import main


def test_a_reading_is_judged_on_a_page_with_working_and_sources() -> None:
    told = bondwright("calculate", "isolation-reading", "--measured-ohm", "7000")

    page = told.stdout.decode()
    assert (told.returncode, told.stderr) == (0, b"")
    assert "limit: 22000 ohm" in page and "below the limit" in page
    assert "limit = U0 / Ib - Zt" in page and "U0 = 230 V, Ib = 0.01 A, Zt = 1000 ohm" in page
    assert "weakest source: from memory" in page and "CAUTIONS" in page


def test_json_is_the_whole_answer() -> None:
    told = started_afresh("calculate", "isolation-limit", "--format", "json")

    answer = json.loads(told.stdout)
    assert answer["calculation"] == "isolation-limit"
    assert answer["results"] == [{"name": "limit", "value": 22000.0, "unit": "ohm"}]


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (["isolation-reading", "--measured-ohm=-3"], "--measured-ohm: write a number from 0 to 1000000000"),
        (["isolation-reading", "--measured-ohm", "much"], "--measured-ohm: write a number from 0 to 1000000000"),
        (["main-bond-size", "--pme-conditions", "apply"], "--neutral-mm2: needed for this calculation"),
        (["isolation-limit", "--rule-pack", "bs7671-1900-r1"], "--rule-pack: no rule pack of this id"),
    ],
)
def test_a_wrong_input_is_refused_at_its_option(arguments: list[str], said: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["calculate", *arguments]) == 2
    out, err = capsys.readouterr()
    assert (out, err.startswith(said)) == ("", True), err


@pytest.mark.parametrize("name", CALCULATIONS)
def test_every_calculation_has_help_with_an_option_for_each_input(name: str, capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit):
        main(["calculate", name, "--help"])

    page = capsys.readouterr().out
    assert [field for field in CALCULATIONS[name].inputs.model_fields if f"--{field.replace('_', '-')}" not in page] == []
