"""What a pack declares of places: how their facts are worked out, their duties, and the acts that these come to."""

from collections.abc import Callable, Collection, Mapping
from functools import lru_cache

from msgspec import Struct

from bondwright.members import replace
from bondwright.rulebook.declared.places import ANY, KIND, NAMED, ROOM, ROOM_PART, Duty, Link, PlaceDeclared, Places, RoomRow, WorkedOut
from bondwright.rulebook.facts import FactDefinition
from bondwright.rulebook.kinds import KindOf, Kinds
from bondwright.rulebook.pack import Advice, Outcome
from bondwright.shelf.declared.declaration import DECLARING
from bondwright.shelf.folder import rules_folder
from bondwright.shelf.lines import file_bytes
from bondwright.shelf.places.reach import check_rows
from bondwright.shelf.places.worked_out import InPlaces, read_worked_out
from bondwright.shelf.reading.names import Vocabulary
from bondwright.shelf.reading.nodes import Map, Node, Scalar, read_nodes, refused
from bondwright.shelf.reading.scalars import as_items, as_map, fields, listed, one_of, some_of, text, yes_or_no

SECTIONS = ("places", "joined_rooms", "places_not_judged")
"""Sections of a pack that declares its places."""
UNDECLARED_PLACES = "undeclared-places.yaml"
"""The file of what packs are read with that were published before packs declared their places."""
FREEING = "acts_that_free"
"""The table of acts that free a place, with words for each."""
LIKE = "like"
_DUTY = ("inspected", "links", "limit", "parts", "found", "present", "freed_by", "where")
_MEASURES = "circuit_measures"


class Known(Struct, frozen=True):
    """What declarations of places may name.

    `kinds`: of locations that the pack judges; `measures`, `freeing`: rows of the tables of circuits' measures and of acts that free.
    """

    facts: Mapping[str, FactDefinition]
    outcomes: Mapping[str, Outcome]
    advice: Mapping[str, Advice]
    kinds: Collection[str]
    items: Collection[str]
    services: Collection[str]
    measures: Collection[str]
    freeing: Collection[str]

    @staticmethod
    def of(
        vocabulary: Vocabulary, advice: Mapping[str, Advice], kinds: Kinds, properties: Mapping[str, Mapping[str, Mapping[str, str]]]
    ) -> "Known":
        """What a pack has read of its file before its places."""
        judged = {of: [kind.name for kind in rows.values() if kind.judged] for of, rows in kinds.rows.items()}
        named = (judged.get("location", []), judged.get("item", []), judged.get("service", []))
        tables = (tuple(properties.get(_MEASURES, {})), tuple(properties.get(FREEING, {})))
        return Known(vocabulary.facts, vocabulary.outcomes, advice, *named, *tables)

    def levelled(self, of: str) -> list[str]:
        """The outcomes of a subject that have levels."""
        return [name for name, outcome in self.outcomes.items() if outcome.of == of and outcome.levels]

    def sized(self, unit: str) -> list[str]:
        """The outcomes of a place that are numbers in a unit."""
        return [name for name, outcome in self.outcomes.items() if outcome.of == ROOM and outcome.unit == unit]


def declares_places(root: Map, form: int) -> bool:
    """Whether a pack of that format declares its places. Raises: UnreadableRules, where one of an older format does."""
    early = next((root.keys[name] for name in SECTIONS if name in root.keys and form < DECLARING), None)
    if early is not None:
        raise refused(early.place, f"`{early.text}` is read from packs of format {DECLARING} on; write `format: {DECLARING}`")
    return form >= DECLARING


def kind_facts(facts: Node, declares: bool) -> Mapping[KindOf, str]:
    """The facts that tell the kind of a thing, as a pack declares it, or as those do that do not declare it.

    Raises: UnreadableRules, where one that declares it has none of the kind of a place.
    """
    section = as_map(facts if declares else _undeclared()["facts"], "`facts`")
    for name, entry in section.entries.items():
        form = entry.entries.get("from") if isinstance(entry, Map) else entry
        if isinstance(form, Scalar) and form.text == KIND:
            return {"location": name}
    raise refused(section.place, f"no fact tells the kind of a place; write `from: {KIND}` at the one that does")


def read_places(sections: Mapping[str, Node], known: Known) -> Places:
    """The places of a pack that declares them. Raises: UnreadableRules."""
    facts = _worked_out(as_map(sections["facts"], "`facts`"), known)
    declared = as_map(sections["places"], "`places`")
    kinds = {name: _place(name, declared, known) for name in declared.entries}
    for name in known.kinds:
        if name not in kinds:
            raise refused(declared.place, f"`places` lacks `{name}`, which the pack judges; declare it, or write `judged: no` in its row")
    rows = tuple(_row(item, known) for item in as_items(sections["joined_rooms"], "`joined_rooms`"))
    elsewhere = fields(sections["places_not_judged"], "`places_not_judged`", ("duty",), ("report",))
    unjudged = tuple(one_of(node, known.levelled(ROOM), f"outcome of a `{ROOM}`") for node in elsewhere.values())
    at = {name: key.place for name, key in as_map(sections["facts"], "`facts`").keys.items() if name in facts or known.facts[name].told}
    places = Places(kinds, rows, unjudged, facts, at)
    check_rows(places, known.outcomes, known.advice, sections["joined_rooms"].place)
    return places


