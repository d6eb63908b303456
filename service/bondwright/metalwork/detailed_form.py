"""The detailed form of a service: its sections in order, with branches."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from bondwright.installation.services import DetailedService, MainSection, Section
from bondwright.metalwork.graph import Known
from bondwright.metalwork.known import both, stands_inside
from bondwright.metalwork.lengths import Length, Sheet, all_found, by_fact, gap, of_metal, together
from bondwright.metalwork.origins import earthy_at_entry, touch_origin, touch_protective_conductor
from bondwright.metalwork.tables import Plastic, Tables


@dataclass(frozen=True, slots=True)
class _Reach:
    """Where a walk along the sections stands: the last metal node, and the plastic met since."""

    last: str | None
    plastic: tuple[Plastic, ...] = ()
    plastic_node: str | None = None


@dataclass(frozen=True, slots=True)
class _Walk:
    sheet: Sheet
    tables: Tables
    service: DetailedService
    pointer: str
    name: str
    fluid: str


def survey_detailed_service(sheet: Sheet, tables: Tables, service: DetailedService, pointer: str, name: str) -> None:
    """Write the lengths of one service in the detailed form onto `sheet`.

    A section that is not traced is two lengths, its ends, which may or may not be one piece.
    """
    walk = _Walk(sheet, tables, service, pointer, name, tables.fluid(service))
    before = set(sheet.lengths)
    first = service.sections[0]
    sheet.ends[name] = []
    _along(walk, service.sections, f"{pointer}/sections", _Reach(None))
    nodes = tuple(node for node in sheet.lengths if node not in before)
    made_of = gap("material", f"{pointer}/sections/0/material", first.material)
    touch_origin(sheet, tables, service, pointer, nodes[0], first.material, made_of)
    touch_protective_conductor(sheet, service, pointer, nodes)


def _along(walk: _Walk, sections: Sequence[Section], pointer: str, reach: _Reach) -> None:
    for index, section in enumerate(sections):
        here = f"{pointer}/{index}"
        reach = _pass(walk, section, here, reach)
        if isinstance(section, MainSection):
            for number, branch in enumerate(section.branches):
                _along(walk, branch.sections, f"{here}/branches/{number}/sections", reach)
    if reach.last is not None and not reach.plastic:
        walk.sheet.ends[walk.name].append(reach.last)


def _pass(walk: _Walk, section: Section, pointer: str, reach: _Reach) -> _Reach:
    conducts = walk.tables.ask("materials", section.material, "conducts")
    if conducts == "no":
        node = (
            _add(walk, section, pointer, "", "no", reach)
            if reach.plastic_node is None
            else _also_on(walk, section, pointer, reach.plastic_node)
        )
        return _Reach(reach.last, (*reach.plastic, Plastic(section.length_m, section.bore_mm, pointer)), node)
    near = _add(walk, section, pointer, "" if section.traced == "yes" else "near end", conducts, reach)
    _join_back(walk, section, pointer, reach, near)
    if section.traced == "yes":
        return _Reach(near)
    far = _add(walk, section, pointer, "far end", conducts, reach)
    question = gap("traced", f"{pointer}/traced", section.traced)
    walk.sheet.join(near, far, "unknown", question, "yes")
    walk.sheet.joint(near, far, "unknown", question)
    return _Reach(far)


def _also_on(walk: _Walk, section: Section, pointer: str, node: str) -> str:
    """One more plastic length of the same run: what was found on it is kept with the first."""
    length = walk.sheet.lengths[node]
    owner = f"{walk.name}/{_own_name(section, pointer)}"
    bonds = all_found(owner, pointer, "bonds", section.bonds)
    every = None if length.bonds is None and bonds is None else (length.bonds or ()) + (bonds or ())
    measurements = length.measurements + (all_found(owner, pointer, "measurements", section.measurements) or ())
    walk.sheet.lengths[node] = replace(length, bonds=every, measurements=measurements)
    return node


def _own_name(section: Section, pointer: str) -> str:
    return section.id or pointer.split("/sections/", 1)[1].replace("/", "-")


def _join_back(walk: _Walk, section: Section, pointer: str, reach: _Reach, node: str) -> None:
    if reach.last is None:
        return
    if reach.plastic:
        path = walk.tables.water_path(walk.fluid, tuple((one.length_m, one.bore_mm) for one in reach.plastic))
        walk.sheet.join(reach.last, node, path, walk.tables.column_gap(walk.fluid, reach.plastic, "length"), "no")
        return
    joint = walk.tables.joint(section.joint_before, walk.fluid)
    question = gap("joint_before", f"{pointer}/joint_before", section.joint_before)
    walk.sheet.join(reach.last, node, joint, question, walk.tables.settles(walk.fluid))
    walk.sheet.joint(reach.last, node, walk.tables.ask("joints", section.joint_before, "conducts"), question)


def _add(walk: _Walk, section: Section, pointer: str, end: str, conducts: Known, reach: _Reach) -> str:
    tables, service = walk.tables, walk.service
    enters = reach.last is None and not reach.plastic
    own = _own_name(section, pointer)
    kind, material = tables.kind_word("service", service.kind, "words", "service"), tables.word("materials", section.material, "words")
    words = f"the {kind}, {material} length {own}"
    touches = tables.ask("materials", section.material, "touches")
    earthy = both(touches, tables.ask("surroundings", section.surroundings, "earthy"))
    owner = f"{walk.name}/{own}"
    made_of = gap("material", f"{pointer}/material", section.material)
    lies_in = gap("surroundings", f"{pointer}/surroundings", section.surroundings)
    node = walk.sheet.add(
        Length(
            node=f"{owner}{'/' if end else ''}{end.replace(' ', '-')}",
            belongs_to=walk.name,
            pointer=pointer,
            name=f"{words}{', ' if end else ''}{end}",
            kind=service.kind,
            place="entry" if enters else "here",
            earthy=earthy_at_entry(tables, service) if enters and earthy == "no" else earthy,
            seen=section.traced != "no" or enters,
            fluid=walk.fluid,
            sort=tables.kind_word("service", service.kind, "sort"),
            lead=tables.ask("materials", section.material, "lead"),
            meter_inside=tables.meter_inside(service),
            meter_outside=tables.meter_outside(service),
            limited=service.left_out_by_agreement,
            stands_inside=_stands_inside(tables, section, enters, bool(end)),
            touchable_with_building=section.touchable_with_building,
            bonds=all_found(owner, pointer, "bonds", section.bonds) if end != "far end" else (),
            measurements=(all_found(owner, pointer, "measurements", section.measurements) or ()) if end != "far end" else (),
            gaps=_gaps(walk, section, pointer, enters and earthy == "no"),
        ),
        conducts,
        made_of,
    )
    ground = tables.ask("surroundings", section.surroundings, "ground")
    walk.sheet.touch(node, "ground", both(touches, ground), *of_metal(ground, lies_in, made_of))
    return node


def _gaps(walk: _Walk, section: Section, pointer: str, by_origin: bool) -> Mapping[str, str]:
    """`by_origin`: it meets soil where it comes in or not at all."""
    made_of, near = gap("material", f"{pointer}/material", section.material), section.touchable_with_building
    lies_in = together(gap("surroundings", f"{pointer}/surroundings", section.surroundings), made_of)
    position = gap("meter", f"{walk.pointer}/meter/position", walk.service.meter.position)
    return by_fact(
        {
            "touches_soil_or_concrete": gap("comes_from", f"{walk.pointer}/comes_from", walk.service.comes_from) if by_origin else lies_in,
            "stands_inside": gap("stands_inside", f"{pointer}/stands", section.stands),
            "touchable_with_building": gap("touchable_with_building", f"{pointer}/touchable_with_building", near),
            "lead": made_of,
            "meter_inside": position,
            "meter_outside": position,
            "bonds": gap("bond", f"{pointer}/bonds", section.bonds),
        }
    )


def _stands_inside(tables: Tables, section: Section, enters: bool, is_an_end: bool) -> Known:
    """Whether a length, or one end of a length that nobody traced, is inside; of one said to be in both places an end may not."""
    if section.stands is None:
        return stands_inside(tables.stands("lengths", "entering") if enters else tables.stands("surroundings", section.surroundings))
    return "unknown" if is_an_end and section.stands == "both" else stands_inside(section.stands)
