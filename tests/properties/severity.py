"""Where the JSON of an answer and its words disagree: in verdicts, lines, sentences, on the page; and which of them says more."""

from collections.abc import Iterator, Mapping
from typing import TypeAlias

from tests.properties import page as pages
from tests.properties.claims import (
    APART,
    JSON,
    WORDS,
    Disagreement,
    Json,
    claimed_by_act_on,
    claimed_by_words,
    codes_of,
    compared,
    in_text,
    phrases,
    verdicts_of,
)
from tests.properties.said_of_places import SENTENCES_OF_PLACES

from bondwright.rulebook.pack import NOT_JUDGED, RulePack

Claims: TypeAlias = Mapping[str, tuple[str, ...]]

_DUTY = ("required", "not_shown")
_BOND = ("not_shown", "cannot_rely", "does_not_connect")
_SETTLES_NOTHING = ("ask_first",)
"""To ask is as right before a matter is settled as after it."""
SENTENCES: Mapping[str, Claims] = {
    "leave": {"main_bonding": ("not_required",)},
    "leave_or_put_right": {"main_bonding": ("not_required",), "bond_connection": ("counts",), "bond_compliance": ("put_right",)},
    "leave_as_found": {"main_bonding": ("not_required", "designer_decides")},
    "do_not_connect": {
        "main_bonding": ("not_required", "designer_decides"),
        "objection": ("ask_first", "owner_refused", "must_not_be_connected"),
    },
    "disconnect": {"main_bonding": ("not_required",), "objection": ("must_not_be_connected",)},
    "stop": {"main_bonding": _DUTY, "objection": ("must_not_be_connected",)},
    "refused": {"main_bonding": _DUTY, "objection": ("owner_refused",)},
    "ask_first": {"main_bonding": (*_DUTY, "not_required", "designer_decides"), "objection": ("ask_first",)},
    "add_nothing": {"main_bonding": ("not_required",), "objection": ("ask_first",)},
    "keep_and_note": {"main_bonding": _DUTY, "bond_connection": ("counts",), "bond_compliance": ("improve",)},
    "look_for_bond": {"main_bonding": ("look_first",), "objection": ("no_objection",)},
    "look_for_bond_on_shared": {"main_bonding": ("look_first",), "objection": ("no_objection",)},
    "look_for_both": {"main_bonding": ("not_shown",), "objection": ("no_objection",)},
    "look_then_measure": {"main_bonding": ("not_shown",), "objection": ("no_objection",)},
    "keep": {"main_bonding": _DUTY, "bond_connection": ("counts",)},
    "mend": {"main_bonding": (*_DUTY, "designer_decides"), "bond_connection": ("counts",), "bond_compliance": ("put_right",)},
    "test_bond": {"main_bonding": _DUTY, "bond_connection": _BOND},
    "repair": {"main_bonding": ("required",), "bond_connection": ("cannot_rely", "does_not_connect")},
    "measure_or_repair": {"main_bonding": ("not_shown",), "bond_connection": ("cannot_rely", "does_not_connect")},
    "look_or_repair": {"main_bonding": ("not_shown",), "bond_connection": ("cannot_rely", "does_not_connect")},
    "covered": {"main_bonding": ("covered", "not_required")},
    "bond": {"main_bonding": ("required",), "objection": ("no_objection",)},
    "bond_shared": {"main_bonding": ("required",), "objection": ("no_objection",)},
    "look_or_bond": {"main_bonding": ("not_shown",), "objection": ("no_objection",)},
    "measure_or_bond": {"main_bonding": ("not_shown",), "objection": ("no_objection",)},
    "keep_separate": {"objection": ("no_new_connection", "ask_first")},
    "ask_about_bond": {"objection": ("no_new_connection", "ask_first")},
    "ask_where_it_stands": {"main_bonding": (*_DUTY, "designer_decides")},
    "keep_protective_conductor": {"main_bonding": ("not_required",), "objection": ("no_added_bond", "ask_first")},
    "designer_decides": {"main_bonding": ("designer_decides",)},
    "not_judged": {},
    "not_judged_there": {"main_bonding": ("not_required",)},
    "room_nothing": {"supplementary_bonding": ("nothing_to_bond",)},
    "room_omit": {"supplementary_bonding": ("may_be_omitted",)},
    "room_bond": {"supplementary_bonding": ("required",)},
    "room_bond_or": {"supplementary_bonding": ("required",)},
    "room_keep": {"supplementary_bonding": _DUTY, "supplementary_found": ("shown",)},
    "room_settle": {"supplementary_bonding": ("not_shown",)},
    "room_rcd": {"supplementary_bonding": ("nothing_to_bond",)},
    "room_rcd_then_omit": {"supplementary_bonding": _DUTY},
    "room_bond_and_rcd": {"supplementary_bonding": ("required",)},
    "room_keep_and_rcd": {"supplementary_bonding": _DUTY, "supplementary_found": ("shown",)},
    "room_settle_and_rcd": {"supplementary_bonding": ("not_shown",)},
    "feeder_serves": {"feeder_conductor": ("as_large_as_asked",)},
    "feeder_enlarge": {"feeder_conductor": ("too_small",)},
    "feeder_settle": {"feeder_conductor": ("not_shown",)},
    "feeder_ask": {"feeder_separation": ("ask_first",)},
    "feeder_ask_conductor": {"feeder_separation": ("ask_first",)},
    "feeder_show_first": {"feeder_separation": ("show_first", "ask_first")},
    "feeder_separate": {"feeder_separation": ("separate",)},
    "feeder_joins_both": {"feeder_separation": ("stays",)},
    "feeder_brings_no_earth": {"feeder_separation": ("stays",)},
    "own_terminal_nothing": {"main_bonding": ("not_required",), "objection": ("own_terminal_only",)},
    "own_terminal": {"objection": ("own_terminal_only",)},
    "own_terminal_bond": {"objection": ("own_terminal_only", "ask_first")},
    "earthing_kept_apart": {"further_earthing": ("kept_apart",)},
    "earthing_joined_well": {"further_earthing": ("joined_well",)},
    "earthing_put_right": {"further_earthing": ("put_right",)},
    "earthing_show_first": {"further_earthing": ("show_first",)},
    "earthing_within_reach": {"further_earthing": ("within_reach",)},
    "earthing_must_be_parted": {"further_earthing": ("must_be_parted",)},
    "earthing_ask_first": {"further_earthing": ("ask_first",)},
    "earthing_measure_again": {"further_earthing": ("ask_first",)},
    **SENTENCES_OF_PLACES,
}
"""What somebody who reads the line and the customer's sentence of each act takes from them, as `act_on` would say it."""


