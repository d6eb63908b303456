"""The short form of a service as up to three lengths: entering, inside, beyond a hidden stretch."""

from bondwright.errors import Contradiction, Fault
from bondwright.installation.services import InsulatingSection, Service
from bondwright.metalwork.graph import Known
from bondwright.metalwork.known import both, either, known, opposite, stands_inside
from bondwright.metalwork.lengths import EntrySection, Found, Length, Sheet, found_on, gap
from bondwright.metalwork.origins import earthy_at_entry, touch_origin, touch_protective_conductor
from bondwright.metalwork.tables import Tables

_INSIDE = "inside_pipe"


def survey_service(sheet: Sheet, tables: Tables, service: Service, pointer: str, name: str) -> None:
    """Write the lengths of one service in the short form onto `sheet`.

    Raises: Contradiction, if a bond or reading is on a length that the description says is not there.
    """
    _refuse_what_is_not_there(service, pointer)
    has_beyond = service.inside != "nothing" and service.hidden != "no"
    entering = _entering(sheet, tables, service, pointer, name)
    nodes = [entering]
    if service.inside != "nothing":
        inside = _inside(sheet, tables, service, pointer, name, _INSIDE)
        _join_entry(sheet, tables, service, pointer, entering, inside)
        nodes.append(inside)
        if has_beyond:
            beyond = _inside(sheet, tables, service, pointer, name, "beyond_hidden")
            _join_hidden(sheet, tables, service, pointer, inside, beyond)
            nodes.append(beyond)
    touch_protective_conductor(sheet, service, pointer, tuple(nodes[1:] or nodes))
    sheet.ends[name] = nodes if service.inside in ("nothing", "unknown") else nodes[1:]


def _entering(sheet: Sheet, tables: Tables, service: Service, pointer: str, name: str) -> str:
    meter_inside = tables.meter_inside(service)
    node = sheet.add(
        Length(
            node=f"{name}/entering",
            belongs_to=name,
            pointer=pointer,
            name=_named(tables, service, service.enters_as, "where it comes in"),
            kind=service.kind,
            place="meter" if meter_inside == "yes" and _through_meter(tables, service) == "yes" else "entry",
            earthy=both(earthy_at_entry(tables, service), tables.ask("materials", service.enters_as, "touches")),
            fluid=tables.fluid(service),
            owner_asset=_owners(tables, service, meter_inside),
            owner_gap=gap("meter", f"{pointer}/meter"),
            sort=tables.kind_word("service", service.kind, "sort"),
            lead=known(tables.told("materials", service.enters_as, "lead")),
            meter_inside=meter_inside,
            meter_outside=tables.meter_outside(service),
            limited=service.left_out_by_agreement,
            stands_inside=stands_inside(service.entering_pipe_stands or tables.stands("lengths", "entering")),
            stands_at="entering_pipe_stands",
            touchable_with_building=service.touchable_with_building,
            entry_section=_entry_section(tables, service, "no"),
            bonds=_bonds(service, pointer, name, "entering_pipe"),
            measurements=_measurements(service, pointer, name, "entering_pipe"),
        ),
        tables.ask("materials", service.enters_as, "conducts"),
        gap("material", f"{pointer}/enters_as"),
    )
    touch_origin(sheet, tables, service, pointer, node, service.enters_as)
    return node


def _inside(sheet: Sheet, tables: Tables, service: Service, pointer: str, name: str, which: str) -> str:
    touches, usual = _hidden_touch(tables, service), tables.stands("lengths", which)
    node = sheet.add(
        Length(
            node=f"{name}/{'inside' if which == _INSIDE else 'beyond'}",
            belongs_to=name,
            pointer=pointer,
            name=_named(tables, service, service.inside, _where(service, which)),
            kind=service.kind,
            place=_place_inside(tables, service, which),
            earthy=_hidden_earthy(tables, service),
            fluid=tables.fluid(service),
            sort=tables.kind_word("service", service.kind, "sort"),
            lead=known(tables.told("materials", service.inside, "lead")),
            meter_inside=tables.meter_inside(service),
            meter_outside=tables.meter_outside(service),
            limited=service.left_out_by_agreement,
            stands_inside=stands_inside((service.inside_pipe_stands if which == _INSIDE else service.beyond_hidden_stands) or usual),
            stands_at=f"{which}_stands",
            touchable_with_building=service.touchable_with_building,
            entry_section=_entry_section(tables, service, touches),
            bonds=_bonds(service, pointer, name, which),
            measurements=_measurements(service, pointer, name, which),
        ),
        tables.ask("materials", service.inside, "conducts"),
        gap("material", f"{pointer}/inside"),
    )
    sheet.touch(node, "ground", both(touches, tables.ask("materials", service.inside, "touches")), _hidden_gap(service, pointer))
    return node


def _where(service: Service, which: str) -> str:
    if which == _INSIDE:
        return "inside"
    return "beyond any hidden stretch" if service.hidden == "unknown" else "beyond the hidden stretch"


def _place_inside(tables: Tables, service: Service, which: str) -> str:
    if which == "beyond_hidden":
        return "emerges"
    if service.meter.position == "inside":
        return "meter"
    return "here" if tables.ask("materials", service.enters_as, "conducts") == "no" else "entry"


