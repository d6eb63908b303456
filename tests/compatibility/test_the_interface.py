"""The interface as it is now breaks nobody who calls it as it was released."""

import json
from pathlib import Path

import pytest
from tests.api.keep_documents import release
from tests.compatibility.edits import drop, edited, put
from tests.compatibility.interface import breaks
from tests.compatibility.released import RELEASED, current_document, released_document


@pytest.mark.skipif(not RELEASED.exists(), reason="nothing has been released: there is no openapi/released.json to compare with")
def test_no_caller_of_the_released_interface_breaks() -> None:
    found = breaks(released_document(), current_document())

    assert found == (), "\n" + "\n".join(map(str, found))


def test_what_only_adds_can_be_released(tmp_path: Path) -> None:
    document, released = tmp_path / "openapi.json", tmp_path / "released.json"
    released.write_text(json.dumps(released_document()), encoding="utf-8")
    document.write_text(json.dumps(edited(put("0.2.0", "info", "version"))), encoding="utf-8")

    assert release(document, released) == ""
    assert released.read_bytes() == document.read_bytes()


def test_what_breaks_callers_is_not_released(tmp_path: Path) -> None:
    document, released = tmp_path / "openapi.json", tmp_path / "released.json"
    released.write_text(json.dumps(released_document()), encoding="utf-8")
    document.write_text(json.dumps(edited(drop("paths", "/livez"))), encoding="utf-8")

    told = release(document, released)

    assert told.startswith("openapi/released.json#/paths/~1livez/get: this operation is gone")
    assert json.loads(released.read_bytes()) == released_document()


def test_the_first_release_is_compared_with_nothing(tmp_path: Path) -> None:
    document, released = tmp_path / "openapi.json", tmp_path / "released.json"
    document.write_text("{}", encoding="utf-8")

    assert release(document, released) == ""
    assert released.exists()
