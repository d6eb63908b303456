"""Reading a worked case: strictly, so that nothing stands in it that is not compared. The first mistake is refused with its place."""

import copy
import re
from collections.abc import Iterator, Mapping
from difflib import get_close_matches

from bondwright.cases.case import Case, Claim, Expectation, Json
from bondwright.cases.keys import ALONE, KEYS, NAMED
from bondwright.cases.positions import position
from bondwright.errors import NotJson, UnreadableRules
from bondwright.installation.documents import pointer, strict_json

_KEYS = ("claim", "rests_on", "installation", "expect", "near_miss")
_FURTHER = "further"
_NEAR = ("claim", "change", "expect")
_PLACE = re.compile(r"line (\d+), column (\d+): (.*)", re.DOTALL)


def read_case(text: bytes, file: str) -> Case:
    """The worked case that a file holds; `file` is its name within the rules folder. Raises: UnreadableRules."""
    return _Reader(text, file).case()


def changed(document: Json, change: Mapping[str, Json]) -> Json:
    """A copy of `document` with the value at each JSON Pointer replaced, or removed where the new one is `null`.

    Raises: LookupError, ValueError, TypeError, where a pointer leads nowhere.
    """
    result = copy.deepcopy(document)
    for path, value in change.items():
        *steps, last = [step.replace("~1", "/").replace("~0", "~") for step in path.split("/")[1:]]
        holder = result
        for step in steps:
            holder = holder[_key(holder, step)]
        if value is None:
            del holder[_key(holder, last)]
        else:
            holder[_key(holder, last)] = copy.deepcopy(value)
    return result


def nearest(name: str, known: Mapping[str, object] | tuple[str, ...]) -> str:
    """What to put after an unknown name: the nearest known one, or all of them where they are few."""
    near = get_close_matches(name, tuple(known), n=1)
    if near:
        return f"; did you mean `{near[0]}`?"
    return f"; known: {', '.join(f'`{one}`' for one in known)}" if len(known) <= 8 else ""


def _key(holder: Json, step: str) -> str | int:
    return int(step) if isinstance(holder, list) else step


