"""Records of forms 2 and 3, kept from then: served as they are, found alike, and replayed by their levels and sizes."""

import json
from collections.abc import Callable
from contextlib import closing
from pathlib import Path

import pytest
from starlette.testclient import TestClient
from tests.api.builders import EVALUATIONS, bearer, evaluation_in, keyring, service
from tests.audit.form_1.records import HERON, TERN, kept_in
from tests.audit.form_2 import records as of_form_2
from tests.audit.form_3 import records as of_form_3

from bondwright.access.keys import SCOPES
from bondwright.api.app import create_app
from bondwright.audit.exchange import lines_of, take_in
from bondwright.audit.forms import form_of
from bondwright.audit.sqlite.store import SqliteRecordStore
from bondwright.cli import main
from bondwright.compose.answer import FORM
from bondwright.shelf.packs import rules_folder
from bondwright.shelf.published import on_shelf

RecordFile = Callable[[Path], Path]
EARLIER = {2: of_form_2.record_file, 3: of_form_3.record_file}
OLDEST_PACKS = {2: {"r1", "r2", "r3"}, 3: {"r1", "r2", "r8"}}

forms = pytest.mark.parametrize(("form", "record_file"), EARLIER.items())
files = pytest.mark.parametrize("record_file", EARLIER.values(), ids=EARLIER)


@forms
def test_they_are_of_that_form_and_of_the_packs_of_their_time(form: int, record_file: RecordFile, tmp_path: Path) -> None:
    kept = kept_in(record_file(tmp_path), HERON, TERN)

    assert {form_of(record.evaluation_bytes) for record in kept} == {form}
    assert len(kept) == 9 and {record.pack_id.rpartition("-")[2] for record in kept} >= OLDEST_PACKS[form]


@files
def test_they_are_served_byte_for_byte(record_file: RecordFile, tmp_path: Path) -> None:
    file = record_file(tmp_path)
    with closing(service(on_shelf(rules_folder()), file)) as bondwright, closing(keyring(file)) as keys:
        app = create_app(bondwright, keys)
        clients = {tenant: TestClient(app, headers=bearer(keys.create(tenant, SCOPES)[0])) for tenant in (HERON, TERN)}
        for record in kept_in(file, HERON, TERN):
            answer = clients[record.tenant].get(f"{EVALUATIONS}/{record.evaluation_id}")

            assert (answer.status_code, evaluation_in(answer.content)) == (200, record.evaluation_bytes)


@files
@pytest.mark.parametrize("tenant", [HERON, TERN])
def test_every_replay_finds_the_same_levels_and_sizes(
    record_file: RecordFile, tmp_path: Path, tenant: str, capsys: pytest.CaptureFixture[str]
) -> None:
    record_file(tmp_path)

    status = main(["replay", "--all", "--tenant", tenant, "--data", str(tmp_path)])

    (told,) = [line for line in capsys.readouterr().out.splitlines() if "same levels" in line]
    assert status == 0
    assert f" 0 same, {6 if tenant == HERON else 3} same levels, 0 different, 0 not evaluated, 0 broken" in told


@forms
def test_a_replay_names_both_forms(form: int, record_file: RecordFile, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    first, *_ = kept_in(record_file(tmp_path), HERON)

    main(["replay", first.evaluation_id, "--tenant", HERON, "--data", str(tmp_path), "--format", "json"])

    told = json.loads(capsys.readouterr().out)
    assert (told["same_bytes"], told["same_levels"], told["form_then"], told["form_now"]) == ("not_comparable", True, form, FORM)


@files
def test_they_are_exported_and_taken_in_as_they_are(record_file: RecordFile, tmp_path: Path) -> None:
    for folder in ("then", "now"):
        (tmp_path / folder).mkdir()
    old, new = record_file(tmp_path / "then"), tmp_path / "now" / "record.sqlite"
    with closing(SqliteRecordStore(old)) as then, closing(SqliteRecordStore(new)) as now:
        added = take_in(now, lines_of(then, TERN))

        assert added == 3
        assert kept_in(new, TERN) == kept_in(old, TERN)
        assert [now.marks(TERN, number) for number in (1, 2, 3)] == [then.marks(TERN, number) for number in (1, 2, 3)]
