"""The editable files as they are, those of a family written whole, for changes that only a whole pack shows."""

from collections.abc import Mapping

from bondwright.shelf.drafts.shared import read_shared, shared_files
from bondwright.shelf.drafts.short_examples import written_out
from bondwright.shelf.edition import EditionFile
from bondwright.shelf.lines import bytes_of, lines_of
from bondwright.shelf.packs import rules_folder
from bondwright.shelf.reading.nodes import read_nodes

_RULES = rules_folder()

FAMILY_FILES: dict[str, str] = {
    shared.name: bytes_of(read_shared(shared).lines).decode() for shared in shared_files(_RULES, "iec60364/2017") if shared.base
}
"""The text of each file in which a family states what differs, written whole, by its name within the folder of rules."""
WHOLE: Mapping[str, str] = {
    path.relative_to(_RULES).as_posix(): path.read_text(encoding="utf-8")
    for pattern in ("*.yaml", "bs7671/*.yaml", "bs7671/places/*.yaml", "iec60364/*.yaml")
    for path in sorted(_RULES.glob(pattern))
} | FAMILY_FILES
"""The text of each file by its name within the folder of rules."""


def whole_examples(text: str) -> str:
    """The text of an edition with every example whole, each on its line."""
    data = text.encode()
    return bytes_of(written_out(EditionFile("whole.yaml", lines_of(data, "whole.yaml"), read_nodes(data, "whole.yaml")))).decode()


def edition_that_reads(file: str) -> str:
    """An edition that a change of the file reaches: the file itself, or the smallest one that shares it."""
    return file.removesuffix(".yaml") if "pack:" in WHOLE[file].split("values:")[0] else _OF_FAMILY[file.partition("/")[0]]


_OF_FAMILY = {"materials.yaml": "bs7671/2018", "sources.yaml": "bs7671/2018", "outcomes.yaml": "bs7671/2018"} | dict.fromkeys(
    ("iec60364", "vocabulary.yaml", "reference.yaml"), "iec60364/2017"
)
