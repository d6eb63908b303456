"""What was chosen for the reader: the rule pack that judged, and the limits taken."""

from datetime import date

from bondwright.compose.pack_used import PackUsed
from bondwright.facts.parts.readings import Limits
from bondwright.installation.description import DesignedWork, Installation
from bondwright.rulebook.pack import PackHead, RulePack

_KILO = 1000


def chosen_date(installation: Installation) -> tuple[str, date]:
    """The date that picks the edition, with the name of its field."""
    work = installation.work
    return ("designed_on", work.designed_on) if isinstance(work, DesignedWork) else ("inspected_on", work.inspected_on)


def in_use(pack: PackHead, day: date) -> bool:
    """Whether the edition may be worked to on that day."""
    return pack.usable_from <= day and (pack.usable_to is None or day <= pack.usable_to)


def pack_used(installation: Installation, pack: RulePack) -> PackUsed:
    """What the answer says of the pack that judged."""
    field, day = chosen_date(installation)
    return PackUsed(
        pack_id=pack.pack_id,
        digest=pack.digest,
        standard=pack.standard,
        title=pack.title,
        usable_from=pack.usable_from.isoformat(),
        usable_to=pack.usable_to.isoformat() if pack.usable_to else None,
        review_by=pack.review_by.isoformat(),
        chosen_by="rule_pack" if installation.rule_pack else field,
        chosen_on=day.isoformat(),
        in_use_on_that_day=in_use(pack, day),
        note=pack.note,
        words=pack.words,
    )


def choices_made(limit: Limits, installation: Installation, pack: RulePack) -> tuple[str, ...]:
    """What was chosen for the reader, a sentence each: the limit that readings are judged against, and what is taken of the premises."""
    acting = limit.decides.highest
    chosen = "limit_by_raised_current" if acting == limit.raised else "limit_by_default_current"
    told = [pack.say(chosen, limit=f"{acting / _KILO:.4g}")]
    if installation.touch_current == "30_mA" and acting != limit.raised:
        told.append(pack.say("raised_current_not_taken"))
    premises = pack.kind("premises", installation.premises)
    if premises.judged and (taken := premises.word("known", "")):
        told.append(taken)
    return tuple(told)
