"""Twenty installations whose pages are measured: documented and ordinary ones, worked cases of both families, a block of dwellings."""

import json
import re
from collections.abc import Mapping
from functools import cache
from pathlib import Path
from typing import Any

from tests.rules.revisions import newest_published

from bondwright.cases.reading import read_case
from bondwright.shelf.packs import rules_folder

ROOT = Path(__file__).parents[2]
BY_NAME = ("iec60364",)
"""Families whose packs judge only what names them."""
BLOCK = "a block of ten dwellings"
_ORDINARY = (
    "bungalow-on-tt-with-oil",
    "consumer-unit-change-with-the-water-unbonded",
    "flat-on-the-landlords-supply",
    "heat-pump-outdoors-with-pipes-into-the-house",
    "kitchen-addition-on-an-older-6-mm2-bond",
    "new-house-all-on-plastic",
    "old-house-with-lead-water-and-steel-gas",
    "shop-with-a-steel-frame",
    "terrace-where-nobody-knows-the-other-end-of-the-main",
    "workshop-in-the-garden-with-its-own-rod",
)
_WORKED = (
    "bs7671/cases/a-bond-below-6-mm2-is-more-than-an-improvement",
    "bs7671/cases/copper-from-a-house-with-pme-into-a-barn-on-its-own-electrode-is-a-stop",
    "bs7671/cases/copper-that-vanishes-into-a-ground-floor-slab-is-measured-or-bonded-at-both-lengths",
    "bs7671/cases/radiators-taps-and-a-sink-follow-their-pipes-and-nobody-asks-what-each-of-them-touches",
    "iec60364/cases/a-steel-gas-service-is-bonded-with-6-mm-of-copper-by-the-international-rules",
    "iec60364/cases/window-frames-fixed-to-steelwork-are-covered-by-its-bond-by-the-international-rules",
)


@cache
def twenty() -> Mapping[str, bytes]:
    """The descriptions, by name; the block comes last."""
    readme = re.findall(r"^```json\n(.*?)^```$", (ROOT / "README.md").read_text(encoding="utf-8"), re.DOTALL | re.MULTILINE)
    documented = {
        "the example of the README": readme[0].encode(),
        "the house of the interface": (ROOT / "openapi" / "examples" / "house.request.json").read_bytes(),
        "the example of the rules": (rules_folder() / "example.json").read_bytes(),
    }
    ordinary = {name: _installation(ROOT / "tests" / "core" / "ordinary" / f"{name}.json") for name in _ORDINARY}
    return {**documented, **ordinary, **{name.rpartition("/")[2]: _case(f"{name}.json") for name in _WORKED}, BLOCK: block(10)}


def block(dwellings: int) -> bytes:
    """A block on one supply: each dwelling with water from the riser, heating, a bathroom; one with a bond not measured. Invented."""
    work = {"kind": "inspection", "inspected_on": "2026-11-25"}
    supply = {"earthing_system": "TN-C-S", "pme_conditions": "apply", "phases": "three", "neutral": {"size": 70, "material": "copper"}}
    numbers = range(1, dwellings + 1)
    services = [service for number in numbers for service in _services(number)]
    gas = {"id": "gas", "kind": "gas", "comes_from": "ground", "enters_as": "steel", "inside": "steel", "hidden": "no", "bonds": []}
    return json.dumps(
        {
            "reference": "Avocet Court",
            "work": work,
            "supply": supply,
            "services": [{**gas, "meter": {"position": "inside"}}, *services],
            "items": [{"id": "frame", "kind": "structural_steel", "material": "steel", "touches": "soil"}],
            "locations": [_bathroom(number) for number in numbers],
        }
    ).encode()


def _services(number: int) -> list[dict[str, Any]]:
    riser = {"comes_from": "communal_riser", "far_end_earthing": "same"}
    bond = {"id": "bond", "on": "entering_pipe", "connected_to": "main_earthing_terminal", "size": 10, "material": "copper"}
    water = {"id": f"flat-{number}-water", "kind": "water", **riser, "enters_as": "copper", "inside": "copper", "hidden": "no"}
    heating = {"id": f"flat-{number}-heating", "kind": "heating", "comes_from": "inside_only", "enters_as": "plastic", "inside": "plastic"}
    return [{**water, **({"bonds": [bond]} if number == 1 else {"bonds": []})}, {**heating, "hidden": "no"}]


def _bathroom(number: int) -> dict[str, Any]:
    shown = [{"kind": "water", "service": f"flat-{number}-water", "accessible": "yes", "length": "inside_pipe"}]
    circuit = {"id": "shower", "measure": "automatic_disconnection", "disconnection_met": "yes", "rcd": "none"}
    return {"id": f"flat-{number}-bathroom", "kind": "bath_or_shower", "services": shown, "items": [], "circuits": [circuit]}


def _installation(path: Path) -> bytes:
    told = json.loads(path.read_bytes())
    return json.dumps(told.get("installation", told)).encode()


def _case(file: str) -> bytes:
    claim = read_case((rules_folder() / file).read_bytes(), file).claims[0][1]
    family = file.partition("/")[0]
    named = {"rule_pack": newest_published(f"{family}-2017").pack_id} if family in BY_NAME else {}
    return json.dumps({**claim.installation, **named}).encode()
