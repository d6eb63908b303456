"""Compressed answers over a real socket, unpacked by curl with its own zlib and libzstd."""

import hashlib
import json
import shutil
import subprocess
from collections.abc import Iterator
from pathlib import Path

import pytest
from tests.cli.command import HOUSE
from tests.cli.server import PATIENCE_S, serving


@pytest.fixture(scope="module")
def address(tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    """A server that asks for no key."""
    with serving(tmp_path_factory.mktemp("compressed"), "--no-auth") as (address, _):
        yield address


def curl(*arguments: str | Path) -> bytes:
    """What curl prints."""
    if shutil.which("curl") is None:
        pytest.skip("curl is not on PATH")
    told = subprocess.run(["curl", "--version"], capture_output=True, check=True, timeout=PATIENCE_S).stdout.split()
    if b"zstd" not in told or b"libz" not in told:
        pytest.skip("curl was built without zstd or zlib")
    return subprocess.run(["curl", "--silent", "--fail", *arguments], capture_output=True, check=True, timeout=PATIENCE_S).stdout


@pytest.mark.parametrize("coding", ["gzip", "zstd"])
def test_curl_unpacks_an_evaluation_and_gets_the_bytes_that_are_kept(address: str, coding: str) -> None:
    asked = ("--compressed", "-H", f"Accept-Encoding: {coding}", "-H", "Content-Type: application/json", "--data-binary", f"@{HOUSE}")

    made = curl(*asked, f"{address}/v1/evaluations")

    assert curl(f"{address}/v1/evaluations/{json.loads(made)['evaluation_id']}") == made


@pytest.mark.parametrize("coding", ["gzip", "zstd"])
def test_curl_unpacks_a_batch_whose_digest_is_of_the_lines(address: str, coding: str, tmp_path: Path) -> None:
    batch = tmp_path / "batch.jsonl"
    batch.write_text(f"{json.dumps(json.loads(HOUSE.read_text(encoding='utf-8')))}\n" * 3, encoding="utf-8")
    asked = ("--compressed", "-H", f"Accept-Encoding: {coding}", "-H", "Content-Type: application/jsonl", "--data-binary", f"@{batch}")

    *lines, end = curl(*asked, f"{address}/v1/batches").splitlines(keepends=True)

    assert len(lines) == 3
    assert json.loads(end)["sha256"] == hashlib.sha256(b"".join(lines)).hexdigest()
