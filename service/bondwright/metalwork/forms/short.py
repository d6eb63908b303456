"""The short form of a service as up to three lengths: entering, inside, beyond a hidden stretch."""

from bondwright.errors import Contradiction, Fault
from bondwright.installation.services import InsulatingSection, Service
from bondwright.metalwork.forms.making import noted_on, of_service, write_length
from bondwright.metalwork.forms.origins import in_soil_at_entry, touch_origin, touch_protective_conductor
from bondwright.metalwork.forms.tables import Plastic, Tables
from bondwright.metalwork.graph import Known, Settles
from bondwright.metalwork.keys import gap, together
from bondwright.metalwork.known import both, either, known, opposite, stands_inside
from bondwright.metalwork.lengths import EntrySection
from bondwright.metalwork.notes import SurveyNotes

_INSIDE = "inside_pipe"


def survey_service(notes: SurveyNotes, tables: Tables, service: Service, pointer: str, name: str) -> None:
    """Write the lengths of one service in the short form onto `notes`.

    Raises: Contradiction, if a bond or reading is on a length that the description says is not there.
    """
    _refuse_what_is_not_there(service, pointer)
    has_beyond = service.inside != "nothing" and service.hidden != "no"
    entering = _entering(notes, tables, service, pointer, name)
    nodes = [entering]
    if service.inside != "nothing":
        inside = _inside(notes, tables, service, pointer, name, _INSIDE)
        _join_entry(notes, tables, service, pointer, entering, inside)
        nodes.append(inside)
        if has_beyond:
            beyond = _inside(notes, tables, service, pointer, name, "beyond_hidden")
            _join_hidden(notes, tables, service, pointer, inside, beyond)
            nodes.append(beyond)
    touch_protective_conductor(notes, service, pointer, tuple(nodes[1:] or nodes))
    notes.ends[name] = nodes if service.inside in ("nothing", "unknown") else nodes[1:]


def _entering(notes: SurveyNotes, tables: Tables, service: Service, pointer: str, name: str) -> str:
    meter_inside, made_of = tables.meter_inside(service), gap("material", f"{pointer}/enters_as", service.enters_as)
    node = write_length(
        notes,
        tables,
        service,
        node=f"{name}/entering",
        belongs_to=name,
        pointer=pointer,
        name=_named(tables, service, service.enters_as, "name_entering"),
        kind=service.kind,
        bond_place="meter" if meter_inside == "yes" and _through_meter(tables, service) == "yes" else "entry",
        material=service.enters_as,
        made_of=made_of,
        touches_soil_or_concrete=both(in_soil_at_entry(tables, service), tables.ask("materials", service.enters_as, "touches")),
        stands_inside=stands_inside(service.entering_pipe_stands or tables.stands("lengths", "entering")),
        noted=noted_on(name, pointer, service, "entering_pipe"),
        service=of_service(tables, service, _owners(tables, service, meter_inside), _entry_section(tables, service, "no")),
        gaps={
            "touches_soil_or_concrete": together(gap("comes_from", f"{pointer}/comes_from", service.comes_from), made_of),
            "owner_asset": _meter_gap(tables, service, pointer),
            "stands_inside": gap("stands_inside", f"{pointer}/entering_pipe_stands", service.entering_pipe_stands),
            **_common_gaps(service, pointer, None),
        },
    )
    touch_origin(notes, tables, service, pointer, node, service.enters_as, made_of)
    return node


def _inside(notes: SurveyNotes, tables: Tables, service: Service, pointer: str, name: str, which: str) -> str:
    touches, made_of = _hidden_touch(tables, service), gap("material", f"{pointer}/inside", service.inside)
    said = service.inside_pipe_stands if which == _INSIDE else service.beyond_hidden_stands
    node = write_length(
        notes,
        tables,
        service,
        node=f"{name}/{'inside' if which == _INSIDE else 'beyond'}",
        belongs_to=name,
        pointer=pointer,
        name=_named(tables, service, service.inside, _sentence(service, which)),
        kind=service.kind,
        bond_place=_place_inside(tables, service, which),
        material=service.inside,
        made_of=made_of,
        touches_soil_or_concrete=_hidden_in_soil(tables, service),
        stands_inside=stands_inside(said or tables.stands("lengths", which)),
        noted=noted_on(name, pointer, service, which),
        service=of_service(tables, service, entry_section=_entry_section(tables, service, touches)),
        gaps={
            "touches_soil_or_concrete": _in_soil_gap(service, pointer),
            "stands_inside": gap("stands_inside", f"{pointer}/{which}_stands", said),
            **_common_gaps(service, pointer, _hidden_gap(service, pointer)),
        },
    )
    buried, settles = both(touches, tables.ask("materials", service.inside, "touches")), _hidden_settles(tables, service)
    notes.touch(node, "ground", buried, together(_hidden_gap(service, pointer), made_of), settles)
    return node


