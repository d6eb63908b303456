"""What a new pack means beside the one that it follows: what becomes stricter, what more lenient, and what goes neither way."""

from collections.abc import Iterator, Sequence

from msgspec import Struct

from bondwright.cli.rules.choosing import WrongCall, edition_of_pack
from bondwright.cli.rules.differences import Change, changes
from bondwright.cli.rules.publishing.checking import NO_SOLVER
from bondwright.cli.rules.sections import COMES_FROM
from bondwright.cli.rules.sections import ROWS as ROWS_OF_PLACES
from bondwright.cli.rules.stricter import searched
from bondwright.rulebook.pack import RulePack

STRICTER, LENIENT = "stricter", "more lenient"

_TIMES = ("usable_from", "usable_to", "review_by", "on_request")
_WORDS = ("title", "clause")
_FACT = ("of", "kind", "evidence", "choices", "unit", "lowest", "highest")


class Meaning(Struct, frozen=True):
    """Every difference in words, each outcome that goes one way with an example, and the changes whose way cannot be worked out.

    `stricter`, `lenient`: by outcome. `unjudged`: each as `KIND NAME`.
    """

    changes: tuple[Change, ...]
    stricter: dict[str, str]
    lenient: dict[str, str]
    unjudged: tuple[str, ...]

    def lines(self) -> list[str]:
        """The difference on paper, by direction."""
        moved = [(f"{STRICTER}:", self.stricter.values()), (f"{LENIENT}:", self.lenient.values())]
        told = [line for heading, some in moved for line in (heading, *(f"  {one}" for one in some or ["nothing"]))]
        told.append("other:")
        told += [f"  {name}: which way it goes cannot be worked out" for name in self.unjudged]
        told += [f"  {change.line()}" for change in self.changes]
        return told if self.changes or self.unjudged else [*told, "  nothing"]


def meaning(old: RulePack, new: RulePack) -> Meaning:
    """How `new` differs from `old`; every way of an outcome is proved by the solver, and shown by an example where a search finds one."""
    found = tuple(changes(old, new))
    ways: dict[str, dict[str, str]] = {STRICTER: {}, LENIENT: {}}
    for outcome, way, shown in _turns(old, new):
        ways[way][outcome] = f"{outcome} becomes {way}: knowing {shown}"
    for moved in searched(old, new).moved if ways[STRICTER] or ways[LENIENT] else ():
        ways[moved.becomes][moved.outcome] = moved.line()
    return Meaning(found, ways[STRICTER], ways[LENIENT], unjudged(old, new, found))


def unjudged(old: RulePack, new: RulePack, found: Sequence[Change]) -> tuple[str, ...]:
    """The differences between two packs of which nobody can work out which way they go, each as `KIND NAME`."""
    return tuple(dict.fromkeys(_unjudged(old, new, found)))


def _turns(old: RulePack, new: RulePack) -> Iterator[tuple[str, str, str]]:
    # Imported here: the solver comes with the extra `rules`, and a service that only answers does without it.
    try:
        from bondwright.proofs.solver.direction import turns, unlike_facts
    except ImportError:
        raise WrongCall(NO_SOLVER) from None
    unlike = unlike_facts(old, new)
    kinds = dict.fromkeys(outcome.of for outcome in new.outcomes.values())
    blind = {of for name in unlike for of in (*old.facts[name].of, *new.facts[name].of)}
    for turn in turns(old, new, [of for of in kinds if of not in blind]):
        yield turn.outcome, turn.way, turn.shown
    for outcome in new.outcomes.values():
        if outcome.of in blind:
            yield outcome.name, LENIENT, f"nothing that could be compared: {', '.join(unlike)} is a fact of another kind now"


def _unjudged(old: RulePack, new: RulePack, found: Sequence[Change]) -> Iterator[str]:
    """Changes that act before there are facts, or after there are outcomes: no condition of a rule shows which way they go."""
    for change in found:
        name = f"{change.kind} {change.name}"
        match change.kind:
            case "value" if change.field in ("", "value"):
                yield name
            case "reference table" if change.field not in _WORDS and (_number(change.was) != _number(change.now) or not change.field):
                yield name
            case "property" if not change.field or old.deciding(change.name) != new.deciding(change.name):
                yield name
            case "fact" if change.field.partition(" ")[0] in COMES_FROM:
                yield name
            case "fact" if change.field and _scope(old, change.name) != _scope(new, change.name):
                yield name
            case "outcome" if (change.field and _scale(old, change.name) != _scale(new, change.name)) or not (change.field or change.now):
                yield name
            case "advice" if (change.field and _asks(old, change.name) != _asks(new, change.name)) or not (change.field or change.now):
                yield name
            case "list of" if change.name == "joints" or (change.name == ROWS_OF_PLACES and _acts(old, old) != _acts(new, old)):
                yield name
            case "place" if (change.field or not change.now) and not change.field.endswith("words"):
                yield name
            case "role" | "place not judged":
                yield name
            case "pack" if change.field in _TIMES and edition_of_pack(old) == edition_of_pack(new):
                yield f"{name} {change.field}"


def _number(cell: str) -> str:
    """A cell without its source."""
    return cell.partition(" (")[0]


def _scope(pack: RulePack, fact: str) -> list[object]:
    return [getattr(pack.facts[fact], field) for field in _FACT]


def _asks(pack: RulePack, act: str) -> tuple[str, str]:
    return pack.advice[act].mark, pack.advice[act].instruction


def _acts(pack: RulePack, judging: RulePack) -> list[object]:
    """The rows that give the acts of the places that `judging` judges."""
    return [(row.levels, row.firm, row.once, row.act) for row in pack.places.rows_about(judging.places.kinds.values())]


def _scale(pack: RulePack, outcome: str) -> tuple[object, ...]:
    one = pack.outcomes[outcome]
    return one.levels, one.unit, one.cautious, one.of, one.stage
