"""A deliberate mistake: a change to one file of a good pack, with the place and words of the refusal."""

from collections.abc import Mapping
from dataclasses import dataclass

from tests.rules.mini import EDITION, FILES
from tests.rules.whole import WHOLE, edition_that_reads


@dataclass(frozen=True, slots=True)
class Mistake:
    """In `file` of `files`, `right` is replaced by `wrong`, and `edition` is read.

    The refusal stands at the first `at` within `wrong`, or behind an `@` at the first within the whole file, and has the words `says`.
    """

    claim: str
    file: str
    right: str
    wrong: str
    at: str
    says: str
    files: Mapping[str, str]
    edition: str

    def text(self) -> str:
        """The file with the mistake in it."""
        assert self.right in self.files[self.file], f"the pack no longer has {self.right!r}"
        return self.files[self.file].replace(self.right, self.wrong, 1)

    def place(self) -> str:
        """Where the refusal must point, as `file:line:column`."""
        text, start = self.text(), self.files[self.file].index(self.right)
        before = text[: text.index(self.at[1:]) if self.at.startswith("@") else start + self.wrong.index(self.at)]
        return f"{self.file}:{before.count(chr(10)) + 1}:{len(before) - before.rfind(chr(10))}"


def mistakes_in(file: str, *rows: tuple[str, str, str, str, str]) -> tuple[Mistake, ...]:
    """Mistakes of one file of the small pack, a row each: claim, right, wrong, at, says."""
    return tuple(Mistake(*(claim, file, right, wrong, at, says), FILES, EDITION) for claim, right, wrong, at, says in rows)


def whole_mistakes_in(file: str, *rows: tuple[str, str, str, str, str]) -> tuple[Mistake, ...]:
    """The same of a file of the packs as they are."""
    edition = edition_that_reads(file)
    return tuple(Mistake(*(claim, file, right, wrong, at, says), WHOLE, edition) for claim, right, wrong, at, says in rows)
