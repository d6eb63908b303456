"""What the members of an outline are, each in a sentence."""

from collections.abc import Mapping

OUTLINED: Mapping[str, Mapping[str, str]] = {
    "Outline": {
        "form": "The form of this outline.",
        "digests": "What it rests on, by digest.",
        "acts": "What to do about every part, location, earthing and feeding circuit, in the order of the evaluation.",
        "questions": "Every question of the evaluation, each once; all else names them by their place here, from 0.",
        "not_judged": "What is described and no rule covers.",
        "told_not_used": "Facts that were told and not used.",
    },
    "OutlinedAct": {
        "of": "What it is about.",
        "id": "Id of the part, location or earthing within the evaluation; `feeder` for the feeding circuit.",
        "place": "Where to connect, in words; null where nothing is to be connected.",
        "code": "The code under which an inspection reports it; null where nothing settled is to be reported.",
        "test": "The look or measurement to make, as the rule pack names it; null of what is no part.",
        "bonds": "The bonds that are on it.",
        "questions": "What could change it, by its place in `questions` of the outline.",
        "could_relax": "Readings that nobody must make and that could free from something, by their place in `questions`.",
    },
    "OutlinedBond": {"bond": "Id of the bond within the evaluation.", "code": "The code under which an inspection reports it; else null."},
    "OutlinedGap": {"kind": "The word of the description for it.", "of": "What kind of thing it is."},
    "OutlinedQuestion": {
        "fact": "The fact that is not known, as the rule pack names it.",
        "pointer": "JSON Pointer to the field that answers it; null where the description has none.",
    },
    "OutlinedSize": {
        "lowest": "The least that it may come to.",
        "highest": "The most that it may come to.",
        "provisional": "A size that is usable for now, to be confirmed; null where there is none, or where it is firm.",
        "questions": "What could narrow it, by its place in `questions` of the outline.",
    },
}
"""By the name of the shape, then of the member."""
