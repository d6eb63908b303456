"""The tables of an answer as they are filled: what comes again, as the same object or as its like, gets the place of the first."""

from collections.abc import Callable, Mapping, Sequence
from typing import Any, TypeAlias

import orjson
from msgspec import Struct

from bondwright.compose.answer import Question, SizeVerdict, Verdict
from bondwright.compose.written.codes import of_level, of_question, of_rule
from bondwright.conclude.reasons import Reason
from bondwright.said import Said

_FrameKey: TypeAlias = tuple[str, str, str, str, bool, str, int, int, int]

LATELY = 8000
"""So many objects are known again by `id`; one that came long before is found by its content. A table of all is slow to look into."""


class Tables:
    """Gives the place of whatever stands in a table, and puts it there: for one answer, kept meanwhile, for objects are known by `id`."""

    def __init__(self) -> None:
        self._seen: dict[int, int] = {}
        self._lists: dict[int, list[int]] = {}
        self._asking: dict[int, bytes] = {}
        self._frames: dict[_FrameKey, _Frame] = {}
        self._frames_by_content: dict[bytes, _Frame] = {}
        self._asks: dict[tuple[str, str], _Ask] = {}
        self._made_of: dict[int, list[str | int]] = {}
        self._verdicts, self._questions = list[orjson.Fragment](), list[orjson.Fragment]()
        self._sizes, self._reasons, self._sentences = _Table(), _Table(), _Table()

    def filled(self) -> dict[str, list[Any]]:
        """Each table, by its name."""
        return {
            "verdicts": self._verdicts,
            "sizes": self._sizes.rows,
            "reasons": self._reasons.rows,
            "questions": self._questions,
            "sentences": self._sentences.rows,
        }

    def place(self, table: str, one: Any) -> int:
        """The place of something in the table of that name."""
        place = self._seen.get(id(one))
        if place is None:
            place = self._seen[id(one)] = _PUTS[table](self, one)
        return place

    def places(self, table: str, several: Sequence[Any]) -> list[int]:
        """The same of each of several."""
        put = _PUTS[table]
        if table == "verdicts":  # Nearly each is an object of its own, which nobody has seen before.
            return [put(self, one) for one in several]
        seen, places = self._seen, list[int]()
        for one in several:
            place = seen.get(id(one))
            if place is None:
                place = seen[id(one)] = put(self, one)
            places.append(place)
        if len(seen) > LATELY:
            seen.clear()
            self._asking.clear()
        return places

    def _shared(self, table: str, several: Sequence[Any]) -> list[int]:
        """The same of what many rows have as the same object."""
        places = self._lists.get(id(several))
        if places is None:
            places = self._lists[id(several)] = self.places(table, several)
        return places

    def _asked(self, questions: tuple[Question, ...]) -> bytes:
        """The member of a row that says which questions it asks."""
        if not questions:
            return b""
        written = self._asking.get(id(questions))
        if written is None:
            written = self._asking[id(questions)] = b',"questions":' + orjson.dumps(self.places("questions", questions))
        return written

    def _verdict(self, one: Verdict) -> int:
        asked = self._asked(one.questions)
        key = (
            one.outcome,
            one.act_on,
            one.worst_case,
            one.lowest_possible,
            one.firm,
            one.weakest_source,
            id(one.words),
            id(one.could_relax),
            id(one.because),
        )
        frame = self._frames.get(key) or self._framed(key, one)
        silent = b""
        if one.did_not_act:
            silent = b',"did_not_act":' + orjson.dumps([{"rule": each.rule, "waiting_for": each.waiting_for} for each in one.did_not_act])
        rows, own = self._verdicts, asked + silent
        place = frame.places.setdefault(own, len(rows))
        if place == len(rows):
            rows.append(orjson.Fragment(b"".join((frame.before, asked, frame.between, silent, frame.behind))))
        return place

    def _framed(self, key: _FrameKey, one: Verdict) -> "_Frame":
        """The frame of all verdicts that have the key."""
        outcome, act_on, worst_case, words = one.outcome, one.act_on, one.worst_case, one.words
        row: dict[str, Any] = {"outcome": outcome, "act_on": act_on}
        if worst_case != act_on:
            row["worst_case"] = worst_case
        if one.lowest_possible != worst_case:
            row["lowest_possible"] = one.lowest_possible
        row["words"] = words
        if (code := _code(words)) != of_level(outcome, act_on):
            row["code"] = code
        row["firm"] = one.firm
        if one.could_relax:
            row["could_relax"] = self._shared("questions", one.could_relax)
        row["because"] = self._shared("reasons", one.because)
        row["weakest_source"] = one.weakest_source
        content = orjson.dumps(row)
        # In a text each quote stands behind a backslash, so these are found where they are members.
        asking, silent = content.index(b',"could_relax":' if one.could_relax else b',"because":'), content.index(b',"weakest_source":')
        frame = self._frames_by_content.get(content) or _Frame(content[:asking], content[asking:silent], content[silent:], {})
        self._frames[key] = self._frames_by_content[content] = frame
        return frame

    def _size(self, one: SizeVerdict) -> int:
        row: dict[str, Any] = {"outcome": one.outcome, "unit": one.unit, "lowest": one.lowest, "highest": one.highest}
        if one.provisional is not None:
            row["provisional"] = one.provisional
        row["firm"] = one.firm
        if one.questions:
            row["questions"] = self._shared("questions", one.questions)
        row["because"] = self._shared("reasons", one.because)
        row["weakest_source"] = one.weakest_source
        return self._sizes.put(orjson.dumps(row))

    def _reason(self, one: Reason) -> int:
        rule, says = one.rule, one.says
        rows = self._reasons.rows
        place = self._reasons.places.setdefault((rule, says), len(rows))
        if place == len(rows):
            row: dict[str, Any] = {"rule": rule, "clause": one.clause, "says": says}
            if (code := _code(says)) != of_rule(rule):
                row["code"] = code
            if one.other_view is not None:
                row["disputed"] = True
            rows.append(row)
        return place

    def _question(self, one: Question) -> int:
        fact, ask, pointer = one.fact, one.ask, one.pointer
        asked = self._asks.get((fact, ask)) or self._ask(fact, ask)
        rows = self._questions
        place = asked.places.setdefault(pointer, len(rows))
        if place == len(rows):
            rows.append(orjson.Fragment(asked.before + (b"}" if pointer is None else b',"pointer":' + orjson.dumps(pointer) + b"}")))
        return place

    def _ask(self, fact: str, ask: str) -> "_Ask":
        row: dict[str, Any] = {"fact": fact, "ask": ask}
        if (code := _code(ask)) != of_question(fact):
            row["code"] = code
        asked = self._asks[fact, ask] = _Ask(orjson.dumps(row)[:-1], {})
        return asked

    def _sentence(self, words: str) -> int:
        code = ""
        if isinstance(words, Said):
            if not words.code:
                return self._sentences.put(orjson.dumps({"made_of": self._parts(words), "words": words}))
            if words.slots:
                slots = {name: self._slot(said) if isinstance(said, Said) else said for name, said in words.slots.items()}
                return self._sentences.put(orjson.dumps({"code": words.code, "slots": slots, "words": words}))
            code = words.code
        rows = self._sentences.rows
        place = self._sentences.places.setdefault((code, words), len(rows))
        if place == len(rows):
            rows.append({"code": code, "words": words} if code else {"words": words})
        return place

    def _slot(self, said: Said) -> int | list[str | int]:
        return self.place("sentences", said) if said.code else self._parts(said)

    def _parts(self, said: Said) -> list[str | int]:
        """What it is made of, one after the other."""
        found = self._made_of.get(id(said))
        if found is not None:
            return found
        found = self._made_of[id(said)] = []
        for part in said.made_of:
            slot = self._slot(part) if isinstance(part, Said) else part
            if isinstance(slot, list):
                found += slot
            else:
                found.append(slot)
        return found


_PUTS: Mapping[str, Callable[[Tables, Any], int]] = {
    "verdicts": Tables._verdict,
    "sizes": Tables._size,
    "reasons": Tables._reason,
    "questions": Tables._question,
    "sentences": Tables._sentence,
}
"""What puts something into each table, unless it is there, and gives its place."""


class _Frame(Struct, frozen=True):
    """What stands in a row of a verdict before its questions, between them and what is silent, and behind that; where each row of it is."""

    before: bytes
    between: bytes
    behind: bytes
    places: dict[bytes, int]


class _Ask(Struct, frozen=True):
    """What stands in a row of a question before its pointer, and where each row of it is, by its pointer."""

    before: bytes
    places: dict[str | None, int]


class _Table:
    """Rows, and where each is by what makes it that row."""

    __slots__ = ("places", "rows")

    def __init__(self) -> None:
        self.places: dict[Any, int] = {}
        self.rows: list[Any] = []

    def put(self, content: bytes) -> int:
        """The place of a row, put there unless its very bytes are."""
        rows = self.rows
        place = self.places.setdefault(content, len(rows))
        if place == len(rows):
            rows.append(orjson.Fragment(content))
        return place


def _code(words: str) -> str:
    return words.code if isinstance(words, Said) else ""
