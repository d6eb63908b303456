"""The supply in a line, with what nobody told, further earthings in a line each, and the sizes that follow from it."""

from collections.abc import Iterator

from bondwright.compose.answer import Evaluation, SizeVerdict
from bondwright.compose.sentences import size_words
from bondwright.installation.description import Conductor
from bondwright.report.page.naming import Names
from bondwright.report.page.shape import Entry
from bondwright.rulebook.facts import UNKNOWN
from bondwright.rulebook.held import Sentences

_MATERIALS = "materials"
_NOT_PME = "do_not_apply"


def supply(evaluation: Evaluation, names: Names) -> tuple[Entry, ...]:
    """What was told of the supply, what was not, how each further earthing stands to it, and the two sizes."""
    say = names.pack.say
    if premises_aside(evaluation):
        return (Entry(earthing_words(names)), Entry(say("site_no_sizes")))
    sizes = {
        "bond": size_here(evaluation.main_bond_size, say),
        "earthing": size_here(evaluation.earthing_conductor_size, say),
    }
    return (Entry(earthing_words(names)), *_further(evaluation), Entry(say("site_sizes", **sizes)))


def _further(evaluation: Evaluation) -> Iterator[Entry]:
    """Each further earthing that is judged, by what is safe to act on."""
    for one in evaluation.earthings:
        yield from (Entry(f"{one.name}: {told.words}.", (one.earthing,)) for told in one.verdicts)


def premises_aside(evaluation: Evaluation) -> bool:
    """Whether no rule covers the premises, so that nothing is sized."""
    return any(thing.of == "premises" for thing in evaluation.not_judged)


def earthing_words(names: Names) -> str:
    """Type of earthing, PME conditions, cut-out and neutral, as far as they were told; the rest named as not known."""
    told, say = names.installation.supply, names.pack.say
    words: list[str] = [told.earthing_system] if told.earthing_system != UNKNOWN else []
    words += [say(f"site_pme_{told.pme_conditions}")] if told.pme_conditions != UNKNOWN else []
    words += [say(f"site_phases_{told.phases}")] if told.phases != UNKNOWN else []
    words += [say("site_cut_out", rating=f"{told.cut_out_rating_a:g}")] if not isinstance(told.cut_out_rating_a, str) else []
    words += [say("site_neutral", conductor=neutral)] if (neutral := _conductor(told.neutral, names)) else []
    words += [say("site_further_supplies", count=str(len(told.further_supplies)))] if told.further_supplies else []
    words += [say("site_fed")] if told.feeder else []
    open_ones = [
        say(code)
        for code, said in (
            ("site_open_earthing", told.earthing_system),
            ("site_open_pme", told.pme_conditions),
            ("site_open_neutral", told.neutral.size if told.pme_conditions != _NOT_PME else ""),
        )
        if said == UNKNOWN
    ]
    return ", ".join([*words, *([say("site_not_known", what=", ".join(open_ones))] if open_ones else [])])


def size_here(size: SizeVerdict, say: Sentences) -> str:
    """A size as the page says it: a range that is open points to the questions."""
    if size.firm or size.provisional is not None:
        return size_words(size, say)
    unit = size.unit.replace("mm2", "mm²")
    return say("site_size_open", lower=f"{size.lowest:g}", upper=f"{size.highest:g} {unit}")


def _conductor(conductor: Conductor, names: Names) -> str:
    if conductor.size == UNKNOWN:
        return ""
    size = f"{conductor.size:g} mm²" if not isinstance(conductor.size, str) else conductor.size
    metal = names.pack.rows(_MATERIALS).get(conductor.material, {}).get("words", "") if conductor.material != UNKNOWN else ""
    return f"{size} {metal}".strip()
