"""Items: metalwork that is not a service."""

from collections.abc import Mapping

from bondwright.installation.rooms import Item
from bondwright.metalwork.graph import Known
from bondwright.metalwork.known import both, stands_inside
from bondwright.metalwork.lengths import Length, Sheet, all_found, by_fact, gap, of_metal
from bondwright.metalwork.tables import Tables
from bondwright.rulebook.facts import NO, YES


def survey_item(sheet: Sheet, tables: Tables, item: Item, pointer: str, name: str, room: str | None, steel_described: bool) -> str:
    """Write one item onto `sheet`; gives its node. `room`: the kind of location that it is in, if any.

    What metal pipe feeds it, and the steel that it touches where that is described, are joined later, in `meetings`. A fitting is what
    its pipe is, whatever it touches.
    """
    follows_pipe = tables.kind_word("item", item.kind, "follows_pipe", NO) == YES
    touched = "nothing_earthy" if follows_pipe else item.touches
    several = item.count > 1
    words = tables.kind_word("item", item.kind, "several" if several else "words", "metalwork")
    equipment = tables.kind_ask("item", item.kind, "equipment")
    inside, made_of = _stands_inside(tables, item, room), gap("material", f"{pointer}/material", item.material)
    question = gap("touches", f"{pointer}/touches", touched)
    node = sheet.add(
        Length(
            node=name,
            belongs_to=name,
            pointer=pointer,
            name=f"{item.count:g} {words}" if several else f"the {words}",
            kind=item.kind,
            place="item",
            earthy=tables.ask("touches", touched, "earthy"),
            count=item.count,
            telecom=tables.kind_ask("item", item.kind, "telecom"),
            owner_consent=item.owner_consent,
            equipment_case=equipment,
            protected_as=item.protected_as,
            sort=tables.kind_word("item", item.kind, "sort"),
            lead=tables.ask("materials", item.material, "lead"),
            limited=item.left_out_by_agreement,
            stands_inside=inside,
            touchable_with_building=item.touchable_with_building,
            bonds=all_found(name, pointer, "bonds", item.bonds),
            measurements=all_found(name, pointer, "measurements", item.measurements) or (),
            gaps=_gaps(item, touched, pointer),
        ),
        tables.ask("materials", item.material, "conducts"),
        made_of,
    )
    touches, conducts = (tables.ask("materials", item.material, column) for column in ("touches", "conducts"))
    if not (steel_described and touched == "structural_steel"):
        ground = tables.ask("touches", touched, "ground")
        sheet.touch(node, "ground", both(touches, ground), *of_metal(ground, question, made_of))
    shared = tables.ask("touches", touched, "other_installation")
    sheet.touch(node, "other_installation", both(conducts, shared), *of_metal(shared, question, made_of))
    return node


def _gaps(item: Item, touched: str, pointer: str) -> Mapping[str, str]:
    near = item.touchable_with_building
    return by_fact(
        {
            "touches_soil_or_concrete": gap("touches", f"{pointer}/touches", touched),
            "owner_consent": gap("owner_consent", f"{pointer}/owner_consent", item.owner_consent),
            "protected_as": gap("protected_as", f"{pointer}/protected_as", item.protected_as),
            "stands_inside": gap("stands_inside", f"{pointer}/stands", item.stands),
            "touchable_with_building": gap("touchable_with_building", f"{pointer}/touchable_with_building", near),
            "lead": gap("material", f"{pointer}/material", item.material),
            "bonds": gap("bond", f"{pointer}/bonds", item.bonds),
        }
    )


def may_be_fed_by_metal(tables: Tables, item: Item) -> bool:
    """Whether a metal pipe may feed it; some kinds are fed by no pipe, whatever is said."""
    return tables.kind_ask("item", item.kind, "piped") == "yes" and item.fed_by not in ("plastic", "nothing")


def _stands_inside(tables: Tables, item: Item, room: str | None) -> Known:
    """Whether any of it is inside: as it says; else as the room that it is in, if that is inside; else as its kind usually is."""
    if item.stands is not None:
        return stands_inside(item.stands)
    here: Known = "unknown" if room is None else stands_inside(tables.stands("room_kinds", room))
    return here if here == "yes" else stands_inside(tables.stands("item_kinds", item.kind))
