"""The detailed form of a service: its sections in order, with branches."""

from collections.abc import Sequence
from itertools import chain

from msgspec import Struct, field

from bondwright.installation.services import DetailedService, MainSection, Section
from bondwright.members import replace
from bondwright.metalwork.forms.making import noted_on, of_service, write_length
from bondwright.metalwork.forms.origins import in_soil_at_entry, touch_origin, touch_protective_conductor
from bondwright.metalwork.forms.tables import Plastic, Tables
from bondwright.metalwork.graph import Known
from bondwright.metalwork.keys import gap, of_metal, together
from bondwright.metalwork.known import both, stands_inside
from bondwright.metalwork.lengths import LengthNotes, LengthService
from bondwright.metalwork.notes import SurveyNotes


class _Reach(Struct, frozen=True):
    """Where a walk along the sections stands: the last metal node, and the plastic met since."""

    last: str | None
    plastic: tuple[Plastic, ...] = ()
    plastic_node: str | None = None


class _Walk(Struct, frozen=True):
    """`of_each`: what the service is to each of its lengths. `comes_from`, `position`: the keys of these questions about the service.

    `also`: what was noted on more sections that one plastic length stands for, by its node.
    """

    notes: SurveyNotes
    tables: Tables
    service: DetailedService
    name: str
    fluid: str
    of_each: LengthService
    comes_from: str | None
    position: str | None
    also: dict[str, list[LengthNotes]] = field(default_factory=dict)


def survey_detailed_service(notes: SurveyNotes, tables: Tables, service: DetailedService, pointer: str, name: str) -> None:
    """Write the lengths of one service in the detailed form onto `notes`.

    A section that is not traced is two lengths, its ends, which may or may not be one piece.
    """
    comes_from = gap("comes_from", f"{pointer}/comes_from", service.comes_from)
    position = gap("meter", f"{pointer}/meter/position", service.meter.position)
    walk = _Walk(notes, tables, service, name, tables.fluid(service), of_service(tables, service), comes_from, position)
    before = set(notes.lengths)
    first = service.sections[0]
    notes.ends[name] = []
    _along(walk, service.sections, f"{pointer}/sections", _Reach(None))
    for node, more in walk.also.items():
        notes.lengths[node] = replace(notes.lengths[node], noted=_together([notes.lengths[node].noted, *more]))
    nodes = tuple(node for node in notes.lengths if node not in before)
    made_of = gap("material", f"{pointer}/sections/0/material", first.material)
    touch_origin(notes, tables, service, pointer, nodes[0], first.material, made_of)
    touch_protective_conductor(notes, service, pointer, nodes)


def _along(walk: _Walk, sections: Sequence[Section], pointer: str, reach: _Reach) -> None:
    for index, section in enumerate(sections):
        here = f"{pointer}/{index}"
        reach = _pass(walk, section, here, reach)
        if isinstance(section, MainSection):
            for number, branch in enumerate(section.branches):
                _along(walk, branch.sections, f"{here}/branches/{number}/sections", reach)
    if reach.last is not None and not reach.plastic:
        walk.notes.ends[walk.name].append(reach.last)


def _pass(walk: _Walk, section: Section, pointer: str, reach: _Reach) -> _Reach:
    if walk.tables.ask("materials", section.material, "conducts") == "no":
        node = (
            _add(walk, section, pointer, "", reach) if reach.plastic_node is None else _also_on(walk, section, pointer, reach.plastic_node)
        )
        return _Reach(reach.last, (*reach.plastic, Plastic(section.length_m, section.bore_mm, pointer)), node)
    near = _add(walk, section, pointer, "" if section.traced == "yes" else "near_end", reach)
    _join_back(walk, section, pointer, reach, near)
    if section.traced == "yes":
        return _Reach(near)
    far = _add(walk, section, pointer, "far_end", reach)
    question = gap("traced", f"{pointer}/traced", section.traced)
    walk.notes.join(near, far, "unknown", question, "yes")
    walk.notes.joint(near, far, "unknown", question)
    return _Reach(far)


