"""The interface as it is now breaks nobody who calls it as it was released; before the first release nobody does."""

import json
from pathlib import Path

import pytest
from tests.api.keep_documents import compared, release
from tests.compatibility.edits import drop, edited, put
from tests.compatibility.interface import breaks
from tests.compatibility.released import CURRENT, RELEASED, current_document, judged_document

NOTHING_RELEASED = "nothing is released yet: there is no released.json that openapi.json could be compared with"


def test_no_caller_of_the_released_interface_breaks() -> None:
    if not RELEASED.exists():
        pytest.skip(compared(CURRENT, RELEASED))
    found = breaks(judged_document(), current_document())

    assert found == (), "\n" + "\n".join(map(str, found))


def test_what_only_adds_can_be_released(tmp_path: Path) -> None:
    document, released = tmp_path / "openapi.json", tmp_path / "released.json"
    released.write_text(json.dumps(judged_document()), encoding="utf-8")
    document.write_text(json.dumps(edited(put("0.2.0", "info", "version"))), encoding="utf-8")

    assert compared(document, released) == ""
    assert release(document, released) == ""
    assert released.read_bytes() == document.read_bytes()


def test_what_breaks_callers_is_not_released(tmp_path: Path) -> None:
    document, released = tmp_path / "openapi.json", tmp_path / "released.json"
    released.write_text(json.dumps(judged_document()), encoding="utf-8")
    document.write_text(json.dumps(edited(drop("paths", "/livez"))), encoding="utf-8")

    told = release(document, released)

    assert told.startswith("openapi/released.json#/paths/~1livez/get: this operation is gone")
    assert compared(document, released) == told.rpartition("\n")[0]
    assert json.loads(released.read_bytes()) == judged_document()


def test_the_first_release_is_compared_with_nothing_and_the_comparison_says_so(tmp_path: Path) -> None:
    document, released = tmp_path / "openapi.json", tmp_path / "released.json"
    document.write_text("{}", encoding="utf-8")

    assert compared(document, released) == NOTHING_RELEASED
    assert release(document, released) == ""
    assert released.exists()
