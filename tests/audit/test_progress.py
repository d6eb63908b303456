"""The file of progress: what was written is read again, and nothing else is."""

from pathlib import Path

import pytest

from bondwright.audit.comparing.impact import Change
from bondwright.audit.comparing.progress import Anchor, Basis, Progress, read_progress, write_progress
from bondwright.audit.comparing.tally import EXAMPLES, Tally
from bondwright.errors import UnusableProgress
from bondwright.members import replace

BASIS = Basis("local", "tests-2026-r2", "d" * 64, ("a" * 64, "b" * 64), ("tests-2026-r1 for tests-2026-r2",), {"service": "0.1.0"})
WAY_OUT = "name a file that is not there yet, or remove this one to begin anew"


def progress(records: int = 5) -> Progress:
    """Progress over records of which each is changed, and two more."""
    tally = Tally()
    for number in range(records):
        tally.add_judged(f"e{number}", [Change("gas", "main", "raised", "ask", "bond"), Change("gas", "size", "gone", "4 to 10", None)])
    tally.add_not_touched()
    tally.add_not_evaluated()
    return Progress(records + 2, Anchor(records, "last", "c" * 64), tally)


@pytest.mark.parametrize("records", [0, 1, 5])
def test_what_was_written_is_read_again(records: int, tmp_path: Path) -> None:
    write_progress(tmp_path / "progress.json", BASIS, progress(records))

    assert progress(records) == read_progress(tmp_path / "progress.json", BASIS)


def test_where_nothing_was_written_there_is_no_progress(tmp_path: Path) -> None:
    assert read_progress(tmp_path / "progress.json", BASIS) is None


def test_the_file_does_not_grow_with_the_records(tmp_path: Path) -> None:
    sizes = []
    for records in (EXAMPLES + 1, 900):
        write_progress(tmp_path / "progress.json", BASIS, progress(records))
        sizes.append((tmp_path / "progress.json").stat().st_size)

    assert sizes[1] - sizes[0] < 50


def test_the_file_is_private_and_alone(tmp_path: Path) -> None:
    for records in (1, 2):
        write_progress(tmp_path / "progress.json", BASIS, progress(records))

    assert [(path.name, path.stat().st_mode & 0o777) for path in tmp_path.iterdir()] == [("progress.json", 0o600)]


@pytest.mark.parametrize(
    ("basis", "told"),
    [
        (replace(BASIS, pack_digest="e" * 64), f"rule pack tests-2026-r2 with the digest {'d' * 64}"),
        (replace(BASIS, pack_id="other-r1"), f"rule pack tests-2026-r2 with the digest {'d' * 64}"),
        (replace(BASIS, tenant="theirs"), "records of another tenant"),
        (replace(BASIS, beside=("a" * 64,)), "other packs are published now"),
        (replace(BASIS, withdrawn=()), "other packs are withdrawn now"),
        (replace(BASIS, versions={"service": "0.2.0"}), "made by service 0.1.0"),
    ],
)
def test_progress_on_another_basis_is_refused(basis: Basis, told: str, tmp_path: Path) -> None:
    write_progress(tmp_path / "progress.json", BASIS, progress())

    with pytest.raises(UnusableProgress) as refused:
        read_progress(tmp_path / "progress.json", basis)

    assert str(refused.value) == f"{tmp_path / 'progress.json'}: is the progress of another comparison ({told}); {WAY_OUT}"


@pytest.mark.parametrize("content", [b"", b"{}", b"[]", b"no JSON", b"\xff", b'{"sha256":"","progress":{}}', b'{"sha256":1,"progress":[]}'])
def test_a_file_that_is_no_progress_is_refused(content: bytes, tmp_path: Path) -> None:
    (tmp_path / "progress.json").write_bytes(content)

    with pytest.raises(UnusableProgress, match=f"is not what `bondwright impact` wrote, or was changed; {WAY_OUT}"):
        read_progress(tmp_path / "progress.json", BASIS)


@pytest.mark.parametrize(("was", "now"), [('"judged": 5', '"judged": 6'), ('"last"', '"other"'), ('"done": 7', '"done": 6')])
def test_progress_that_was_changed_is_refused(was: str, now: str, tmp_path: Path) -> None:
    write_progress(tmp_path / "progress.json", BASIS, progress())
    text = (tmp_path / "progress.json").read_text(encoding="utf-8")
    assert was in text
    (tmp_path / "progress.json").write_text(text.replace(was, now), encoding="utf-8")

    with pytest.raises(UnusableProgress, match="was changed"):
        read_progress(tmp_path / "progress.json", BASIS)


@pytest.mark.parametrize("share", [0.1, 0.5, 0.9])
def test_progress_that_was_cut_short_is_refused(share: float, tmp_path: Path) -> None:
    write_progress(tmp_path / "progress.json", BASIS, progress())
    content = (tmp_path / "progress.json").read_bytes()
    (tmp_path / "progress.json").write_bytes(content[: int(len(content) * share)])

    with pytest.raises(UnusableProgress, match="was changed"):
        read_progress(tmp_path / "progress.json", BASIS)


def test_what_cannot_be_read_is_refused(tmp_path: Path) -> None:
    with pytest.raises(UnusableProgress, match=r"cannot be read \(Is a directory\); name another file"):
        read_progress(tmp_path, BASIS)


def test_what_cannot_be_written_is_refused(tmp_path: Path) -> None:
    with pytest.raises(UnusableProgress, match=r"cannot be written \(No such file or directory\); name a file in a folder"):
        write_progress(tmp_path / "none" / "progress.json", BASIS, progress())
