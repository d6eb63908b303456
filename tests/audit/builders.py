"""Records and packs to keep, with everything filled in that a test does not care about."""

import hashlib
import json

from bondwright.audit.forms import WITH_TABLES
from bondwright.audit.record import NewRecord

PACK_TEXT = b"rule pack of the tests"


def digest(content: bytes) -> str:
    """SHA-256 in hex."""
    return hashlib.sha256(content).hexdigest()


def new_record(
    evaluation_id: str,
    tenant: str = "local",
    evaluation_bytes: bytes = b'{"verdicts":[]}',
    evaluation_digest: str = "",
    input_bytes: bytes = b"{}",
    salt: bytes = bytes(range(16)),
    recorded_at: str = "2026-11-25T09:30:00.000Z",
    pack_id: str = "tests-2026-r1",
    pack_text: bytes = PACK_TEXT,
) -> NewRecord:
    """A record that fits; its digests are those of the bytes given, unless stated."""
    return NewRecord(
        evaluation_id=evaluation_id,
        tenant=tenant,
        recorded_at=recorded_at,
        salt=salt,
        input_bytes=input_bytes,
        evaluation_bytes=evaluation_bytes,
        evaluation_digest=evaluation_digest or digest(evaluation_bytes),
        pack_id=pack_id,
        pack_digest=digest(pack_text),
        versions={"service": "0.1.0", "engine": "2.0.28"},
    )


def evaluation(reference: str = "", rule: str = "r", clause: str = "1.1", level: tuple[str, str] = ("outcome", "level")) -> bytes:
    """An evaluation of form 1 with one verdict for one reason, as far as it is indexed."""
    reason = {"rule": rule, "pack_id": "tests-2026-r1", "clause": clause}
    verdict = {"outcome": level[0], "act_on": level[1], "because": [reason]}
    return json.dumps({"reference": reference, "pack": {"chosen_on": "2026-11-25"}, "parts": [{"verdicts": [verdict]}]}).encode()


def in_form(form: int, worst_case: str, act_on: str = "", firm: bool = True, size: tuple[float, float] = (10, 10)) -> bytes:
    """An evaluation of that form: a part with a verdict on it, and a size. In form 1 the worst case is what to act on."""
    levels = {"act_on": worst_case} if form == 1 else {"act_on": act_on or worst_case, "worst_case": worst_case}
    reason = {"rule": "r", "pack_id": "tests-2026-r1", "clause": "1.1"}
    if form >= WITH_TABLES:
        return _with_tables(form, worst_case, act_on or worst_case, firm, size)
    verdict = {"outcome": "main", **levels, "firm": firm, "lowest_possible": worst_case, "because": [reason]}
    sized = {"outcome": "size", "lowest": size[0], "highest": size[1], "provisional": None, "firm": size[0] == size[1], "because": [reason]}
    head = {} if form == 1 else {"form": form}
    answer = {"reference": "Mill Lane 1", "parts": [{"part": "gas", "verdicts": [verdict]}], "main_bond_size": sized}
    return json.dumps({**head, **answer}, separators=(",", ":")).encode()


def _with_tables(form: int, worst_case: str, act_on: str, firm: bool, size: tuple[float, float]) -> bytes:
    trusted = {"because": [0], "weakest_source": "secondary"}
    verdict = {"outcome": "main", "act_on": act_on, "words": "", "firm": firm, **trusted}
    answer = {
        "form": form,
        "reference": "Mill Lane 1",
        "pack": {"pack_id": "tests-2026-r1"},
        "parts": [{"part": "gas", "verdicts": [0]}],
        "main_bond_size": 0,
        "verdicts": [verdict if act_on == worst_case else verdict | {"worst_case": worst_case}],
        "sizes": [{"outcome": "size", "unit": "mm2", "lowest": size[0], "highest": size[1], "firm": size[0] == size[1], **trusted}],
        "reasons": [{"rule": "r", "clause": "1.1", "says": ""}],
    }
    return json.dumps(answer, separators=(",", ":")).encode()
