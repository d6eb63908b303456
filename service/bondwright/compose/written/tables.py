"""The tables of an answer as they are filled: what comes again, as the same object or as its like, gets the place of the first."""

from collections.abc import Callable, Sequence
from typing import Any, TypeAlias, TypeVar

import orjson

from bondwright.compose.answer import Question, SizeVerdict, Verdict
from bondwright.compose.written.codes import of_level, of_question, of_rule
from bondwright.conclude.reasons import Reason
from bondwright.said import Said

_T = TypeVar("_T")
_FrameKey: TypeAlias = tuple[str, str, str, str, bool, str, int, int, int]


class Tables:
    """Gives the place of whatever stands in a table, and puts it there: for one answer, kept meanwhile, for objects are known by `id`."""

    def __init__(self) -> None:
        self._seen: dict[int, int] = {}
        self._lists: dict[int, list[int]] = {}
        self._asking: dict[int, bytes] = {}
        self._frames: dict[_FrameKey, tuple[bytes, bytes, bytes]] = {}
        self._made_of: dict[int, list[str | int]] = {}
        self._verdicts, self._sizes, self._reasons, self._questions, self._sentences = _Table(), _Table(), _Table(), _Table(), _Table()

    def filled(self) -> dict[str, list[Any]]:
        """Each table, by its name."""
        return {
            "verdicts": self._verdicts.rows,
            "sizes": self._sizes.rows,
            "reasons": self._reasons.rows,
            "questions": self._questions.rows,
            "sentences": self._sentences.rows,
        }

    def verdict(self, verdict: Verdict) -> int:
        """The place of a verdict."""
        return self._once(verdict, self._verdict)

    def size(self, size: SizeVerdict) -> int:
        """The place of a size."""
        return self._once(size, self._size)

    def sentence(self, words: str) -> int:
        """The place of a sentence."""
        return self._once(words, self._sentence)

    def question(self, question: Question) -> int:
        """The place of a question."""
        return self._once(question, self._question)

    def _once(self, one: _T, put: Callable[[_T], int]) -> int:
        place = self._seen.get(id(one))
        if place is None:
            place = self._seen[id(one)] = put(one)
        return place

    def _each(self, several: Sequence[_T], put: Callable[[_T], int]) -> list[int]:
        places = self._lists.get(id(several))
        if places is None:
            seen, places = self._seen, []
            for one in several:
                place = seen.get(id(one))
                if place is None:
                    place = seen[id(one)] = put(one)
                places.append(place)
            self._lists[id(several)] = places
        return places

    def _asked(self, questions: tuple[Question, ...]) -> bytes:
        """The member of a row that says which questions it asks."""
        if not questions:
            return b""
        written = self._asking.get(id(questions))
        if written is None:
            places = list(map(self._seen.get, map(id, questions)))
            if None in places:
                places = [self.question(one) for one in questions]
            written = self._asking[id(questions)] = b',"questions":' + orjson.dumps(places)
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
        before, between, behind = self._frames.get(key) or self._framed(key, one)
        if one.did_not_act:
            silent = [{"rule": silent.rule, "waiting_for": silent.waiting_for} for silent in one.did_not_act]
            between += b',"did_not_act":' + orjson.dumps(silent)
        return self._verdicts.put(before + asked + between + behind)

    def _framed(self, key: _FrameKey, one: Verdict) -> tuple[bytes, bytes, bytes]:
        """What stands in a row before its questions, between them and what is silent, and behind that; made once for all of the key."""
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
            row["could_relax"] = self._each(one.could_relax, self._question)
        row["because"] = self._each(one.because, self._reason)
        row["weakest_source"] = one.weakest_source
        content = orjson.dumps(row)
        # In a text each quote stands behind a backslash, so these are found where they are members.
        asking, silent = content.index(b',"could_relax":' if one.could_relax else b',"because":'), content.index(b',"weakest_source":')
        frame = self._frames[key] = content[:asking], content[asking:silent], content[silent:]
        return frame

    def _size(self, one: SizeVerdict) -> int:
        row: dict[str, Any] = {"outcome": one.outcome, "unit": one.unit, "lowest": one.lowest, "highest": one.highest}
        if one.provisional is not None:
            row["provisional"] = one.provisional
        row["firm"] = one.firm
        if one.questions:
            row["questions"] = self._each(one.questions, self._question)
        row["because"] = self._each(one.because, self._reason)
        row["weakest_source"] = one.weakest_source
        return self._sizes.written(row)

    def _reason(self, one: Reason) -> int:
        rule, says = one.rule, one.says
        place = self._reasons.place_of((rule, says))
        if place < len(self._reasons.rows):
            return place
        row: dict[str, Any] = {"rule": rule, "clause": one.clause, "says": says}
        if (code := _code(says)) != of_rule(rule):
            row["code"] = code
        if one.other_view is not None:
            row["disputed"] = True
        self._reasons.rows.append(row)
        return place

    def _question(self, one: Question) -> int:
        fact, ask, pointer = one.fact, one.ask, one.pointer
        place = self._questions.place_of((fact, ask, pointer))
        if place < len(self._questions.rows):
            return place
        row: dict[str, Any] = {"fact": fact, "ask": ask}
        if (code := _code(ask)) != of_question(fact):
            row["code"] = code
        if pointer is not None:
            row["pointer"] = pointer
        self._questions.rows.append(row)
        return place

    def _sentence(self, words: str) -> int:
        code = _code(words)
        if not isinstance(words, Said) or (code and not words.slots):
            place = self._sentences.place_of((code, words))
            if place == len(self._sentences.rows):
                self._sentences.rows.append({"code": code, "words": words} if code else {"words": words})
            return place
        if code:
            slots = {name: self._slot(said) for name, said in words.slots.items()}
            return self._sentences.written({"code": code, "slots": slots, "words": words})
        return self._sentences.written({"made_of": self._parts(words), "words": words})

    def _slot(self, said: str) -> str | int | list[str | int]:
        if not isinstance(said, Said):
            return said
        return self.sentence(said) if said.code else self._parts(said)

    def _parts(self, said: Said) -> list[str | int]:
        """What it is made of, one after the other."""
        found = self._made_of.get(id(said))
        if found is not None:
            return found
        found = self._made_of[id(said)] = []
        for part in said.made_of:
            slot = self._slot(part)
            if isinstance(slot, list):
                found += slot
            else:
                found.append(slot)
        return found


class _Table:
    """Rows, and where each is by what makes it that row."""

    __slots__ = ("_places", "rows")

    def __init__(self) -> None:
        self._places: dict[Any, int] = {}
        self.rows: list[Any] = []

    def place_of(self, key: Any) -> int:
        """The place of a row, or the one that it takes when it is put there next."""
        return self._places.setdefault(key, len(self.rows))

    def written(self, row: dict[str, Any]) -> int:
        """The place of a row, put there unless its very bytes are."""
        return self.put(orjson.dumps(row))

    def put(self, content: bytes) -> int:
        """The same of a row as its bytes."""
        rows = self.rows
        place = self._places.setdefault(content, len(rows))
        if place == len(rows):
            rows.append(orjson.Fragment(content))
        return place


def _code(words: str) -> str:
    return words.code if isinstance(words, Said) else ""