def disagreements(answer: Json, page: str, pack: RulePack) -> list[Disagreement]:
    """Everywhere that an answer disagrees with itself, or with its page; `answer`: an evaluation as JSON."""
    inspected = answer["pack"]["chosen_by"] == "inspected_on"
    found: list[Disagreement] = []
    for kind in ("parts", "rooms", "earthings"):
        for subject in answer.get(kind, ()):
            where = f"{kind} {subject['name']}"
            found += [*_subject(where, subject, inspected, pack), *_page(where, subject, page, pack)]
            found += [one for bond in subject.get("bonds", ()) for one in _bond(f"bond {bond['bond']}", bond, subject, inspected, pack)]
            found += [one for taken in subject.get("readings", ()) for one in _line("reading", taken, [taken["verdict"]], pack)]
    if feeder := answer["feeder"]:
        found += [
            *_verdicts("feeder", feeder, pack),
            *_act("feeder", feeder, pack),
            *_page("feeder", {**feeder, "name": "the feeding circuit"}, page, pack),
        ]
    for short in (*answer["groups"], *answer["rooms"], *answer.get("earthings", ()), *([feeder] if feeder else [])):
        if pages.flat(f"{pack.say('mark_' + short['mark'])} {short['line']}") not in pages.flat(page):
            found.append(Disagreement("page", f"does not say: {short['line']}", APART))
    return found


def _subject(where: str, subject: Json, inspected: bool, pack: RulePack) -> Iterator[Disagreement]:
    yield from _verdicts(where, subject, pack)
    yield from _act(where, subject, pack)
    told_here = [one for bond in subject.get("bonds", ()) if not bond["observation"] for one in bond["verdicts"]]
    own = verdicts_of({**subject, "bonds": [], "readings": []})
    yield from _observation(where, subject, [*own, *told_here], inspected, pack)


def _bond(where: str, bond: Json, part: Json, inspected: bool, pack: RulePack) -> Iterator[Disagreement]:
    """A bond; what is wrong with it may be told of the part that it is on, once."""
    yield from _line(where, bond, bond["verdicts"], pack)
    if bond["observation"] or not part["observation"] or codes_of(bond["verdicts"], pack) != {part["observation"]["code"]}:
        yield from _observation(where, bond, bond["verdicts"], inspected, pack)
    connection = next(one for one in bond["verdicts"] if one["outcome"] == "bond_connection")
    if bond["counts"] != connection["act_on"]:
        yield Disagreement(where, f"counts {bond['counts']}, act_on {connection['act_on']}", APART)


