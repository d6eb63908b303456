"""The small pack as one text, mended where the checks find it wanting, with changes to plant a fault."""

from tests.rules.mini import FILES

from bondwright.rulebook.pack import RulePack
from bondwright.shelf.packs import load_pack

_MENDED = (
    ("sizes: {earth_resistance: {quotient: [{value: touch_voltage}, {fact: device_current}]}}\n    when: {generator: no}",
     "sizes: {earth_resistance: {quotient: [{value: touch_voltage}, {fact: device_current}]}}\n    when: {all: []}"),
    ("{worst_case: 25, provisional: none, firm: no}", "{worst_case: 25, provisional: 10, firm: no}"),
    ("when: {any: [{reading: {below: reference}}, {surroundings: soil}]}", "when: {reference: {above: 500 ohm}}"),
    ("{metal: yes, ground: yes, reading: 22 kohm, surroundings: free_air}",
     "{metal: yes, ground: yes, reading: 22 kohm, reference: 500 ohm, surroundings: free_air}"),
)  # fmt: skip
"""What the checks found in the small pack: a resistance not always given, an example that errs, a rule that changes nothing."""


def small_pack(*changes: tuple[str, str]) -> RulePack:
    """The small pack, each text of `changes` that stands in it once put in place of the other."""
    text = "".join(FILES.values())
    for was, now in (*_MENDED, *changes):
        assert text.count(was) == 1, f"{text.count(was)} of {was!r}"
        text = text.replace(was, now)
    return load_pack(text.encode(), "small.yaml")
