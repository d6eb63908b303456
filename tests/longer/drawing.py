"""How the descriptions of `descriptions.jsonl.gz` were drawn. They are frozen: drawing again, only where they are to be others.

A third comes from the strategies of the property tests. The others are worked cases, alone or several joined into one installation, in
which facts are withheld, values exchanged for others that stand under the same key somewhere, readings and bonds added. Of a larger pool
those come first whose answers say something that no answer said before. `uv run python -m tests.longer.drawing FILE` draws them into a new
file.
"""

import copy
import gzip
import random
import re
import sys
from collections import defaultdict
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import orjson
from hypothesis import HealthCheck, Phase, given, seed, settings
from tests.described import schema_of
from tests.longer.described import worked
from tests.longer.judging import answered, standing
from tests.properties.descriptions import Said, installations
from tests.properties.withholding import stated, ways, without

from bondwright.installation.description import Installation

SEED = 20261129
HOW_MANY, CONTRADICTIONS, FROM_STRATEGIES = 2000, 200, 650
"""How many are kept; how many of them at most contradict themselves, and how many come from the strategies."""
POOL = 9000
_LISTS = ("services", "detailed_services", "items", "locations")
_FIGURES = re.compile(rb"\d+(\.\d+)?")


def from_strategies(how_many: int) -> list[Said]:
    """Descriptions as the property tests draw them."""
    found: list[Said] = []

    @seed(SEED)
    @settings(max_examples=how_many, database=None, deadline=None, phases=[Phase.generate], suppress_health_check=list(HealthCheck))
    @given(installations(rooms=2, detailed=2))
    def draw(said: Said) -> None:
        found.append(copy.deepcopy(said))

    draw()
    return found


def values_by_key(some: list[Said]) -> dict[str, list[Any]]:
    """What stands under each key in some descriptions, and every word that the schema knows there."""
    found: dict[str, dict[bytes, Any]] = defaultdict(dict)

    def note(key: str, value: Any) -> None:
        found[key][orjson.dumps(value)] = value

    def walk(value: Any) -> None:
        for key, inner in value.items() if isinstance(value, dict) else ():
            if not isinstance(inner, dict | list) or key in ("bonds", "measurements", "joined_to", "insulating_section", "feeder"):
                note(key, inner)
            walk(inner)
        for inner in value if isinstance(value, list) else ():
            walk(inner)

    for said in some:
        walk(said)
    for model in schema_of(Installation)["$defs"].values():
        members = model.get("properties", {})
        for key, said_of_it in (*members.items(), *members.get("told", {}).get("properties", {}).items()):
            for word in _words(said_of_it) if key != "told" else ():
                note(key, word)
    return {key: [values[one] for one in sorted(values)] for key, values in sorted(found.items())}


def _words(schema: Any) -> Iterator[Any]:
    if isinstance(schema, dict):
        yield from schema.get("enum", [])
        yield from [schema["const"]] if "const" in schema else []
    for inner in schema.values() if isinstance(schema, dict) else schema if isinstance(schema, list) else ():
        yield from _words(inner)


