"""Where in the text of a JSON document a JSON Pointer points, for whoever has to correct it in an editor."""

import re
from collections.abc import Iterator

_TOKEN = re.compile(r'"(?:[^"\\]|\\.)*"|[{}\[\],:]|[^\s{}\[\],:"]+', re.DOTALL)


def position(text: bytes, pointer: str) -> tuple[int, int]:
    """Line and column, from 1, of the key or member that `pointer` names; of what holds it, where nothing is called so.

    `text` is well-formed JSON in UTF-8. Source of pointers: RFC 6901.

    >>> position(b'{"a": 1,\\n "b": [5, 6]}', "/b/1")
    (2, 11)
    """
    written = text.decode("utf-8")
    steps = [step.replace("~1", "/").replace("~0", "~") for step in pointer.split("/")[1:]]
    offset = _offset(_Tokens(written), steps)
    return written.count("\n", 0, offset) + 1, offset - written.rfind("\n", 0, offset)


class _Tokens:
    """The tokens of a document, one after the other; `at` and `token` are of the present one."""

    def __init__(self, text: str) -> None:
        self._found: Iterator[re.Match[str]] = _TOKEN.finditer(text)
        self.at, self.token = 0, ""
        self.step()

    def step(self) -> None:
        """Goes on to the next token; stays where the document ends."""
        if found := next(self._found, None):
            self.at, self.token = found.start(), found[0]

    def skip(self) -> None:
        """Goes on to the token behind the value that begins here."""
        depth = 0
        while True:
            depth += (self.token in ("{", "[")) - (self.token in ("}", "]"))
            self.step()
            if not depth:
                return


def _offset(tokens: _Tokens, steps: list[str]) -> int:
    """Where the innermost step stands that leads on from the value at the present token."""
    found = tokens.at
    for step in steps:
        if tokens.token not in ("{", "["):
            return found
        entered = _entered(tokens, step)
        if entered is None:
            return found
        found = entered
    return found


def _entered(tokens: _Tokens, step: str) -> int | None:
    """Goes on to the value called `step` in the object or list that begins here; where its key or the member stands, if there is one."""
    is_object, number = tokens.token == "{", 0
    tokens.step()
    while tokens.token not in ("}", "]"):
        at, name = tokens.at, str(number)
        if is_object:
            name = _unquoted(tokens.token)
            tokens.step()  # the colon
            tokens.step()
        if name == step:
            return at
        tokens.skip()
        if tokens.token == ",":
            tokens.step()
        number += 1
    return None


def _unquoted(token: str) -> str:
    """A key as it reads; one with escapes never equals a step, as no key of a case has any."""
    return token[1:-1]
