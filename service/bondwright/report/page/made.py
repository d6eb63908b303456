"""The page made of an evaluation, the description and the pack; nothing is decided here."""

from collections.abc import Iterator

from bondwright.compose.answer import Evaluation
from bondwright.installation.description import InspectedWork, Installation
from bondwright.report.page import acts, checks, first, recorded, supplied, tested
from bondwright.report.page.acts import KNOW_FIRST
from bondwright.report.page.naming import Names
from bondwright.report.page.shape import Calls, Entry, Page, Section, shortened
from bondwright.report.page.told import Subject, subjects
from bondwright.rulebook.pack import RulePack

_DIGITS = 12
_NUMBERED = ("check", "do", "found")


def page_of(evaluation: Evaluation, installation: Installation, pack: RulePack, calls: Calls) -> Page:
    """The page for the site, on which every part, location and circuit stands. `pack`: the one that the evaluation names."""
    names = Names(evaluation, installation, pack)
    told = subjects(evaluation, names)
    digest = evaluation.pack.digest[:_DIGITS]
    whole = Page(
        keep_off=first.keep_off(evaluation, names),
        title=first.title(evaluation, names),
        opening=first.opening(names, acts.said_once(told, names)),
        sections=tuple(
            Section(name, pack.say(f"site_label_{name}"), entries, name in _NUMBERED)
            for name, entries in _sections(told, evaluation, names, calls)
            if entries
        ),
        foot=pack.say("site_foot", pack=evaluation.pack.pack_id, digest=digest, why=calls.why, full=calls.full),
    )
    return shortened(whole, {one.id for one in told if one.told.mark in KNOW_FIRST})


def _sections(told: tuple[Subject, ...], evaluation: Evaluation, names: Names, calls: Calls) -> Iterator[tuple[str, tuple[Entry, ...]]]:
    """The sections in reading order, each by its name."""
    say, inspected = names.pack.say, isinstance(names.installation.work, InspectedWork)
    urgent = (*acts.acting(told), *told)
    yield "not_in_use", first.not_in_use(evaluation, names)
    yield "not_covered", first.not_covered(told, evaluation, names)
    yield "not_used", first.not_used(evaluation, names)
    yield "supply", supplied.supply(evaluation, names)
    yield "check", checks.to_check(told, evaluation, names, calls.why)
    yield "found" if inspected else "do", acts.to_do(told, names)
    yield "kept", acts.kept(told, names)
    yield "covered", acts.covered(told, names)
    yield "free", acts.free(told, names)
    yield "nothing", (Entry(say("page_nothing_described")),) if first.nothing_described(evaluation) else ()
    yield "reading", tested.readings(told, names)
    yield "test", tested.tests(told, evaluation, names)
    yield "record", recorded.recorded(told, evaluation, names)
    yield "customer", first.customer(urgent, names)
    yield "safety", (Entry(say("site_safety")), Entry(say("site_comes_first")))
    yield "basis", first.basis(told, evaluation, names)
