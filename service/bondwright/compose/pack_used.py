"""What an answer says of the rule pack that decided, and of the others that could have."""

from collections.abc import Mapping

import msgspec

from bondwright.members import Described
from bondwright.said import Sentence, SentenceIfAny


class AlsoUsable(Described, frozen=True):
    """A rule pack that could lawfully have decided too. `differing`: a line for each part, room or size that it judges otherwise."""

    pack_id: str
    standard: str
    differing: tuple[Sentence, ...]


class PackUsed(Described, frozen=True):
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
    words: Mapping[str, str] = msgspec.field(default_factory=dict)
