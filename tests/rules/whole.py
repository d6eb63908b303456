"""The editable files as they are, for changes that only a whole pack shows."""

from collections.abc import Mapping

from bondwright.shelf.packs import rules_folder

_RULES = rules_folder()

WHOLE: Mapping[str, str] = {
    path.relative_to(_RULES).as_posix(): path.read_text(encoding="utf-8")
    for pattern in ("*.yaml", "bs7671/*.yaml", "iec60364/*.yaml")
    for path in sorted(_RULES.glob(pattern))
}
"""The text of each file by its name within the folder of rules."""


def edition_that_reads(file: str) -> str:
    """An edition that a change of the file reaches: the file itself, or the smallest one that shares it."""
    return file.removesuffix(".yaml") if "pack:" in WHOLE[file].split("values:")[0] else _OF_FAMILY[file.partition("/")[0]]


_OF_FAMILY = {"materials.yaml": "bs7671/2018", "sources.yaml": "bs7671/2018", "outcomes.yaml": "bs7671/2018"} | dict.fromkeys(
    ("iec60364", "vocabulary.yaml", "reference.yaml"), "iec60364/2017"
)
