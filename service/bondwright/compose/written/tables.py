"""The tables of an answer as they are filled: what comes again, as the same object or as its like, gets the place of the first."""

from collections.abc import Callable
from typing import Any, TypeVar

import orjson

from bondwright.compose.answer import Question, SizeVerdict, Verdict
from bondwright.compose.written.codes import of_level, of_question, of_rule
from bondwright.conclude.reasons import Reason
from bondwright.said import Said

_T = TypeVar("_T")


class Tables:
    """Gives the place of whatever stands in a table, and puts it there: for one answer, kept meanwhile, for objects are known by `id`."""

    def __init__(self) -> None:
        self._seen: dict[int, int] = {}
        self._alike: dict[str, dict[Any, int]] = {name: {} for name in ("verdicts", "sizes", "reasons", "questions", "sentences")}
        self._held: dict[str, list[Any]] = {name: [] for name in self._alike}

    def filled(self) -> dict[str, list[Any]]:
        """Each table that has anything in it, by its name."""
        return {name: held for name, held in self._held.items() if held}

    def verdict(self, verdict: Verdict) -> int:
        """The place of a verdict."""
        return self._once(verdict, self._verdict)

    def size(self, size: SizeVerdict) -> int:
        """The place of a size."""
        return self._once(size, self._size)

    def reason(self, reason: Reason) -> int:
        """The place of a reason."""
        return self._once(reason, self._reason)

    def question(self, question: Question) -> int:
        """The place of a question."""
        return self._once(question, self._question)

    def sentence(self, words: str) -> int:
        """The place of a sentence."""
        return self._once(words, self._sentence)

    def _once(self, one: _T, put: Callable[[_T], int]) -> int:
        place = self._seen.get(id(one))
        if place is None:
            place = self._seen[id(one)] = put(one)
        return place

    def _put(self, table: str, key: Any, entry: Any) -> int:
        alike, held = self._alike[table], self._held[table]
        place = alike.setdefault(key, len(held))
        if place == len(held):
            held.append(entry)
        return place

    def _verdict(self, one: Verdict) -> int:
        entry: dict[str, Any] = {"outcome": one.outcome, "act_on": one.act_on}
        if one.worst_case != one.act_on:
            entry["worst_case"] = one.worst_case
        if one.lowest_possible != one.worst_case:
            entry["lowest_possible"] = one.lowest_possible
        entry["words"] = one.words
        _say_code(entry, one.words, of_level(one.outcome, one.act_on))
        entry["firm"] = one.firm
        if one.questions:
            entry["questions"] = [self.question(question) for question in one.questions]
        if one.could_relax:
            entry["could_relax"] = [self.question(question) for question in one.could_relax]
        entry["because"] = [self.reason(reason) for reason in one.because]
        if one.did_not_act:
            entry["did_not_act"] = [{"rule": silent.rule, "waiting_for": silent.waiting_for} for silent in one.did_not_act]
        entry["weakest_source"] = one.weakest_source
        return self._put_written("verdicts", entry)

    def _size(self, one: SizeVerdict) -> int:
        entry: dict[str, Any] = {"outcome": one.outcome, "unit": one.unit, "lowest": one.lowest, "highest": one.highest}
        if one.provisional is not None:
            entry["provisional"] = one.provisional
        entry["firm"] = one.firm
        if one.questions:
            entry["questions"] = [self.question(question) for question in one.questions]
        entry["because"] = [self.reason(reason) for reason in one.because]
        entry["weakest_source"] = one.weakest_source
        return self._put_written("sizes", entry)

    def _put_written(self, table: str, entry: dict[str, Any]) -> int:
        content = orjson.dumps(entry)
        return self._put(table, content, orjson.Fragment(content))

    def _reason(self, one: Reason) -> int:
        entry: dict[str, Any] = {"rule": one.rule, "clause": one.clause, "says": one.says}
        _say_code(entry, one.says, of_rule(one.rule))
        if one.other_view is not None:
            entry["disputed"] = True
        return self._put("reasons", tuple(entry.values()), entry)

    def _question(self, one: Question) -> int:
        entry: dict[str, Any] = {"fact": one.fact, "ask": one.ask}
        _say_code(entry, one.ask, of_question(one.fact))
        if one.pointer is not None:
            entry["pointer"] = one.pointer
        return self._put("questions", tuple(entry.items()), entry)

    def _sentence(self, words: str) -> int:
        if not isinstance(words, Said):
            return self._put("sentences", words, {"words": words})
        entry: dict[str, Any] = {"code": words.code} if words.code else {"made_of": self._parts(words)}
        if words.slots:
            entry["slots"] = {name: self._slot(said) for name, said in words.slots.items()}
        entry["words"] = words
        return self._put("sentences", orjson.dumps(entry), entry)

    def _slot(self, said: str) -> str | int | list[str | int]:
        if not isinstance(said, Said):
            return said
        return self.sentence(said) if said.code else self._parts(said)

    def _parts(self, said: Said) -> list[str | int]:
        """What it is made of, one after the other."""
        found: list[str | int] = []
        for part in said.made_of:
            slot = self._slot(part)
            found += slot if isinstance(slot, list) else [slot]
        return found


def _say_code(entry: dict[str, Any], words: str, implied: str) -> None:
    code = words.code if isinstance(words, Said) else ""
    if code != implied:
        entry["code"] = code
