"""What rests on another clause than before, or is trusted more: neither goes out without a reason that is kept."""

from collections.abc import Iterator, Mapping

from bondwright.cli.rules.publishing.becauses import Need
from bondwright.conclude.reasons import CONFIDENCE
from bondwright.proofs.sources import Resting, resting
from bondwright.rulebook.because import About
from bondwright.rulebook.pack import RulePack

_CHANGE: About = "change"


def needs_of_backing(old: RulePack, new: RulePack) -> Iterator[Need]:
    """For what both packs have: each clause that is another, and each confidence that rises, which also takes a day and a source."""
    before, after = _by_what(old), _by_what(new)
    for what, now in after.items():
        was = before.get(what)
        if was is None:
            continue
        if was.clause != now.clause:
            yield Need(_CHANGE, f"clause of {what}", f"the clause of {what} was `{was.clause}` and is `{now.clause}`")
        if CONFIDENCE.index(now.confidence) < CONFIDENCE.index(was.confidence):
            words = f"the confidence of {what} rises from {was.confidence} to {now.confidence}"
            yield Need(_CHANGE, f"confidence of {what}", words, seen=True)


def _by_what(pack: RulePack) -> Mapping[str, Resting]:
    return {one.what.replace("`", ""): one for one in resting(pack)}
