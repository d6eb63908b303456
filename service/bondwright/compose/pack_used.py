"""What an answer says of the rule pack that decided, and of the others that could have."""

from collections.abc import Mapping
from dataclasses import dataclass, field

from bondwright.said import Sentence, SentenceIfAny


@dataclass(frozen=True, slots=True)
class AlsoUsable:
    """A rule pack that could lawfully have decided too. `differing`: a line for each part, room or size that it judges otherwise."""

    pack_id: str
    standard: str
    differing: tuple[Sentence, ...]


@dataclass(frozen=True, slots=True)
class PackUsed:
    """The rule pack that decided; `also_usable`: others in use on that day. `chosen_by`: a field of the description.

    `words`: the digest of the file of its sentences, by language; there only where the pack has such a file.
    """

    pack_id: str
    digest: str
    standard: str
    title: str
    usable_from: str
    usable_to: str | None
    review_by: str
    chosen_by: str
    chosen_on: str
    in_use_on_that_day: bool
    note: SentenceIfAny
    also_usable: tuple[AlsoUsable, ...] = ()
    words: Mapping[str, str] = field(default_factory=dict)
