"""A deliberate mistake: a change to one file of the small good pack, with the place and words of the refusal."""

from dataclasses import dataclass

from tests.rules.mini import FILES


@dataclass(frozen=True, slots=True)
class Mistake:
    """In `file`, `right` is replaced by `wrong`; the refusal stands at the first `at` within `wrong` and has the words `says`."""

    claim: str
    file: str
    right: str
    wrong: str
    at: str
    says: str

    def text(self) -> str:
        """The file with the mistake in it."""
        assert self.right in FILES[self.file], f"the small pack no longer has {self.right!r}"
        return FILES[self.file].replace(self.right, self.wrong, 1)

    def place(self) -> str:
        """Where the refusal must point, as `file:line:column`."""
        before = self.text()[: FILES[self.file].index(self.right) + self.wrong.index(self.at)]
        return f"{self.file}:{before.count(chr(10)) + 1}:{len(before) - before.rfind(chr(10))}"


def mistakes_in(file: str, *rows: tuple[str, str, str, str, str]) -> tuple[Mistake, ...]:
    """Mistakes of one file, a row each: claim, right, wrong, at, says."""
    return tuple(Mistake(claim, file, right, wrong, at, says) for claim, right, wrong, at, says in rows)