def _worked_out(section: Map, known: Known) -> dict[str, WorkedOut]:
    there = InPlaces(known.facts, known.outcomes, known.items, known.services, known.measures)
    forms = ((name, as_map(entry, f"fact `{name}`").entries.get("from")) for name, entry in section.entries.items())
    return {name: read_worked_out(form, known.facts[name], there) for name, form in forms if form is not None}


def _place(name: str, declared: Map, known: Known) -> PlaceDeclared:
    one_of(declared.keys[name], known.kinds, "kind of location that table `room_kinds` judges")
    node = declared.entries[name]
    entries = fields(node, f"place `{name}`", (), (LIKE, "duties", "report"))
    if LIKE in entries:
        if len(entries) > 1:
            raise refused(node.place, f"place `{name}` is `{LIKE}` another in all that it declares, or declares it itself")
        other = one_of(entries[LIKE], (key for key in declared.keys if key != name), "other place")
        if LIKE in as_map(declared.entries[other], f"place `{other}`").entries:
            raise refused(entries[LIKE].place, f"`{other}` is itself like another place; name that one")
        return _place(other, declared, known)
    entries = fields(node, f"place `{name}`", ("duties",), ("report",))
    duties = as_map(entries["duties"], "`duties`")
    found = tuple(_duty(duties.keys[duty], entry, known) for duty, entry in duties.entries.items())
    _check_duties(name, duties, found)
    return PlaceDeclared(found, one_of(entries["report"], known.levelled(ROOM), f"outcome of a `{ROOM}`") if "report" in entries else "")


def _check_duties(name: str, duties: Map, found: Collection[Duty]) -> None:
    if not found:
        raise refused(duties.place, f"place `{name}` has no duty; a place without one has `judged: no` in table `room_kinds`")
    first = next(iter(found))
    if not first.inspected or first.where:
        raise refused(duties.place, f"the first duty of `{name}` is shown in an inspection too, and wherever it is; put another first")
    only_one: tuple[tuple[str, Callable[[Duty], object]], ...] = (
        ("limit", lambda duty: duty.limit),
        ("parts", lambda duty: duty.parts),
        ("freed_by", lambda duty: duty.freed_by),
    )
    for member, of in only_one:
        having = [duty.outcome for duty in found if of(duty)]
        if len(having) > 1:
            raise refused(duties.entries[having[1]].place, f"one duty of a place has `{member}`; {listed(having)} of `{name}` do")
    if any(duty.parts and not duty.limit for duty in found):
        raise refused(duties.place, f"a duty of `{name}` has `parts` without the `limit` by which a reading of them is judged")


def _duty(key: Scalar, node: Node, known: Known) -> Duty:
    name = one_of(key, known.levelled(ROOM), f"outcome of a `{ROOM}` with levels")
    entries = fields(node, f"duty `{name}`", (), _DUTY)
    if ("found" in entries) is not ("present" in entries):
        raise refused(node.place, f"duty `{name}` has both `found` and `present`, the fact that says that it is there, or neither")
    if "where" in entries and not entries.keys() <= {"inspected", "where"}:
        raise refused(entries["where"].place, f"duty `{name}` has `where`, and so nothing else but `inspected`")
    return Duty(
        outcome=name,
        inspected="inspected" not in entries or yes_or_no(entries["inspected"], "`inspected`"),
        links=tuple(_link(size, link, known) for size, link in _links(entries)),
        limit=one_of(entries["limit"], known.sized("ohm"), "outcome of a place in ohm") if "limit" in entries else "",
        parts=one_of(entries["parts"], known.levelled(ROOM_PART), f"outcome of a `{ROOM_PART}`") if "parts" in entries else "",
        found=one_of(entries["found"], known.levelled(ROOM), f"outcome of a `{ROOM}`") if "found" in entries else "",
        present=one_of(entries["present"], _facts_of_places(known.facts), "fact of a place") if "present" in entries else "",
        freed_by=some_of(entries["freed_by"], known.freeing, f"row of `{FREEING}`") if "freed_by" in entries else (),
        where=one_of(entries["where"], _yes_or_no_of_places(known.facts), "yes or no fact of a place") if "where" in entries else "",
    )


def _links(entries: Mapping[str, Node]) -> list[tuple[Scalar, Node]]:
    links = as_map(entries["links"], "`links`") if "links" in entries else None
    return [(links.keys[name], node) for name, node in links.entries.items()] if links else []


