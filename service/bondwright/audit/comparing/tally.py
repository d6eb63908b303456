"""What a rule pack would change among many records, counted; it grows with the kinds of change, not with the records."""

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import asdict
from typing import Any

from msgspec import Struct, field

from bondwright.audit.comparing.impact import Change

EXAMPLES = 3
"""Changes of one kind that are told with the evaluation in which they were found: the first ones."""

RECORDS = ("judged", "changed", "same", "not_touched", "not_evaluated")
"""What records are counted as; those judged have changed or are the same."""


class Tally(Struct):
    """Counts of records and, by (outcome, direction), of changes; each kind of change with its first examples."""

    records: Counter[str] = field(default_factory=lambda: Counter(dict.fromkeys(RECORDS, 0)))
    changes: Counter[tuple[str, str]] = field(default_factory=Counter)
    examples: dict[tuple[str, str], list[tuple[str, Change]]] = field(default_factory=dict)

    def add_judged(self, evaluation_id: str, found: Sequence[Change]) -> None:
        """Counts a record that the pack judged, with what it says otherwise."""
        self.records["judged"] += 1
        self.records["changed" if found else "same"] += 1
        for change in found:
            kind = (change.outcome, change.direction)
            self.changes[kind] += 1
            shown = self.examples.setdefault(kind, [])
            if len(shown) < EXAMPLES:
                shown.append((evaluation_id, change))

    def add_not_touched(self) -> None:
        """Counts a record that another pack would judge."""
        self.records["not_touched"] += 1

    def add_not_evaluated(self) -> None:
        """Counts a record that could not be evaluated."""
        self.records["not_evaluated"] += 1

    def values(self) -> dict[str, Any]:
        """All of it as JSON takes it: the counts of records, and a list of changes in the order of their kinds."""
        told = [
            {
                "outcome": kind[0],
                "direction": kind[1],
                "verdicts": count,
                "examples": [{"evaluation_id": one, "change": asdict(change)} for one, change in self.examples[kind]],
            }
            for kind, count in sorted(self.changes.items())
        ]
        return {"records": dict(self.records), "changes": told}


def tally_of(values: Mapping[str, Any]) -> Tally:
    """The tally that gave `values`. Raises: KeyError, TypeError or AttributeError, if none did."""
    tally = Tally(Counter({name: values["records"][name] for name in RECORDS}))
    for told in values["changes"]:
        kind = (told["outcome"], told["direction"])
        tally.changes[kind] = told["verdicts"]
        tally.examples[kind] = [(one["evaluation_id"], Change(**one["change"])) for one in told["examples"]]
    return tally
