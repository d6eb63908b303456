"""Mistakes that no description could ever show: each by its words, with the reason, in `unnoticed.json` beside the cases of a family."""

from collections.abc import Sequence
from pathlib import Path

from msgspec import Struct

from bondwright.cli.rules.choosing import edition_of_pack, family
from bondwright.errors import NotJson, UnreadableRules
from bondwright.installation.documents import strict_json
from bondwright.proofs.findings import Finding
from bondwright.rulebook.pack import RulePack

_FILE = "unnoticed.json"
_KEYS = {"mistake", "because", "editions"}
_SURVIVED = "no worked case notices that "


class Exemption(Struct, frozen=True):
    """A mistake by what was done, and one sentence that says why no description shows it; `editions`: those in which it survives."""

    mistake: str
    because: str
    editions: tuple[str, ...]

    @property
    def no_longer(self) -> Finding:
        """That it is to go: what it speaks of is noticed by now, or is no mistake that is made."""
        said = f"`{_FILE}` exempts that {self.mistake}, and no such mistake survives; take it out"
        return Finding("mistakes", "error", None, said)

    def is_of(self, survivor: Finding) -> bool:
        """Whether it speaks of this survivor."""
        told = survivor.detail.removeprefix(_SURVIVED)
        return told == self.mistake or told.startswith(f"{self.mistake}; ")


def exemptions(folder: Path, pack: RulePack) -> tuple[Exemption, ...]:
    """Those of the edition of a pack, in file order; none without a file.

    Raises: UnreadableRules, for an entry with a key too many or too few, without a sentence, or written twice.
    """
    path, name = folder / family(pack) / _FILE, f"{family(pack)}/{_FILE}"
    if not path.exists():
        return ()
    try:
        entries = strict_json(path.read_bytes())
    except NotJson as error:
        raise UnreadableRules(name, 1, 1, str(error)) from None
    if not isinstance(entries, list):
        raise UnreadableRules(name, 1, 1, "it must be a list of objects with `mistake`, `because` and `editions`")
    found = tuple(_exemption(entry, name, f"entry {number}") for number, entry in enumerate(entries, start=1))
    for number, one in enumerate(found, start=1):
        if any(other.mistake == one.mistake for other in found[: number - 1]):
            raise UnreadableRules(name, 1, 1, f"entry {number}: this mistake is exempt already; write it once")
    return tuple(one for one in found if edition_of_pack(pack) in one.editions)


def _exemption(entry: object, file: str, place: str) -> Exemption:
    if not isinstance(entry, dict) or entry.keys() != _KEYS:
        raise UnreadableRules(file, 1, 1, f"{place}: write `mistake`, `because` and `editions`, and nothing else")
    mistake, because, editions = (entry[key] for key in ("mistake", "because", "editions"))
    if not isinstance(mistake, str) or not mistake:
        raise UnreadableRules(file, 1, 1, f"{place}: `mistake` must be what `rules mistakes` says after `{_SURVIVED.strip()}`")
    if not isinstance(because, str) or not because.endswith("."):
        raise UnreadableRules(file, 1, 1, f"{place}: `because` must be one sentence, with its full stop")
    if not isinstance(editions, list) or not editions or not all(isinstance(one, str) for one in editions):
        raise UnreadableRules(file, 1, 1, f"{place}: `editions` must be a list of editions, such as `bs7671-2018-a4`")
    return Exemption(mistake, because, tuple(editions))


def without_exempt(survivors: Sequence[Finding], exempt: Sequence[Exemption]) -> tuple[list[Finding], list[Exemption]]:
    """The survivors of which no exemption speaks, and the exemptions that speak of none: noticed by now, or of no mistake at all."""
    left = [one for one in survivors if not any(some.is_of(one) for some in exempt)]
    return left, [some for some in exempt if not any(some.is_of(one) for one in survivors)]
