"""An outline beside the answer that it is made of, read as plain JSON: what it leaves out, and where it says less than the answer."""

from collections.abc import Iterator
from typing import Any, TypeAlias

Json: TypeAlias = dict[str, Any]

DONE_BY = {
    "do": {"put_right", "connect", "protect", "protect_and_look", "protect_and_connect"},
    "leave": {"leave", "keep", "put_right_if_kept"},
    "do_not_connect": {"do_not_connect"},
    "measure_first": {"look", "measure"},
    "settle_first": {"ask"},
    "stop": {"stop"},
    "remove": {"remove"},
    "not_judged": {"not_judged"},
}
"""By mark, what carries it out; read from the sentences of the acts as a competent person would follow them, not from the rule files."""
CLEARING, CONNECTING = DONE_BY["leave"], {"connect", "protect_and_connect"}
_KEPT_APART = ("no_added_bond", "ask_position", "ask_first", "owner_refused", "no_new_connection", "must_not_be_connected")
_ABOUT = (("parts", "part", "part"), ("rooms", "location", "location"), ("earthings", "earthing", "earthing"))


def left_out(answer: Json, outline: Json) -> list[str]:
    """Every part, location, act, bond, question and thing that is not judged of the answer, that its outline does not name."""
    acts = {(one["of"], one["id"], one["act"], one["pointer"]) for one in outline["acts"]}
    bonds = {(one["id"], bond["bond"], bond["pointer"], bond["counts"]) for one in outline["acts"] for bond in one["bonds"]}
    told = {(one["fact"], one["pointer"]) for one in outline["questions"]}
    gaps = {(one["of"], one["kind"], one["pointer"]) for one in outline["not_judged"]}
    return [
        *(f"act {one}" for one in _acts(answer) if one not in acts),
        *(f"bond {one}" for one in _bonds(answer) if one not in bonds),
        *(f"question {one}" for one in _questions(answer) if one not in told),
        *(f"gap {one}" for one in _gaps(answer) if one not in gaps),
    ]


def milder(answer: Json, outline: Json) -> list[str]:
    """Where the outline says something milder than the answer, or is surer of it."""
    said = {(one["of"], one["id"]): one for one in outline["acts"]}
    found = []
    for member, name, of in _ABOUT:
        for one in answer.get(member, ()):
            told = said[of, one[name]]
            found += [f"{one[name]}: {fault}" for fault in (*_any_milder(one, told), *(_part_milder(one, told) if of == "part" else ()))]
    if answer.get("feeder"):
        found += [
            f"feeder: {fault}"
            for fault in _any_milder(answer["feeder"] | {"verdicts": [answer["feeder"]["verdict"]]}, said["feeder", "feeder"])
        ]
    sizes = {one["outcome"]: one for one in outline["sizes"]}
    for size in (answer["main_bond_size"], answer["earthing_conductor_size"]):
        found += _size_milder(size, sizes[size["outcome"]])
    return found


def _any_milder(one: Json, told: Json) -> Iterator[str]:
    if told["instruction"] not in DONE_BY[one["mark"]]:
        yield f"{told['instruction']} for {one['mark']}"
    code = (one.get("observation") or {}).get("code")
    if "observation" in one and told["code"] != code:
        yield f"code {told['code']} for {code}"
    if told["firm"] and one["mark"] in ("measure_first", "not_judged"):
        yield f"firm, though {one['mark']}"
    sizes = {size["outcome"]: size for size in told["sizes"]}
    for link in one.get("links", ()):
        yield from _size_milder(link["least_size"], sizes.get(link["least_size"]["outcome"], {}))
    if told["firm"] and told["of"] != "part" and not all(verdict["firm"] for verdict in one["verdicts"]):
        yield "firm, though a verdict is not"
    if told["of"] == "location" and told["instruction"] in CLEARING and _worst(one["verdicts"][0]) == "required":
        effective = [verdict for verdict in one["findings"] if _worst(verdict) == "shown" and verdict["firm"]]
        yield from () if effective else (f"{told['instruction']}, though supplementary bonding is called for",)


def _part_milder(part: Json, told: Json) -> Iterator[str]:
    by_outcome = {verdict["outcome"]: verdict for verdict in part["verdicts"]}
    if part["mark"] == "not_judged" and part["act"] == "not_judged":
        return
    duty, objection = by_outcome["main_bonding"], by_outcome["objection"]
    connected = any(bond["counts"] == "counts" for bond in part["bonds"])
    if told["firm"] and not (duty["firm"] and objection["firm"]):
        yield "firm, though duty or objection is not"
    excused = duty["act_on"] == "covered" or part["covered_by"] or _worst(objection) in _KEPT_APART
    if told["instruction"] in CLEARING and _worst(duty) == "required" and not (connected or excused):
        yield f"{told['instruction']}, though main bonding is called for"
    if told["instruction"] in CONNECTING and (duty["act_on"], _worst(objection)) != ("required", "no_objection"):
        yield f"{told['instruction']}, though {duty['act_on']} and {objection['worst_case']}"
    if told["instruction"] == "remove" and not (duty["firm"] and objection["firm"] and _worst(objection) == "must_not_be_connected"):
        yield "remove, though something is in doubt"
    if objection["firm"] and _worst(objection) == "must_not_be_connected" and told["instruction"] in (*CONNECTING, "put_right", "keep"):
        yield f"{told['instruction']}, though it must not be connected"
    if part["test_to_make"] and told["test"] != part["test_to_make"]["act_on"]:
        yield f"test {told['test']} for {part['test_to_make']['act_on']}"


def _worst(verdict: Json) -> str:
    """The worst case; form 1 has it in `act_on`."""
    return str(verdict.get("worst_case", verdict["act_on"]))


def _size_milder(size: Json, told: Json) -> Iterator[str]:
    if any(size[name] != told.get(name, ()) for name in ("unit", "lowest", "highest", "provisional", "firm")):
        yield f"{size['outcome']}: {told} for {size}"


def _acts(answer: Json) -> Iterator[tuple[str, str, str, str]]:
    for member, name, of in _ABOUT:
        yield from ((of, one[name], one["act"], one["pointer"]) for one in answer.get(member, ()))
    if feeder := answer.get("feeder"):
        yield "feeder", "feeder", feeder["act"], feeder["pointer"]


def _bonds(answer: Json) -> Iterator[tuple[str, str, str, str]]:
    for part in answer["parts"]:
        yield from ((part["part"], bond["bond"], bond["pointer"], bond["counts"]) for bond in part["bonds"])


def _gaps(answer: Json) -> Iterator[tuple[str, str, str]]:
    yield from ((one["of"], one["kind"], one["pointer"]) for one in answer.get("not_judged", ()))


def _questions(value: Any) -> Iterator[tuple[str, str | None]]:
    """Whatever has the members of a question, wherever it stands."""
    if isinstance(value, dict):
        if {"fact", "ask", "pointer"} <= value.keys():
            yield value["fact"], value["pointer"]
        value = list(value.values())
    for one in value if isinstance(value, list) else ():
        yield from _questions(one)