class Changing:
    """Changes worked cases; the same generator gives the same changes."""

    def __init__(self, some: list[Said], values: dict[str, list[Any]], generator: random.Random) -> None:
        self._some, self._values, self._random = some, values, generator

    def drawn(self) -> Said:
        """One installation, out of one to three worked cases."""
        several = self._random.choice((1, 1, 1, 2, 2, 3))
        said = self._joined([copy.deepcopy(self._random.choice(self._some)) for _ in range(several)])
        for _ in range(self._random.choice((1, 1, 2, 2, 3, 6))):
            self._random.choice((self._exchange, self._exchange, self._exchange, self._add))(said)
        places = list(stated(said))
        withheld = self._random.sample(places, min(len(places), self._random.choice((0, 0, 1, 2, 4, 12))))
        said = without(said, {place: self._random.choice(ways(place)) for place in withheld})
        return said if self._random.random() < 0.98 else {**said, "rule_pack": self._random.choice(standing())}

    def _joined(self, some: list[Said]) -> Said:
        """The first with the things of the others; names that stand twice are mostly changed."""
        first, *others = some
        for number, other in enumerate(others, start=2):
            if self._random.random() < 0.9:
                for things in _LISTS:
                    for thing in other.get(things) or ():
                        if isinstance(thing, dict) and "id" in thing:
                            thing["id"] = f"{thing['id']}-{number}"
            for things in _LISTS:
                if isinstance(other.get(things), list) and isinstance(first.get(things, []), list):
                    first[things] = first.get(things, []) + other[things]
            if "feeder" in other.get("supply", {}) and isinstance(first.get("supply"), dict):
                first["supply"].setdefault("feeder", other["supply"]["feeder"])
        return first

    def _exchange(self, said: Said) -> None:
        holders = [
            (holder, key) for holder in _objects(said) for key in holder if len(self._values.get(key, ())) > 1 and key != "reference"
        ]
        holder, key = self._random.choice(holders)
        holder[key] = copy.deepcopy(self._random.choice(self._values[key]))

    def _add(self, said: Said) -> None:
        """A bond or a reading, or a fact that was not stated, on something that may have it."""
        things = [thing for name in _LISTS[:3] for thing in said.get(name) or () if isinstance(thing, dict)]
        things += [length for thing in things for length in thing.get("sections", ()) if isinstance(length, dict)]
        things = [thing for thing in things if "sections" not in thing]
        if not things:
            return
        thing, key = self._random.choice(things), self._random.choice(("bonds", "measurements", "measurements"))
        lists = [one for one in self._values[key] if isinstance(one, list) and one]
        more = copy.deepcopy(self._random.choice(self._random.choice(lists)))
        more.pop("on", None)
        if "enters_as" in thing or "inside" in thing:
            more["on"] = self._random.choice(("entering_pipe", "inside_pipe", "beyond_hidden"))
        held = thing.get(key)
        thing[key] = [*held, more] if isinstance(held, list) else [more]


def _objects(value: Any) -> Iterator[dict[str, Any]]:
    if isinstance(value, dict):
        yield value
    for inner in value.values() if isinstance(value, dict) else value if isinstance(value, list) else ():
        yield from _objects(inner)


def said_in(answer: bytes) -> set[bytes]:
    """What an answer says, figures and names aside: each word or sentence under its key, in pairs within one thing."""
    found = set()
    for thing in _objects(orjson.loads(answer)):
        words = [orjson.dumps([key, value]) for key, value in thing.items() if key not in _OWN and not isinstance(value, dict | list)]
        plain = [_FIGURES.sub(b"0", word)[:90] for word in words]
        found |= {*plain, *(one + other for one in plain[:8] for other in plain[:8] if one < other)}
    return found


_OWN = frozenset({"part", "name", "id", "pointer", "reference", "line", "digest", "title", "room"})


def chosen(pool: list[bytes], how_many: int, contradictions: int) -> list[bytes]:
    """Those first whose answers say something new, then others in the order of the pool; the answers of the newest pack and the last."""
    said: set[bytes] = set()
    new: list[tuple[int, bytes]] = []
    others: list[tuple[int, bytes]] = []
    left = contradictions
    for one in pool:
        answers = [answered(one, pack_id) for pack_id in (standing()[0], standing()[-1])]
        kind = orjson.loads(answers[0]).get("error", "")
        if kind == "NotTheSchema":
            continue
        saying = set().union(*map(said_in, answers))
        if kind:
            left -= 1
            if left < 0:
                continue
        (new if saying - said else others).append((len(saying - said), one))
        said |= saying
    first = sorted(new, key=lambda pair: -pair[0])[:how_many]
    print(f"{len(pool)} drawn, {len(new)} say something new, {contradictions - left} contradict themselves")
    return [one for _, one in (*first, *others)][:how_many]


def main(file: Path) -> None:
    """Draws into a file that is not there yet."""
    strategies = from_strategies(FROM_STRATEGIES * 3)
    cases = [orjson.loads(one) for one in dict.fromkeys(worked().values())]
    changing = Changing(cases, values_by_key([*cases, *strategies]), random.Random(SEED))
    changed = [changing.drawn() for _ in range(POOL)]
    random.Random(SEED).shuffle(strategies)
    pools = [list(dict.fromkeys(orjson.dumps(one, option=orjson.OPT_SORT_KEYS) for one in pool)) for pool in (strategies, changed)]
    some = chosen(pools[0], FROM_STRATEGIES, CONTRADICTIONS // 3)
    some += chosen(pools[1], HOW_MANY - len(some), CONTRADICTIONS - CONTRADICTIONS // 3)
    with file.open("xb") as opened:
        opened.write(gzip.compress(b"\n".join(sorted(some)) + b"\n", 9, mtime=0))


if __name__ == "__main__":
    main(Path(sys.argv[1]))
