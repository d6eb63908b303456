"""Words of an answer that no rule pack adds to: in the document they are closed lists, though the shapes hold plain text."""

from collections.abc import Mapping
from typing import get_args

from bondwright.conclude.reasons import CONFIDENCE
from bondwright.facts.told import WhyNot
from bondwright.rulebook.declared.acts import INSTRUCTIONS
from bondwright.rulebook.pack import NOT_JUDGED
from bondwright.rulebook.rule import Polarity
from bondwright.shelf.reading.advice import MARKS
from bondwright.shelf.reading.values import KINDS

_NOT_JUDGED = ("location", "item", "service", "premises", "earthing")
_POLARITIES = (*(polarity.value for polarity in Polarity), "otherwise", NOT_JUDGED)

CLOSED: Mapping[str, Mapping[str, tuple[str, ...]]] = {
    "CalculationAnswer": {"weakest_source": (*CONFIDENCE, "none_needed")},
    "Cited": {"kind": KINDS, "confidence": CONFIDENCE},
    "EarthingAnswer": {"mark": MARKS},
    "FeederAnswer": {"mark": MARKS},
    "Group": {"mark": MARKS},
    "NotJudged": {"of": _NOT_JUDGED},
    "OutlinedAct": {"instruction": INSTRUCTIONS},
    "OutlinedGap": {"of": _NOT_JUDGED},
    "OutlinedUnused": {"why": get_args(WhyNot)},
    "PackAct": {"mark": MARKS, "instruction": INSTRUCTIONS},
    "PackUsed": {"chosen_by": ("rule_pack", "designed_on", "inspected_on")},
    "PartAnswer": {"mark": MARKS},
    "RoomAnswer": {"mark": MARKS},
    "RuleInFull": {"polarity": _POLARITIES, "kind": KINDS, "confidence": CONFIDENCE},
    "RuleSummary": {"polarity": _POLARITIES},
    "SizeVerdict": {"weakest_source": CONFIDENCE},
    "ToldNotUsed": {"why": get_args(WhyNot)},
    "Verdict": {"weakest_source": CONFIDENCE},
}
"""By the name of the shape, then of the member."""
