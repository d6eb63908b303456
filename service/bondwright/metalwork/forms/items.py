"""Items: metalwork that is not a service."""

from collections.abc import Collection

from bondwright.installation.rooms import Item
from bondwright.metalwork.forms.making import noted_on, of_item, write_length
from bondwright.metalwork.forms.tables import Tables
from bondwright.metalwork.graph import Known
from bondwright.metalwork.keys import gap, of_metal
from bondwright.metalwork.known import both, stands_inside
from bondwright.metalwork.notes import SurveyNotes
from bondwright.rulebook.facts import NO, YES

_BY_METAL = ("metal", "unknown")


def survey_item(
    notes: SurveyNotes, tables: Tables, item: Item, pointer: str, name: str, room: str | None, described: Collection[str]
) -> str:
    """Write one item onto `notes`; gives its node. `room`: the kind of location that it is in, if any.

    What metal pipe feeds it, and the item that it touches where such a one is among the kinds `described`, are joined later, in
    `meetings`. A fitting is what its pipe is, whatever it touches.
    """
    follows_pipe = tables.kind_word("item", item.kind, "follows_pipe", NO) == YES
    touched = "nothing_earthy" if follows_pipe else item.touches
    several = item.count > 1
    say = tables.pack.say
    words = tables.kind_word("item", item.kind, "several" if several else "words", say("any_item"))
    made_of = gap("material", f"{pointer}/material", item.material)
    question = gap("touches", f"{pointer}/touches", touched)
    node = write_length(
        notes,
        tables,
        item,
        node=name,
        belongs_to=name,
        pointer=pointer,
        name=say("name_of_several", count=f"{item.count:g}", words=words) if several else say("name_of_one", words=words),
        kind=item.kind,
        bond_place="item",
        material=item.material,
        made_of=made_of,
        touches_soil_or_concrete=tables.ask("touches", touched, "earthy"),
        stands_inside=_stands_inside(tables, item, room),
        noted=noted_on(name, pointer, item),
        service=of_item(tables, item),
        gaps={
            "touches_soil_or_concrete": question,
            "owner_consent": gap("owner_consent", f"{pointer}/owner_consent", item.owner_consent),
            "protected_as": gap("protected_as", f"{pointer}/protected_as", item.protected_as),
            "stands_inside": gap("stands_inside", f"{pointer}/stands", item.stands),
        },
        count=item.count,
    )
    touches, conducts = (tables.ask("materials", item.material, column) for column in ("touches", "conducts"))
    if tables.touched_item(touched) not in described:
        ground = tables.ask("touches", touched, "ground")
        notes.touch(node, "ground", both(touches, ground), *of_metal(ground, question, made_of))
    shared = tables.ask("touches", touched, "other_installation")
    notes.touch(node, "other_installation", both(conducts, shared), *of_metal(shared, question, made_of))
    return node


def may_be_fed_by_metal(tables: Tables, item: Item) -> bool:
    """Whether a metal pipe may feed it; some kinds are fed by no pipe, whatever is said."""
    return tables.kind_ask("item", item.kind, "piped") == "yes" and item.fed_by in _BY_METAL


def _stands_inside(tables: Tables, item: Item, room: str | None) -> Known:
    """Whether any of it is inside: as it says; else as the room that it is in, if that is inside; else as its kind usually is."""
    if item.stands is not None:
        return stands_inside(item.stands)
    here: Known = "unknown" if room is None else stands_inside(tables.stands("room_kinds", room))
    return here if here == "yes" else stands_inside(tables.stands("item_kinds", item.kind))