def _verdicts(where: str, subject: Json, pack: RulePack) -> Iterator[Disagreement]:
    """Each verdict against its own words, and against what is settled."""
    for one in verdicts_of(subject):
        outcome, told = pack.outcomes[one["outcome"]], f"{one['outcome']}: {one['act_on']} is called {one['words']!r}"
        if NOT_JUDGED in (subject["act"], one["act_on"]):
            yield from _not_judged(where, subject, one, told, pack)
            continue
        yield from compared(where, claimed_by_words(outcome, one["words"]), claimed_by_act_on(outcome, one["act_on"]), told)
        above = one["act_on"] in outcome.levels and outcome.levels.index(one["act_on"]) > outcome.levels.index(one["lowest_possible"])
        last = bool(outcome.unsettled) and one["act_on"] == outcome.levels[-1] and one["act_on"] not in _SETTLES_NOTHING
        if not one["firm"] and above and (codes_of([one], pack) or last):
            yield Disagreement(where, f"{one['outcome']}: {one['act_on']} is not settled", JSON)
        if one["firm"] and one["act_on"] not in (one["worst_case"], "covered", "look_first"):
            yield Disagreement(where, f"{one['outcome']}: {one['act_on']}, though {one['worst_case']} is settled", WORDS)


def _not_judged(where: str, subject: Json, one: Json, told: str, pack: RulePack) -> Iterator[Disagreement]:
    """A verdict for want of rules is called so, and claims nothing; nothing else of its subject is judged."""
    if (subject["act"], one["act_on"], one["words"]) != (NOT_JUDGED, NOT_JUDGED, pack.advice[NOT_JUDGED].verdict) or one["firm"]:
        yield Disagreement(where, f"act {subject['act']}, {told}", APART)


def _line(where: str, told: Json, verdicts: list[Json], pack: RulePack) -> Iterator[Disagreement]:
    """A line that repeats the words of its verdicts: what it says besides, and what it leaves out of what it is about."""
    yield from in_text(where, told["line"], verdicts, pack)
    for one in verdicts:
        concluded = one["outcome"] in ("bond_connection", "bond_compliance", "bond_report", "bond_removal", "reading_found")
        if concluded and one["words"] not in told["line"]:
            first = one["act_on"] == pack.outcomes[one["outcome"]].levels[0]
            yield Disagreement(where, f"{one['outcome']}: the line does not say {one['words']!r}", WORDS if first else JSON)


def _act(where: str, subject: Json, pack: RulePack) -> Iterator[Disagreement]:
    """The line, read as the pack's act means it, and the words of levels that stand in it."""
    own = [
        one
        for one in verdicts_of({**subject, "bonds": [], "readings": []})
        if one["outcome"] in ("main_bonding", "objection", "supplementary_bonding")
    ]
    yield from in_text(where, subject["line"], own, pack)
    for name, allowed in SENTENCES[subject["act"]].items():
        outcome = pack.outcomes[name]
        acted_on = [one["act_on"] for one in verdicts_of(subject) if one["outcome"] == name]
        if not set(acted_on) & set(allowed):
            said = frozenset(claim for word in allowed for claim in claimed_by_act_on(outcome, word))
            json = frozenset(claim for word in acted_on for claim in claimed_by_act_on(outcome, word))
            what = f"act {subject['act']} where {name} is {', '.join(acted_on)}"
            yield from list(compared(where, said, json, what)) or [Disagreement(where, what, APART)]


def _observation(where: str, subject: Json, verdicts: list[Json], inspected: bool, pack: RulePack) -> Iterator[Disagreement]:
    """An observation is there exactly where an inspection reports a code, and names no other."""
    codes = codes_of(verdicts, pack) if inspected else set()
    for rule in pack.rules if subject["observation"] else ():
        coded = dict(zip(pack.outcomes[rule.outcome].levels, pack.outcomes[rule.outcome].codes, strict=True)) if rule.level else {}
        if coded.get(rule.level) not in (None, "", subject["observation"]["code"]) and rule.says in subject["observation"]["words"]:
            yield Disagreement(where, f"{subject['observation']['code']} in words for {coded[rule.level]}: {rule.says}", WORDS)
    observed = {subject["observation"]["code"]} if subject["observation"] else set()
    if observed - codes:
        yield Disagreement(where, f"observation {observed} beside codes {codes}", JSON)
    if codes - observed:
        yield Disagreement(where, f"codes {codes} beside observation {observed}", WORDS)


def _page(where: str, subject: Json, page: str, pack: RulePack) -> Iterator[Disagreement]:
    """What the page says was judged, and the codes on it, against the JSON."""
    verdicts, text = verdicts_of(subject), pages.about(page, subject["name"], subject["pointer"])
    if not text and verdicts:
        yield Disagreement(where, "is not on the page", APART)
    told = {one["words"] for one in verdicts}
    outcomes = [pack.outcomes[one["outcome"]] for one in verdicts]
    for words in sorted(phrases(text, outcomes) - told):
        yield from list(in_text(where, words, verdicts, pack)) or [Disagreement(where, f"the page says {words!r}", WORDS)]
    by_json, on_page = codes_of(verdicts, pack), pages.codes(text)
    if by_json - on_page:
        yield Disagreement(where, f"the page does not report {by_json - on_page}", JSON)
    if on_page - by_json:
        yield Disagreement(where, f"the page reports {on_page - by_json}", WORDS)