def _also_on(walk: _Walk, section: Section, pointer: str, node: str) -> str:
    """One more plastic length of the same run: what was noted on it is kept with the first."""
    walk.also.setdefault(node, []).append(noted_on(f"{walk.name}/{_own_name(section, pointer)}", pointer, section))
    return node


def _together(noted: Sequence[LengthNotes]) -> LengthNotes:
    """What was noted on several sections as on one; its bonds are known as far as those of any of them are."""
    known = [one.bonds for one in noted if one.bonds is not None]
    return LengthNotes(tuple(chain(*known)) if known else None, tuple(chain(*(one.measurements for one in noted))))


def _own_name(section: Section, pointer: str) -> str:
    return section.id or pointer.split("/sections/", 1)[1].replace("/", "-")


def _join_back(walk: _Walk, section: Section, pointer: str, reach: _Reach, node: str) -> None:
    if reach.last is None:
        return
    if reach.plastic:
        path = walk.tables.water_path(walk.fluid, tuple((plastic.length_m, plastic.bore_mm) for plastic in reach.plastic))
        walk.notes.join(reach.last, node, path, walk.tables.column_gap(walk.fluid, reach.plastic, "length"), "no")
        return
    joint = walk.tables.joint(section.joint_before, walk.fluid)
    question = gap("joint_before", f"{pointer}/joint_before", section.joint_before)
    walk.notes.join(reach.last, node, joint, question, walk.tables.settles(walk.fluid))
    walk.notes.joint(reach.last, node, walk.tables.ask("joints", section.joint_before, "conducts"), question)


def _add(walk: _Walk, section: Section, pointer: str, end: str, reach: _Reach) -> str:
    tables, service = walk.tables, walk.service
    enters = reach.last is None and not reach.plastic
    own = _own_name(section, pointer)
    kind, material = tables.service_words(service), tables.word("materials", section.material, "words")
    touches = tables.ask("materials", section.material, "touches")
    in_soil = both(touches, tables.ask("surroundings", section.surroundings, "earthy"))
    owner = f"{walk.name}/{own}"
    made_of = gap("material", f"{pointer}/material", section.material)
    lies_in = gap("surroundings", f"{pointer}/surroundings", section.surroundings)
    node = write_length(
        walk.notes,
        tables,
        section,
        node=f"{owner}{'/' if end else ''}{end.replace('_', '-')}",
        belongs_to=walk.name,
        pointer=pointer,
        name=tables.pack.say(f"name_{end or 'length'}", service=kind, material=material, length=own),
        kind=service.kind,
        bond_place="entry" if enters else "here",
        material=section.material,
        made_of=made_of,
        touches_soil_or_concrete=in_soil_at_entry(tables, service) if enters and in_soil == "no" else in_soil,
        stands_inside=_stands_inside(tables, section, enters, bool(end)),
        noted=LengthNotes() if end == "far_end" else noted_on(owner, pointer, section),
        service=walk.of_each,
        gaps={
            # It meets soil where the service comes in, or not at all.
            "touches_soil_or_concrete": walk.comes_from if enters and in_soil == "no" else together(lies_in, made_of),
            "stands_inside": gap("stands_inside", f"{pointer}/stands", section.stands),
            "meter_inside": walk.position,
            "meter_outside": walk.position,
        },
        seen=section.traced != "no" or enters,
    )
    ground = tables.ask("surroundings", section.surroundings, "ground")
    walk.notes.touch(node, "ground", both(touches, ground), *of_metal(ground, lies_in, made_of))
    return node


def _stands_inside(tables: Tables, section: Section, enters: bool, is_an_end: bool) -> Known:
    """Whether a length, or one end of a length that nobody traced, is inside; of one said to be in both places an end may not."""
    if section.stands is None:
        return stands_inside(tables.stands("lengths", "entering") if enters else tables.stands("surroundings", section.surroundings))
    return "unknown" if is_an_end and section.stands == "both" else stands_inside(section.stands)
