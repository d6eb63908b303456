"""Keeps the record of answers, and shows what differs from it: `uv run python -m tests.longer.keep_answers --help`."""

import argparse
import difflib
import subprocess
import sys
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import Any

import orjson
from tests.longer.described import described, drawn, worked
from tests.longer.digests import bundles, held_of, judged, recorded, write
from tests.longer.judging import answered, standing

_NAMED_BY = ("part", "name", "id", "rule", "outcome", "act", "pointer")
"""Keys by which a thing in a list of an answer is told from the others, the first that it has."""


def keep(new_form: bool) -> int:
    """Writes what is new into the record, and takes out what is no longer there; an answer that differs, only as a new form."""
    kept = recorded()
    digests = {entry: digest for pack_id in standing() for entry, digest in judged(pack_id, held_of(pack_id)).items()}
    differing = [entry for entry in digests if entry in kept and kept[entry] != digests[entry]]
    for entry in differing if not new_form else ():
        print(entry.pack_id, entry.name)
    if differing and not new_form:
        print(f"{len(differing)} of {len(digests)} lines differ: nothing was written; --new-form overwrites them")
        return 1
    write(digests)
    added, gone = len(digests.keys() - kept.keys()), len(kept.keys() - digests.keys())
    print(f"{len(digests)} lines: {added} new, {len(differing)} changed; {gone} taken out")
    return 0


def print_differing(pack_ids: Sequence[str], every: int) -> int:
    """Prints the pack and name of each answer that differs from the record, of every so many descriptions; 1 where any does."""
    kept, chosen = recorded(), set([*worked(), *drawn()][::every])
    compared = differing = unrecorded = 0
    for pack_id in pack_ids:
        for bundle in bundles():
            names = [name for name in bundle.descriptions if name in chosen]
            if names and (digest := kept.get(bundle.entry(pack_id))) is None:
                unrecorded += len(names)
            elif names:
                compared += len(names)
                for name in bundle.differing(pack_id, digest or "", names):
                    differing += 1
                    print(pack_id, name, flush=True)
    print(f"{compared} answers compared, {differing} differ; {unrecorded} not in the record")
    return 1 if differing or not compared else 0


def print_beside(name: str, pack_ids: Sequence[str], beside: Path | None) -> int:
    """Prints an answer of this tree, or how it differs from that of another tree, which is asked in its own environment."""
    name, differs = _full_name(name), False
    for pack_id in pack_ids:
        ours = answered(described(name), pack_id)
        if beside is None:
            print(f"== {pack_id} {name}\n{orjson.dumps(orjson.loads(ours), option=orjson.OPT_INDENT_2).decode()}")
            continue
        command = [str(beside / ".venv" / "bin" / "python"), "-m", "tests.longer.judging", pack_id]
        theirs = subprocess.run(command, input=described(name), cwd=beside, check=True, stdout=subprocess.PIPE).stdout
        before, after = (list(_lines(orjson.loads(one))) for one in (theirs, ours))
        found = list(difflib.unified_diff(before, after, str(beside), "here", lineterm="", n=0))
        differs |= ours != theirs
        order = " in the order of keys alone" if ours != theirs and not found else "" if found else " in nothing"
        print(f"== {pack_id} {name}: differs{order}", *found, sep="\n")
    return 1 if differs else 0


def _full_name(name: str) -> str:
    names = [*worked(), *drawn()]
    found = [name] if name in names else [one for one in names if name in one]
    if len(found) != 1:
        sys.exit(f"{len(found)} descriptions have {name!r} in their name: {', '.join(found[:5])}")
    return found[0]


def _lines(value: Any, path: str = "") -> Iterator[str]:
    """A line for each single value in an answer: where it stands, and what it is."""
    match value:
        case dict() if value:
            for key, inner in value.items():
                yield from _lines(inner, f"{path}/{key}")
        case list() if value:
            for index, inner in enumerate(value):
                keys = [key for key in _NAMED_BY if isinstance(inner, dict) and isinstance(inner.get(key), str)]
                yield from _lines(inner, f"{path}/{inner[keys[0]] if keys else index}")
        case _:
            yield f"{path} = {orjson.dumps(value).decode()}"


def _arguments() -> argparse.Namespace:
    parser = argparse.ArgumentParser(
        prog="python -m tests.longer.keep_answers",
        description="Without arguments, writes answers that are not in the record yet, and takes out lines about what is no longer there.",
    )
    parser.add_argument("--new-form", action="store_true", help="overwrite what differs: answers have a new form on purpose")
    parser.add_argument("--differing", action="store_true", help="only print the packs and names whose answer differs from the record")
    parser.add_argument("--show", metavar="NAME", help="only print the answer to one description; part of its name will do")
    parser.add_argument("--beside", metavar="CLONE", type=Path, help="with --show: how the answer differs from that of another tree")
    parser.add_argument("--packs", metavar="A,B", default=",".join(standing()), help="with --differing or --show: by these packs alone")
    parser.add_argument("--some", metavar="N", type=int, default=1, help="with --differing: every so many descriptions only, as 10")
    return parser.parse_args()


def main() -> int:
    """What the command ends with: 0; 1 where answers differ."""
    asked = _arguments()
    pack_ids = asked.packs.split(",")
    if unknown := [one for one in pack_ids if one not in standing()]:
        sys.exit(f"no such pack, or withdrawn: {', '.join(unknown)}; there are {', '.join(standing())}")
    if asked.show:
        return print_beside(asked.show, pack_ids, asked.beside)
    return print_differing(pack_ids, max(asked.some, 1)) if asked.differing else keep(asked.new_form)


if __name__ == "__main__":
    sys.exit(main())
