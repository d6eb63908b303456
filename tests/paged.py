"""Pages of evaluations, in the sentences of the pack that each names."""

from functools import cache

from bondwright.compose.answer import Evaluation
from bondwright.report.brief import brief_text
from bondwright.report.text import evaluation_text
from bondwright.rulebook.held import Sentences
from bondwright.shelf.packs import draft_pack, rules_folder
from bondwright.shelf.published import on_shelf


def page(evaluation: Evaluation) -> str:
    """The whole page."""
    return evaluation_text(evaluation, spoken(evaluation.pack.pack_id, evaluation.pack.digest))


def brief_page(evaluation: Evaluation) -> str:
    """The short one."""
    return brief_text(evaluation, spoken(evaluation.pack.pack_id, evaluation.pack.digest))


@cache
def spoken(pack_id: str, digest: str) -> Sentences:
    """The sentences of the published pack of that digest; else of the draft of that id, or of one of its family's."""
    published = next((pack.whole() for pack in on_shelf(rules_folder()) if pack.digest == digest), None)
    if published:
        return published.say
    family = pack_id.partition("-")[0]
    heads = sorted((rules_folder() / family).glob("*.yaml"), reverse=True)
    drafts = [f"{family}/{path.stem}" for path in heads if f"\n  id: {family}-" in path.read_text(encoding="utf-8")]
    named = [edition for edition in drafts if edition.replace("/", "-") == pack_id.rpartition("-r")[0]]
    return draft_pack(rules_folder(), (named or drafts)[0]).say
