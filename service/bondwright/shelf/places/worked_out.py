"""How facts of places are worked out: the forms of `from`, every name in them checked."""

from collections.abc import Collection, Mapping
from typing import get_args

from msgspec import Struct
from pydantic import BaseModel

from bondwright.installation.rooms import Circuit, InRoom, Location, RoomItem
from bondwright.rulebook.declared.places import NAMED, ROOM, ROOM_PART, Every, Group, Having, Named, Rank, Ranked, Said, Some, WorkedOut
from bondwright.rulebook.facts import NO, UNKNOWN, YES, FactDefinition
from bondwright.rulebook.pack import Outcome
from bondwright.shelf.reading.nodes import Map, Node, Scalar, refused, shown
from bondwright.shelf.reading.scalars import as_map, as_scalar, fields, listed, one_of, some_of, suggestion

PART = "part"
GROUPS: tuple[Group, ...] = get_args(Group)
_RANKS: tuple[Rank, ...] = get_args(Rank)
_FORMS = ("said", "some", "every", *_RANKS)
_YES_NO = (YES, NO)
_DESCRIBED: Mapping[Group, type[BaseModel]] = {"touched": InRoom, "items": RoomItem, "circuits": Circuit}
_TOLD: Mapping[Group, frozenset[str]] = {
    "touched": frozenset({"item", "service"}),
    "items": frozenset({"item"}),
    "circuits": frozenset({"circuit"}),
}
_WORDS: Mapping[Group, Mapping[str, tuple[str, ...]]] = {
    "touched": {"brings_potential": _YES_NO},
    "items": {"brings_potential": _YES_NO},
    "circuits": {"counted": _YES_NO, "protected": _YES_NO},
}
_NUMBERS: Mapping[Group, Mapping[str, str]] = {
    "touched": {},
    "items": {},
    "circuits": {"cpc": "mm2", "disconnecting_current": "A"},
}
_SAID: Mapping[str, type[BaseModel]] = {ROOM: Location, ROOM_PART: InRoom}


class InPlaces(Struct, frozen=True):
    """What the forms may name: the facts and outcomes of the pack, the kinds of items and services that it judges, its measures.

    `declared`: the pack itself declares them, so that a fact must have every word that the description can say.
    """

    facts: Mapping[str, FactDefinition]
    outcomes: Mapping[str, Outcome]
    items: Collection[str]
    services: Collection[str]
    measures: Collection[str]
    declared: bool = True

    def words(self, of: Group) -> dict[str, tuple[str, ...]]:
        """What can be asked of each member of a group, with the words that it can be."""
        found = {**_WORDS[of], **_choices(_DESCRIBED[of])}
        if of == "circuits":
            found["measure"] = tuple(word for word in self.measures if word != UNKNOWN)
        else:
            found["kind"] = (*self.items, *(self.services if of == "touched" else ()))
            found |= {fact.name: fact.choices or _YES_NO for fact in self.facts.values() if PART in fact.of and fact.kind != "number"}
            found |= {outcome.name: outcome.levels for outcome in self.outcomes.values() if outcome.of == PART and outcome.levels}
        told = [fact for fact in self.facts.values() if not _TOLD[of].isdisjoint(fact.told) and fact.kind != "number"]
        return found | {fact.name: fact.choices or _YES_NO for fact in told}

    def numbers(self, of: Group) -> dict[str, str]:
        """The numbers of each member of a group, with their units."""
        told = [fact for fact in self.facts.values() if not _TOLD[of].isdisjoint(fact.told) and fact.kind == "number"]
        return {**_NUMBERS[of], **{fact.name: fact.unit for fact in told}}


def read_worked_out(node: Node, fact: FactDefinition, there: InPlaces) -> WorkedOut:
    """How a fact is worked out, as `node` writes it: a name, or a form with one group of members."""
    subject = next((of for of in NAMED if of in fact.of), "")
    if not subject:
        raise refused(node.place, f"`{fact.name}` is of {listed(fact.of)}; only facts of {listed(NAMED)} are worked out by a form")
    if isinstance(node, Scalar):
        name = one_of(node, NAMED[subject], f"thing that is worked out of a `{subject}`")
        _check_kind(node, fact, NAMED[subject][name])
        return Named(name)
    entries = as_map(node, "`from`")
    forms = [form for form in _FORMS if form in entries.entries]
    if len(forms) != 1:
        raise refused(entries.place, f"`from` has exactly one of {listed(_FORMS)}, or is a name")
    form = forms[0]
    if form == "said":
        return _said(fields(entries, "`from`", (form,))[form], fact, subject, there.declared)
    if subject != ROOM:
        raise refused(entries.place, f"`{form}` goes over what stands in a place; a fact of a `{subject}` is `said`, or a name")
    return _ranked(entries, form, fact, there) if form in _RANKS else _counted(entries, form, fact, there)


