"""An answer read from its bytes with everything in its place again: what verdicts, sizes and lines point to stands where they do."""

from collections.abc import Callable, Mapping, Sequence
from typing import Any, TypeAlias

from bondwright.compose.answer import Evaluation
from bondwright.compose.written.members import Member, members_of
from bondwright.said import Said, together

_Entry: TypeAlias = Mapping[str, Any]

_LEFT_OUT_THEN = ("told_not_used", "keep_off", "earthings", "words")
"""Members that form 3 left out where they are empty, or did not have."""


def opened(content: Mapping[str, Any]) -> dict[str, Any]:
    """The content of an answer of form 4 as form 3 had it, but for what of a rule stands with its pack alone.

    Sentences know their codes and slots. What is shared in the tables is the same object wherever it stands; change none of it.
    Raises: KeyError, IndexError, TypeError or AttributeError, if it is none.
    """
    return _Opener(content).shape(Evaluation, content)


class _Opener:
    def __init__(self, content: Mapping[str, Any]) -> None:
        pack = content.get("pack", {})
        self._of_pack = {"pack_id": pack.get("pack_id"), "pack_digest": pack.get("digest")}
        sentences: Sequence[_Entry] = content.get("sentences", ())
        self._sentences = list[str]()
        for entry in sentences:  # what one is made of stands before it
            self._sentences.append(self._said(entry))
        questions = [{"fact": one["fact"], "ask": one["ask"], "pointer": one.get("pointer")} for one in content.get("questions", ())]
        reasons = [self._reason(one) for one in content.get("reasons", ())]
        self._tables: dict[str, Sequence[Any]] = {
            "sentences": self._sentences,
            "questions": questions,
            "reasons": reasons,
            "verdicts": [_verdict(one, questions, reasons) for one in content.get("verdicts", ())],
            "sizes": [_size(one, questions, reasons) for one in content.get("sizes", ())],
        }

    def shape(self, shape: type, content: _Entry) -> dict[str, Any]:
        """The members of a shape, those that were left out as empty as they are."""
        members = {}
        for member in members_of(shape):
            if member.name in content:
                members[member.name] = self._member(member, content[member.name])
            elif member.may_lack and member.name not in _LEFT_OUT_THEN:
                members[member.name] = [] if member.many else None if member.optional else ""
        return members

    def _member(self, member: Member, written: Any) -> Any:
        if member.holds is None:
            return written
        put: Callable[[Any], Any]
        put = (lambda one: self.shape(member.holds, one)) if member.table is None else self._tables[member.table].__getitem__
        return [put(one) for one in written] if member.many else put(written)

    def _said(self, entry: _Entry) -> str:
        words: str = entry["words"]
        if "code" in entry:
            return Said(words, entry["code"], {name: self._slot(slot) for name, slot in entry.get("slots", {}).items()})
        return Said(words, made_of=tuple(self._slot(part) for part in entry["made_of"])) if "made_of" in entry else words

    def _slot(self, written: str | int | Sequence[str | int]) -> str:
        if isinstance(written, str):
            return written
        return self._sentences[written] if isinstance(written, int) else together(*(self._slot(part) for part in written))

    def _reason(self, one: _Entry) -> dict[str, Any]:
        return {"rule": one["rule"], "clause": one["clause"], "says": one["says"], **self._of_pack}


def _verdict(one: _Entry, questions: Sequence[_Entry], reasons: Sequence[_Entry]) -> dict[str, Any]:
    worst_case = one.get("worst_case", one["act_on"])
    return {
        "outcome": one["outcome"],
        "act_on": one["act_on"],
        "worst_case": worst_case,
        "words": one["words"],
        "firm": one["firm"],
        "lowest_possible": one.get("lowest_possible", worst_case),
        "questions": [questions[place] for place in one.get("questions", ())],
        "could_relax": [questions[place] for place in one.get("could_relax", ())],
        "because": [reasons[place] for place in one["because"]],
        "did_not_act": list(one.get("did_not_act", ())),
        "weakest_source": one["weakest_source"],
    }


def _size(one: _Entry, questions: Sequence[_Entry], reasons: Sequence[_Entry]) -> dict[str, Any]:
    return {
        "outcome": one["outcome"],
        "unit": one["unit"],
        "lowest": one["lowest"],
        "highest": one["highest"],
        "provisional": one.get("provisional"),
        "firm": one["firm"],
        "questions": [questions[place] for place in one.get("questions", ())],
        "because": [reasons[place] for place in one["because"]],
        "weakest_source": one["weakest_source"],
    }