class _Reader:
    """Reads one file."""

    def __init__(self, text: bytes, file: str) -> None:
        self._text, self._file = text, file

    def case(self) -> Case:
        document = self._object(self._document(), (), "a worked case", _KEYS, (_FURTHER,))
        self._object(document["near_miss"], ("near_miss",), "`near_miss`", _NEAR)
        installation = document["installation"]
        if not isinstance(installation, dict):
            raise self._refused(("installation",), "`installation` is an object: the description as it would be sent")
        if "rule_pack" in installation:
            raise self._refused(("installation", "rule_pack"), "a worked case names no pack; the date of its work chooses the edition")
        self._said(document["rests_on"], ("rests_on",))
        return Case(
            file=self._file,
            name=self._file.rpartition("/")[2].removesuffix(".json"),
            rests_on=document["rests_on"],
            claim=Claim(
                self._said(document["claim"], ("claim",)),
                installation,
                "/installation",
                installation,
                tuple(self._expectations(document["expect"], ("expect",))),
            ),
            near_miss=self._near_miss(document["near_miss"], installation, ("near_miss",)),
            further=tuple(self._further(document.get(_FURTHER), installation)),
            text=self._text,
        )

    def _further(self, further: Json, installation: Json) -> Iterator[Claim]:
        if further is None:
            return
        if not isinstance(further, list) or not further:
            raise self._refused((_FURTHER,), f"`{_FURTHER}` is a list of more near misses; name at least one, or leave it out")
        for index, near in enumerate(further):
            yield self._near_miss(near, installation, (_FURTHER, str(index)))

    def _near_miss(self, document: Json, installation: Json, path: tuple[str, ...]) -> Claim:
        near = self._object(document, path, "`near_miss`" if len(path) == 1 else "a further near miss", _NEAR)
        return Claim(
            self._said(near["claim"], (*path, "claim")),
            self._changed(installation, near["change"], (*path, "change")),
            pointer((*path, "change")),
            near["change"],
            tuple(self._expectations(near["expect"], (*path, "expect"))),
        )

    def _document(self) -> Json:
        try:
            return strict_json(self._text)
        except NotJson as error:
            detail = error.faults[0].detail
        found = _PLACE.match(detail)
        line, column, words = (int(found[1]), max(int(found[2]), 1), found[3]) if found else (1, 1, detail)
        raise UnreadableRules(self._file, line, column, words)

    def _refused(self, path: tuple[str, ...], detail: str) -> UnreadableRules:
        return UnreadableRules(self._file, *position(self._text, pointer(path)), detail)

    def _object(
        self, value: Json, path: tuple[str, ...], what: str, known: tuple[str, ...], optional: tuple[str, ...] = ()
    ) -> dict[str, Json]:
        """An object that has all the `known` keys, and no other but the `optional` ones."""
        if not isinstance(value, dict):
            raise self._refused(path, f"{what} is an object with {', '.join(f'`{key}`' for key in known)}")
        for key in value:
            if key not in (*known, *optional):
                raise self._refused((*path, key), f"{what} has no key `{key}`{nearest(key, (*known, *optional))}")
        for key in known:
            if key not in value:
                raise self._refused(path, f"{what} lacks `{key}`")
        return value

    def _said(self, value: Json, path: tuple[str, ...]) -> str:
        if not isinstance(value, str) or not value.strip():
            raise self._refused(path, f"`{path[-1]}` is text that is not empty")
        return value

    def _changed(self, installation: Json, change: Json, path: tuple[str, ...]) -> Json:
        if not isinstance(change, dict) or not change:
            raise self._refused(path, "`change` is an object with what is put at each JSON Pointer into `installation`; name at least one")
        result = installation
        for at, value in change.items():
            before = result
            try:
                result = changed(result, {at: value})
            except (LookupError, ValueError, TypeError):
                raise self._refused((*path, at), f"`{at}` leads nowhere in `installation`") from None
            if result == before:
                raise self._refused((*path, at), "the change changes nothing: that stands there already")
        return result

    def _expectations(self, expect: Json, path: tuple[str, ...]) -> Iterator[Expectation]:
        for subject, wanted in self._filled(expect, path, "subjects").items():
            here = (*path, subject)
            if subject in NAMED:
                for name, one in self._filled(wanted, here, "names").items():
                    yield from self._of(subject, name, one, (*here, name))
            elif subject in ALONE:
                yield from self._of(subject, "", wanted, here)
            else:
                raise self._refused(here, f"`expect` has no key `{subject}`{nearest(subject, (*NAMED, *ALONE))}")

    def _of(self, subject: str, name: str, wanted: Json, path: tuple[str, ...]) -> Iterator[Expectation]:
        if wanted is None and subject in ("parts", "feeder"):
            yield Expectation(subject, name, "", None, pointer(path))
            return
        for key, value in self._filled(wanted, path, "what is expected").items():
            shape, _ = KEYS[subject].get(key, (None, ""))
            if shape and (right := shape(value)):
                raise self._refused((*path, key), f"`{key}` cannot be that; write {right}")
            if not shape and (not isinstance(value, str) or not value):
                # An outcome, if the pack has one of that name: its level is text.
                raise self._refused((*path, key), f"`{key}` is no key with such a value{nearest(key, KEYS[subject])}")
            yield Expectation(subject, name, key, value, pointer((*path, key)))

    def _filled(self, value: Json, path: tuple[str, ...], what: str) -> dict[str, Json]:
        if not isinstance(value, dict):
            raise self._refused(path, f"here stands an object of {what}")
        if not value:
            raise self._refused(path, "this compares nothing; write what is expected, or leave it out")
        return value