def _counted(entries: Map, form: str, fact: FactDefinition, there: InPlaces) -> Some | Every:
    _check_kind(entries, fact, "yes_no")
    if form == "some":
        read = fields(entries, "`some`", ("some", "where"))
        of = one_of(read["some"], GROUPS, "group of things in a place")
        return Some(of, _conditions(read["where"], of, there))
    read = fields(entries, "`every`", ("every", "have"), ("where",))
    of = one_of(read["every"], GROUPS, "group of things in a place")
    where = _conditions(read["where"], of, there) if "where" in read else ()
    return Every(of, where, _conditions(read["have"], of, there))


def _ranked(entries: Map, form: str, fact: FactDefinition, there: InPlaces) -> Ranked:
    _check_kind(entries, fact, "number")
    read = fields(entries, f"`{form}`", (form, "of"), ("where",))
    of = one_of(read["of"], GROUPS, "group of things in a place")
    units = there.numbers(of)
    number = one_of(read[form], units, f"number of `{of}`")
    if units[number] != fact.unit:
        raise refused(read[form].place, f"`{number}` is in `{units[number]}`, and `{fact.name}` in `{fact.unit}`")
    rank = one_of(entries.keys[form], _RANKS, "rank")
    return Ranked(rank, number, of, _conditions(read["where"], of, there) if "where" in read else ())


def _conditions(node: Node, of: Group, there: InPlaces) -> tuple[Having, ...]:
    entries, words = as_map(node, "a condition"), there.words(of)
    if not entries.keys:
        raise refused(entries.place, f"name at least one thing that holds of {of}, such as `{{{next(iter(words))}: yes}}`")
    found = []
    for field, key in entries.keys.items():
        if field not in words:
            raise refused(key.place, f"{shown(field)} cannot be asked of {of}{suggestion(field, words)}")
        found.append(Having(field, some_of(entries.entries[field], words[field], f"value of `{field}`")))
    return tuple(found)


def _said(node: Node, fact: FactDefinition, subject: str, every_word: bool) -> Said:
    path = as_scalar(node, "`said`").text
    model: type[BaseModel] | None = _SAID[subject]
    known: tuple[str, ...] = ()
    annotation: object = None
    for name in path.split("/"):
        known = tuple(model.model_fields) if model is not None else ()
        if model is None or name not in known:
            raise refused(node.place, f"{shown(path)} is no field of the description of a `{subject}`{suggestion(name, known)}")
        annotation = model.model_fields[name].annotation
        model = annotation if isinstance(annotation, type) and issubclass(annotation, BaseModel) else None
    if model is not None:
        raise refused(node.place, f"{shown(path)} has fields of its own; name one of them{suggestion('', model.model_fields)}")
    said = tuple(word for word in get_args(annotation) if word != UNKNOWN)
    wanted = fact.choices or (_YES_NO if fact.kind == "yes_no" else ())
    if wanted and (not set(wanted) <= set(said) or (every_word and set(wanted) != set(said))):
        raise refused(node.place, f"{shown(path)} says {listed(map(str, said))}; `{fact.name}` has other values")
    return Said(path)


def _choices(model: type[BaseModel]) -> dict[str, tuple[str, ...]]:
    """The fields of a described thing that say one of a few words, with the words."""
    found = {name: get_args(field.annotation) for name, field in model.model_fields.items()}
    return {
        name: tuple(word for word in words if word != UNKNOWN)
        for name, words in found.items()
        if words and all(isinstance(word, str) for word in words)
    }


def _check_kind(node: Node, fact: FactDefinition, kind: str) -> None:
    if fact.kind != kind:
        raise refused(node.place, f"this gives a {kind}, and `{fact.name}` is a {fact.kind}")