def _link(key: Scalar, node: Node, known: Known) -> Link:
    size = one_of(key, known.sized("mm2"), "outcome of a place in mm2")
    entries = fields(node, f"link `{size}`", ("joins", "words"), ("by", "protected"))
    joins = tuple(text(item, "what a link joins") for item in as_items(entries["joins"], "`joins`"))
    if len(joins) != 2:
        raise refused(entries["joins"].place, "a link joins two, such as `[exposed, extraneous]`")
    facts = _facts_of_places(known.facts)
    by, protected = (one_of(entries[key], facts, "fact of a place") if key in entries else "" for key in ("by", "protected"))
    return Link(size, joins, text(entries["words"], "`words`"), by, protected)


def _facts_of_places(facts: Mapping[str, FactDefinition]) -> list[str]:
    return [name for name, fact in facts.items() if ROOM in fact.of]


def _yes_or_no_of_places(facts: Mapping[str, FactDefinition]) -> list[str]:
    return [name for name in _facts_of_places(facts) if facts[name].kind == "yes_no"]


def _row(node: Node, known: Known) -> RoomRow:
    entries = fields(node, "a row of `joined_rooms`", ("act",), ("when", "firm", "once"))
    when = as_map(entries["when"], "`when`") if "when" in entries else None
    levels = {}
    for name, key in when.keys.items() if when else ():
        outcome = one_of(key, known.levelled(ROOM), f"outcome of a `{ROOM}`")
        levels[outcome] = some_of(when.entries[name] if when else node, known.outcomes[outcome].levels, f"level of `{outcome}`")
    return RoomRow(
        levels=levels,
        firm=some_of(entries["firm"], levels, "outcome of this row") if "firm" in entries else (),
        once=one_of(entries["once"], (ANY, *known.freeing), f"row of `{FREEING}`, or `{ANY}`") if "once" in entries else "",
        act=one_of(entries["act"], known.advice, "act with advice"),
        place=node.place,
    )


def undeclared_places(known: Known) -> Places:
    """The places of a pack that was published before packs declared them: every kind that it judges is like the one in the file.

    What the file names and the pack lacks is left out: facts, outcomes, and rows whose act has no words.
    """
    sections = _undeclared()
    there = InPlaces(known.facts, known.outcomes, known.items, known.services, known.measures, declared=False)
    forms = as_map(sections["facts"], "`facts`").entries
    facts = {name: read_worked_out(form, known.facts[name], there) for name, form in forms.items() if _is_of_places(name, known)}
    (place,) = as_map(sections["places"], "`places`").entries.values()
    entries = fields(place, "the place", ("duties", "report"))
    duties = as_map(entries["duties"], "`duties`").entries
    found = tuple(_as_far(name, node, known) for name, node in duties.items() if name in known.outcomes)
    report = text(entries["report"], "`report`")
    declared = PlaceDeclared(found, report if report in known.outcomes else "")
    rows = [row for item in as_items(sections["joined_rooms"], "`joined_rooms`") if (row := _row_as_far(item, known))]
    unjudged = (text(node, "an outcome") for node in as_map(sections["places_not_judged"], "`places_not_judged`").entries.values())
    there_too = tuple(name for name in unjudged if name in known.outcomes)
    return Places(dict.fromkeys(known.kinds, declared) if found else {}, tuple(rows), there_too, facts)


@lru_cache(maxsize=1)
def _undeclared() -> Mapping[str, Node]:
    root = read_nodes(file_bytes(rules_folder() / UNDECLARED_PLACES, UNDECLARED_PLACES), UNDECLARED_PLACES)
    return fields(root, "the file", ("facts", *SECTIONS))


def _is_of_places(name: str, known: Known) -> bool:
    return name in known.facts and not set(NAMED).isdisjoint(known.facts[name].of)


def _as_far(name: str, node: Node, known: Known) -> Duty:
    """A duty, as far as the pack has what it names."""
    entries = dict(as_map(node, f"duty `{name}`").entries)
    words = {key: text(entries[key], key) for key in ("limit", "parts", "found") if key in entries}
    words = {key: word for key, word in words.items() if word in known.outcomes}
    freeing = [text(item, "an act") for item in as_items(entries["freed_by"], "`freed_by`")] if "freed_by" in entries else []
    return replace(
        Duty(name),
        **words,
        inspected="inspected" not in entries or yes_or_no(entries["inspected"], "`inspected`"),
        links=tuple(_link(size, link, known) for size, link in _links(entries) if size.text in known.outcomes),
        present=text(entries["present"], "`present`") if "found" in words else "",
        freed_by=tuple(act for act in freeing if act in known.freeing),
    )


def _row_as_far(node: Node, known: Known) -> RoomRow | None:
    """A row, if the pack has its act and its outcomes."""
    entries = fields(node, "a row of `joined_rooms`", ("act",), ("when", "firm", "once"))
    named = as_map(entries["when"], "`when`").keys if "when" in entries else {}
    if text(entries["act"], "`act`") not in known.advice or any(name not in known.outcomes for name in named):
        return None
    once = entries.get("once")
    if isinstance(once, Scalar) and once.text not in (ANY, *known.freeing):
        return None
    return _row(node, known)
