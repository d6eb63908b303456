"""The IEC pack as its tests use it: what it says of a description, and of a bathroom."""

from functools import cache
from typing import Any, TypeAlias

from tests.api.builders import WORK
from tests.core.cases import read

from bondwright.compose.answer import Evaluation, RoomAnswer
from bondwright.engine.channels import TwoChannels
from bondwright.evaluate.order import evaluate
from bondwright.rulebook.memory import Kept
from bondwright.rulebook.pack import RulePack
from bondwright.shelf.packs import draft_pack, rules_folder

Json: TypeAlias = Any

EDITION = "iec60364/2017"

COPPER_FROM_THE_GROUND = {"id": "water", "kind": "water", "comes_from": "ground", "enters_as": "copper", "inside": "copper", "hidden": "no"}


@cache
def pack() -> RulePack:
    """The pack that the edited files make."""
    return draft_pack(rules_folder(), EDITION)


@cache
def channels() -> TwoChannels:
    """Its two channels."""
    return TwoChannels(pack(), Kept())


def judged(**described: Json) -> Evaluation:
    """What the pack says of a description, its work filled in."""
    return evaluate(read({"work": WORK, **described}), pack(), channels().acts, channels().memory)


def line_of(size_mm2: float) -> Json:
    """A supply with a copper line conductor of that size and an earthing conductor above ground."""
    return {"line_conductor": {"size": size_mm2, "material": "copper"}, "earthing_conductor": {"buried": "no"}}


def bathroom(*, rcd: str, protected: str = "yes", cpc: float = 1.5, **bond: Json) -> RoomAnswer:
    """The answer for a bathroom with two circuits and copper from the ground, which a sound bond joins to the terminal."""
    sound = {
        "connected_to": "main_earthing_terminal",
        "size": 10,
        "material": "copper",
        "length_m": 8,
        "continuity": "0.02 ohm",
        "continuity_parted": "yes",
        "joint": "sound",
        "on": "entering_pipe",
    }
    circuit = {
        "device": {"type": "B", "rated_a": 6},
        "rcd": rcd,
        "rcd_tested": "yes",
        "disconnection_met": "yes",
        "measure": "automatic_disconnection",
        "cpc": cpc,
    }
    water = {
        **COPPER_FROM_THE_GROUND,
        "joined_by": "compression",
        "insulating_section": "none",
        "joined_to": [],
        "meter": {"position": "outside"},
        "protective_conductor": "no",
        "bonds": [{**sound, **bond}],
    }
    room = {
        "id": "bathroom",
        "kind": "bath_or_shower",
        "services": [{"kind": "water", "accessible": "yes"}],
        "items": [],
        "circuits": [circuit, circuit],
        "bonding_protected": protected,
    }
    (answer,) = judged(supply=line_of(10), survey_complete="yes", services=[water], locations=[room]).rooms
    return answer
