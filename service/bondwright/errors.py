"""Every error that Bondwright raises on purpose.

    BondwrightError
    ├── Refused            the caller's input cannot be used; carries one Fault per place
    │   ├── NotJson        the bytes are not one JSON document
    │   ├── NotTheSchema   a JSON document, but not a description
    │   ├── Contradiction  a description that contradicts itself
    │   └── TooMuch        a description larger than one evaluation takes
    ├── UnreadableRules    a rule file cannot be used; `file:line:column: …`
    ├── UnknownName        no such evaluation, rule pack or rule
    ├── KeyRefused         the caller showed no key that is good
    ├── ScopeMissing       the caller's key is for other things
    ├── QuotaSpent         the caller's key has nothing left of what it may ask for
    ├── Crowded            too much of one tenant's work waits already
    ├── CutOff             the process that evaluated was ended in the middle
    ├── SentBefore         an idempotency key was sent before with another request
    ├── EngineDisagreement the two channels differ: no verdict is given
    ├── EngineFault        the rule engine broke its contract
    ├── RecordBroken       a stored record cannot be trusted or written
    ├── NothingKept        there is no record, or none of the tenant, where one was to be read
    ├── UnusableProgress   the file that keeps how far a command has come is not of this call
    └── WrongSetting       a setting of the environment cannot be used

The errors know nothing of HTTP; `api` keeps the table of statuses.
"""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Fault:
    """One thing wrong at one place: `pointer` is a JSON Pointer (RFC 6901) into the received document."""

    pointer: str
    detail: str


class BondwrightError(Exception):
    """Root of all errors raised on purpose."""


class Refused(BondwrightError):
    """The caller's input cannot be used; `faults` says where and what would be right."""

    def __init__(self, faults: tuple[Fault, ...]) -> None:
        self.faults = faults
        super().__init__("; ".join(f"{fault.pointer or '/'}: {fault.detail}" for fault in faults))


class NotJson(Refused):
    """The bytes are not one well-formed JSON document in UTF-8."""


class NotTheSchema(Refused):
    """The document is JSON, but not an installation description."""


class Contradiction(Refused):
    """The description fits the schema but cannot be true of one installation."""


class NoSize(Contradiction):
    """No rule of the pack gives a size that is worked out for every subject of its kind; `name` is that of its outcome, `of` the kind."""

    def __init__(self, faults: tuple[Fault, ...], name: str, of: str) -> None:
        self.name, self.of = name, of
        super().__init__(faults)


class TooMuch(Refused):
    """The description is larger than one evaluation takes; it can be sent in parts."""


class UnreadableRules(BondwrightError):
    """A rule file cannot be used; the message starts with `file:line:column`."""

    def __init__(self, file: str, line: int, column: int, detail: str) -> None:
        self.file, self.line, self.column, self.detail = file, line, column, detail
        super().__init__(f"{file}:{line}:{column}: {detail}")


class UnknownName(BondwrightError):
    """Nothing is kept under that name; `kind` says what was looked for."""

    def __init__(self, kind: str, name: str) -> None:
        self.kind, self.name = kind, name
        super().__init__(f"no {kind} is known by that name")


class KeyRefused(BondwrightError):
    """The caller showed no key, or one that is unknown, mistyped, expired or revoked; which of these is not told."""


class ScopeMissing(BondwrightError):
    """The caller's key is good, and not for this; `scope` is what it lacks."""

    def __init__(self, scope: str) -> None:
        self.scope = scope
        super().__init__(f"the key has no scope {scope}")


class QuotaSpent(BondwrightError):
    """The caller's key has nothing left of its `per_minute` evaluations; after `retry_after_s` it has."""

    def __init__(self, retry_after_s: int, per_minute: int) -> None:
        self.retry_after_s, self.per_minute = retry_after_s, per_minute
        super().__init__(f"the key may ask for {per_minute} evaluations a minute")


class Crowded(BondwrightError):
    """So much of the tenant's own work waits that nothing was added to it; after `retry_after_s` it should be done."""

    def __init__(self, retry_after_s: int) -> None:
        self.retry_after_s = max(1, retry_after_s)
        super().__init__("too much work of one tenant waits")


class CutOff(BondwrightError):
    """The process that evaluated was ended in the middle, or could not be started; nothing was recorded."""


class SentBefore(BondwrightError):
    """The same idempotency key came with another request; nothing was recorded for this one."""


class EngineDisagreement(BondwrightError):
    """The rule engine and the plain reader differ on one situation, so no verdict may be given."""

    def __init__(self, pack_digest: str, stage: str, differences: tuple[str, ...]) -> None:
        self.pack_digest, self.stage, self.differences = pack_digest, stage, differences
        super().__init__(f"stage {stage} of pack {pack_digest}: the two channels differ in {len(differences)} places")


class EngineFault(BondwrightError):
    """The rule engine did not keep its contract (sentinel, status, limits)."""


class RecordBroken(BondwrightError):
    """A stored record cannot be read, written or trusted."""


class NothingKept(BondwrightError):
    """There is nothing to read where a record was to be read."""


class UnusableProgress(BondwrightError):
    """The file in which a command keeps how far it has come cannot be read or written, or belongs to another call."""


class WrongSetting(BondwrightError):
    """A setting cannot be used; `name` is its variable."""

    def __init__(self, name: str, detail: str) -> None:
        self.name, self.detail = name, detail
        super().__init__(f"{name}: {detail}")
