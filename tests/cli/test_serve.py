"""`bondwright serve`: answers on loopback, stays closed to others, leaves in order."""

import json
import signal
import socket
from pathlib import Path
from urllib.error import HTTPError
from urllib.request import Request, urlopen

import pytest
from tests.cli.command import HOUSE, bondwright
from tests.cli.server import PATIENCE_S, ask, serving, serving_afresh

from bondwright.cli import main


def test_it_is_alive_on_loopback_and_does_not_name_its_server(tmp_path: Path) -> None:
    with serving(tmp_path, "--no-auth") as (address, _), ask(f"{address}/livez") as answer:
        assert address.startswith("http://127.0.0.1:")
        assert json.load(answer) == {"status": "alive"}
        assert "server" not in answer.headers


def test_an_evaluation_outlives_the_server(tmp_path: Path) -> None:
    with serving(tmp_path, "--no-auth") as (address, _), ask(f"{address}/v1/evaluations", HOUSE.read_bytes()) as answer:
        place, answered = answer.headers["location"], answer.read()

    with serving(tmp_path, "--no-auth") as (address, _), ask(address + place) as again:
        assert answered == again.read()


@pytest.mark.parametrize("number", [signal.SIGTERM, signal.SIGINT])
def test_told_to_stop_it_closes_the_record_and_is_done(number: signal.Signals, tmp_path: Path) -> None:
    with serving_afresh(tmp_path, "--no-auth") as (address, process):
        ask(f"{address}/v1/evaluations", HOUSE.read_bytes()).close()

        process.send_signal(number)

        assert process.wait(PATIENCE_S) == 0
    # An open record would have left its write-ahead log behind.
    assert [path.name for path in tmp_path.iterdir()] == ["record.sqlite"]


def test_the_log_has_a_line_a_request_and_none_for_health_checks(tmp_path: Path) -> None:
    with serving(tmp_path, "--no-auth") as (address, process):
        for path in ("/livez", "/readyz", "/v1/rule-packs"):
            ask(address + path).close()
        process.terminate()
        _, log = process.communicate(timeout=PATIENCE_S)

    (line,) = log.splitlines()
    assert {"method": "GET", "route": "/v1/rule-packs", "status": 200}.items() <= json.loads(line).items()


@pytest.mark.parametrize("host", ["0.0.0.0", "::", "192.0.2.1", "bondwright.invalid"])
def test_an_address_that_others_can_reach_needs_keys(host: str, capsys: pytest.CaptureFixture[str]) -> None:
    status = main(["serve", "--host", host, "--no-auth"])

    assert status == 2
    assert capsys.readouterr().err.endswith("leave out --no-auth, or --host\n")


def test_an_address_that_others_can_reach_is_told_to_need_tls(capsys: pytest.CaptureFixture[str]) -> None:
    # Kept for documentation (RFC 5737), so no machine has this address and nothing is served.
    status = main(["serve", "--host", "192.0.2.1"])

    assert status == 2
    assert "put TLS before it" in capsys.readouterr().err


def test_a_key_made_while_it_serves_opens_it(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    with serving(tmp_path) as (address, _):
        with pytest.raises(HTTPError) as refused:
            ask(f"{address}/v1/rule-packs")
        main(["keys", "create", "--tenant", "acme", "--scope", "rules", "--data", str(tmp_path)])
        key = capsys.readouterr().out.strip()
        with urlopen(Request(f"{address}/v1/rule-packs", headers={"authorization": f"Bearer {key}"}), timeout=PATIENCE_S) as answer:
            opened = answer.status
    refused.value.close()

    assert (refused.value.code, opened) == (401, 200)


def test_a_port_that_is_taken_is_told(capsys: pytest.CaptureFixture[str]) -> None:
    with socket.create_server(("127.0.0.1", 0)) as taken:
        port = taken.getsockname()[1]

        status = main(["serve", "--port", str(port)])

    assert status == 2
    assert f"cannot listen on port {port} of 127.0.0.1 (Address already in use)" in capsys.readouterr().err


@pytest.mark.parametrize("port", ["-1", "65536", "http", ""])
def test_a_port_that_is_none_is_refused(port: str, capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit) as ended:
        main(["serve", f"--port={port}"])

    assert ended.value.code == 2
    assert "a port is a number from 0 to 65535" in capsys.readouterr().err


def test_a_data_folder_that_cannot_be_used_is_told_without_a_traceback(tmp_path: Path) -> None:
    (tmp_path / "taken").write_text("no folder")

    done = bondwright("serve", "--port", "0", "--data", tmp_path / "taken")

    assert (done.returncode, done.stdout) == (1, b"")
    assert done.stderr.startswith(b"bondwright: ")
    assert len(done.stderr.splitlines()) == 1