def _common_gaps(service: Service, pointer: str, beyond: str | None) -> dict[str, str | None]:
    """What may be open of every length. `beyond`: the question whether it meets the ground beyond the entry."""
    section, at = service.insulating_section, f"{pointer}/insulating_section"
    made_of = gap("material", f"{pointer}/enters_as", service.enters_as)
    fields = {"insulating_section_length": "length_m", "insulating_section_from_entry": "from_entry_m"}
    of_section = {
        fact: gap("insulating_section", f"{at}/{key}", getattr(section, key)) if isinstance(section, InsulatingSection) else None
        for fact, key in fields.items()
    }
    position = gap("meter", f"{pointer}/meter/position", service.meter.position)
    return {
        "insulating_section_at_entry": together(gap("insulating_section", at, section), made_of, beyond),
        **of_section,
        "meter_inside": position,
        "meter_outside": position,
    }


def _sentence(service: Service, which: str) -> str:
    if which == _INSIDE:
        return "name_inside"
    return "name_beyond_any_hidden" if service.hidden == "unknown" else "name_beyond_hidden"


def _place_inside(tables: Tables, service: Service, which: str) -> str:
    if which == "beyond_hidden":
        return "emerges"
    if service.meter.position == "inside":
        return "meter"
    return "here" if tables.ask("materials", service.enters_as, "conducts") == "no" else "entry"


def _join_entry(notes: SurveyNotes, tables: Tables, service: Service, pointer: str, entering: str, inside: str) -> None:
    section = service.insulating_section
    if isinstance(section, InsulatingSection):
        fluid = tables.fluid(service)
        path = tables.water_path(fluid, ((section.length_m, section.bore_mm),), section.conductivity_us_per_cm)
        at = f"{pointer}/insulating_section"
        plastic, measured = (Plastic(section.length_m, section.bore_mm, at),), section.conductivity_us_per_cm
        question = tables.column_gap(fluid, plastic, "insulating_section", measured, f"{at}/conductivity_us_per_cm")
        notes.join(entering, inside, path, question, "no")
        return
    joined = tables.joint(service.joined_by, tables.fluid(service))
    through: tuple[Known, ...] = ("yes" if section == "none" else "unknown", _through_meter(tables, service), joined)
    question, settles = _entry_gap(tables, service, pointer, through)
    notes.join(entering, inside, both(*through), question, settles)
    metal = both(through[0], _metal_through_meter(tables, service), tables.ask("joints", service.joined_by, "conducts"))
    notes.joint(entering, inside, metal, question)


def _entry_gap(tables: Tables, service: Service, pointer: str, through: tuple[Known, ...]) -> tuple[str | None, Settles]:
    """What is open between the entering and the inside pipe, and which way that settles it; `through`: section, meter and joint."""
    questions = (
        gap("insulating_section", f"{pointer}/insulating_section", service.insulating_section),
        _meter_gap(tables, service, pointer),
        gap("joined_by", f"{pointer}/joined_by", service.joined_by),
    )
    settles = tables.settles(tables.fluid(service))
    if all(question or value == "yes" for question, value in zip(questions, through, strict=True)):
        return together(*questions), "either" if questions[0] else settles
    return together(*questions) if settles == "either" else questions[0], "no"


def _join_hidden(notes: SurveyNotes, tables: Tables, service: Service, pointer: str, inside: str, beyond: str) -> None:
    whole = tables.ask("materials", service.hidden_as, "conducts")
    fluid = tables.fluid(service)
    question = gap("hidden_as", f"{pointer}/hidden_as", service.hidden_as)
    notes.join(inside, beyond, either(whole, tables.water_path(fluid, (("unknown", "unknown"),))), question, tables.settles(fluid))
    notes.joint(inside, beyond, whole, question)


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


def _hidden_in_soil(tables: Tables, service: Service) -> Known:
    return both(known(service.hidden), tables.ask("surroundings", service.hidden_in, "earthy"))


def _hidden_gap(service: Service, pointer: str) -> str | None:
    if service.hidden == "unknown":
        return gap("hidden", f"{pointer}/hidden")
    if service.hidden_in == "unknown":
        return gap("hidden_in", f"{pointer}/hidden_in")
    return gap("hidden_as", f"{pointer}/hidden_as", service.hidden_as)


def _hidden_settles(tables: Tables, service: Service) -> Settles:
    """Where the hidden length is said to lie in what may or may not touch the ground, no answer shows that it does."""
    there = tables.ask("surroundings", service.hidden_in, "ground")
    return "no" if there == "unknown" and service.hidden_in != "unknown" else "either"


def _in_soil_gap(service: Service, pointer: str) -> str | None:
    return gap("hidden", f"{pointer}/hidden", service.hidden) or gap("hidden_in", f"{pointer}/hidden_in", service.hidden_in)


def _meter_gap(tables: Tables, service: Service, pointer: str) -> str | None:
    """What is open of a meter that may part the metal; nothing where none is inside."""
    inside, meter = tables.meter_inside(service), service.meter
    position = gap("meter", f"{pointer}/meter/position", meter.position) if inside == "unknown" else None
    return together(position, gap("meter", f"{pointer}/meter/body", meter.body) if inside != "no" else None)


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


def _named(tables: Tables, service: Service, material: str, sentence: str) -> str:
    return tables.pack.say(sentence, service=tables.service_words(service), material=tables.word("materials", material, "words"))


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