def _join_entry(sheet: Sheet, tables: Tables, service: Service, pointer: str, entering: str, inside: str) -> None:
    section = service.insulating_section
    if isinstance(section, InsulatingSection):
        fluid = tables.fluid(service)
        path = tables.water_path(fluid, ((section.length_m, section.bore_mm),), section.conductivity_us_per_cm)
        sheet.join(entering, inside, path, gap("insulating_section", f"{pointer}/insulating_section"))
        return
    meter = _through_meter(tables, service)
    parts: tuple[tuple[str, Known], ...] = (
        ("insulating_section", "yes" if section == "none" else "unknown"),
        ("meter", meter),
        ("joined_by", tables.joint(service.joined_by, tables.fluid(service))),
    )
    doubtful = next((ask for ask, value in parts if value == "unknown"), "joined_by")
    question = gap(doubtful, f"{pointer}/{doubtful}")
    sheet.join(entering, inside, both(*(value for _, value in parts)), question)
    metal = both(parts[0][1], _metal_through_meter(tables, service), tables.ask("joints", service.joined_by, "conducts"))
    sheet.joint(entering, inside, metal, question)


def _join_hidden(sheet: Sheet, tables: Tables, service: Service, pointer: str, inside: str, beyond: str) -> None:
    whole = tables.ask("materials", service.hidden_as, "conducts")
    fluid = tables.fluid(service)
    question = gap("hidden_as", f"{pointer}/hidden_as")
    sheet.join(inside, beyond, either(whole, tables.water_path(fluid, (("unknown", "unknown"),))), question)
    sheet.joint(inside, beyond, whole, question)


def _entry_section(tables: Tables, service: Service, touches_beyond: Known) -> EntrySection:
    """The insulating section at the entry; a length that meets the ground beyond it does not profit by it."""
    section = service.insulating_section
    if not isinstance(section, InsulatingSection):
        return EntrySection("no" if section == "none" else _if_metal_enters(tables, service, touches_beyond, "unknown"))
    return EntrySection(_if_metal_enters(tables, service, touches_beyond, "yes"), section.length_m, section.from_entry_m)


def _if_metal_enters(tables: Tables, service: Service, touches_beyond: Known, described: Known) -> Known:
    return both(described, tables.ask("materials", service.enters_as, "conducts"), opposite(touches_beyond))


def _hidden_touch(tables: Tables, service: Service) -> Known:
    """Whether the pipe meets the ground where it is hidden; metal seen to enter the soil is in it, whatever follows."""
    if service.hidden == "no":
        return "no"
    value = tables.ask("surroundings", service.hidden_in, "ground")
    if tables.ask("materials", service.hidden_as, "conducts") == "no":
        return "no"
    return value if service.hidden == "yes" else both(value, "unknown")


def _hidden_earthy(tables: Tables, service: Service) -> Known:
    return both(known(service.hidden), tables.ask("surroundings", service.hidden_in, "earthy"))


def _hidden_gap(service: Service, pointer: str) -> str | None:
    if service.hidden == "unknown":
        return gap("hidden", f"{pointer}/hidden")
    if service.hidden_in == "unknown":
        return gap("hidden_in", f"{pointer}/hidden_in")
    return gap("hidden_as", f"{pointer}/hidden_as") if service.hidden_as == "unknown" else None


def _through_meter(tables: Tables, service: Service) -> Known:
    """Whether a potential may pass the meter, through metal or the water in it; without one inside it does."""
    return _past_meter(tables, service, tables.meter(service.meter.body, tables.fluid(service)))


def _metal_through_meter(tables: Tables, service: Service) -> Known:
    """Whether metal is continuous through the meter."""
    return _past_meter(tables, service, tables.ask("meter_bodies", service.meter.body, "conducts"))


def _past_meter(tables: Tables, service: Service, body: Known) -> Known:
    inside = tables.meter_inside(service)
    return "yes" if inside == "no" else body if inside == "yes" else either(body, "unknown")


def _owners(tables: Tables, service: Service, meter_inside: Known) -> Known:
    """Whether the entering length is the owner's: before a meter inside that parts it from the consumer's pipe."""
    if tables.kind_ask("service", service.kind, "owner_before_meter") == "no":
        return "no"
    body = tables.ask("meter_bodies", service.meter.body, "conducts")
    parted: Known = "yes" if body == "no" else "no" if body == "yes" else "unknown"
    return both(meter_inside, parted)


def _named(tables: Tables, service: Service, material: str, where: str) -> str:
    return f"the {tables.kind_word('service', service.kind, 'words', 'service')} {where} ({tables.word('materials', material, 'words')})"


def _bonds(service: Service, pointer: str, name: str, on: str) -> tuple[Found, ...] | None:
    if isinstance(service.bonds, str):
        return None
    return found_on(name, pointer, "bonds", [(index, bond) for index, bond in enumerate(service.bonds) if bond.on == on])


def _measurements(service: Service, pointer: str, name: str, on: str) -> tuple[Found, ...]:
    taken = [(index, reading) for index, reading in enumerate(service.measurements) if reading.on == on]
    return found_on(name, pointer, "measurements", taken)


def _refuse_what_is_not_there(service: Service, pointer: str) -> None:
    absent = {"inside_pipe", "beyond_hidden"} if service.inside == "nothing" else {"beyond_hidden"} if service.hidden == "no" else set()
    bonds = () if isinstance(service.bonds, str) else service.bonds
    said = [
        (f"{list_name}/{index}/on", place)
        for list_name, places in (("bonds", [bond.on for bond in bonds]), ("measurements", [taken.on for taken in service.measurements]))
        for index, place in enumerate(places)
    ]
    said += [("inside_pipe_stands", "inside_pipe")] if service.inside_pipe_stands else []
    said += [("beyond_hidden_stands", "beyond_hidden")] if service.beyond_hidden_stands else []
    way_out = "the description says that there is no such length; name another or describe the length"
    if faults := tuple(Fault(f"{pointer}/{field}", way_out) for field, place in said if place in absent):
        raise Contradiction(faults)
