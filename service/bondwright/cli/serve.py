"""`bondwright serve`: the HTTP API until it is told to stop."""

import signal
import sys
from argparse import ArgumentParser, ArgumentTypeError, Namespace
from contextlib import ExitStack, closing
from ipaddress import ip_address
from types import FrameType
from typing import NoReturn

import uvicorn

from bondwright.api.app import create_app
from bondwright.api.operating.heads import strict_http
from bondwright.api.operating.log import log_as_json
from bondwright.api.operating.server import Server, listening
from bondwright.assembly import build, build_keyring, database
from bondwright.cli.arguments import add_data, asked_settings
from bondwright.cli.statuses import DONE, WRONG_CALL
from bondwright.collecting import keep_for_good, nothing_collected

_HIGHEST_PORT = 65535

_TURN_S = 0.0005
"""How long a thread may keep the interpreter while another waits for it.

With 64 connections /livez took 0.3 to 0.8 of the time that it took by Python's own 0.005, as many or more evaluations were answered, each
with the same processor time (2026-11-29, other work on the machine).
"""


def add_serve(command: ArgumentParser) -> None:
    """Gives the command its arguments."""
    command.add_argument("--host", default="127.0.0.1", metavar="ADDRESS", help="address to listen on (default: 127.0.0.1)")
    command.add_argument("--port", default=8000, type=_port, metavar="PORT", help="port to listen on, 0 for a free one (default: 8000)")
    add_data(command, "BONDWRIGHT_DATABASE, or BONDWRIGHT_DATA, or else ~/.local/share/bondwright")
    command.add_argument("--no-auth", action="store_true", help="ask callers for no key; only on an address that nobody else can reach")
    command.set_defaults(run=_serve)


def _port(text: str) -> int:
    if not text.isdecimal() or int(text) > _HIGHEST_PORT:
        raise ArgumentTypeError(f"a port is a number from 0 to {_HIGHEST_PORT}")
    return int(text)


def _serve(asked: Namespace) -> int:
    settings = asked_settings(asked)
    if not _is_loopback(asked.host):
        if asked.no_auth:
            return _refuse(f"others can reach {asked.host}, and with --no-auth they may do everything; leave out --no-auth, or --host")
        print(f"bondwright serve: keys and records cross the network of {asked.host} as they are; put TLS before it", file=sys.stderr)
    try:
        listener = listening(asked.host, asked.port)
    except OSError as error:
        reason = str(error.strerror).partition(" (")[0]  # what follows repeats the address
        return _refuse(f"cannot listen on port {asked.port} of {asked.host} ({reason}); choose another with --port or --host")
    # uvicorn stops in order and then raises the signal again: this turns it into a way out through every `with`.
    for number in (signal.SIGTERM, signal.SIGINT):
        signal.signal(number, _leave)
    sys.setswitchinterval(_TURN_S)
    with listener, ExitStack() as opened:
        with nothing_collected():
            keyring, bondwright = opened.enter_context(closing(build_keyring(settings))), opened.enter_context(closing(build(settings)))
            bondwright.ready()
            log_as_json()
            app = create_app(bondwright, None if asked.no_auth else keyring, settings.limits, settings.origins)
            keep_for_good()
        config = uvicorn.Config(
            app,
            http=strict_http(settings.limits.head_s),
            log_config=None,
            access_log=False,
            server_header=False,
            timeout_graceful_shutdown=settings.finish_s,  # type: ignore[arg-type]  # any number of seconds does
            proxy_headers=False,
        )
        host, port = listener.getsockname()[:2]
        address = f"[{host}]:{port}" if ":" in host else f"{host}:{port}"
        print(f"serving http://{address} (documentation at /docs), records in {database(settings).where}", flush=True)
        Server(config, app.state.way_out, settings.drain_s).run(sockets=[listener])
    return DONE


def _is_loopback(host: str) -> bool:
    try:
        return host == "localhost" or ip_address(host).is_loopback
    except ValueError:
        return False


def _refuse(why: str) -> int:
    print(f"bondwright serve: {why}", file=sys.stderr)
    return WRONG_CALL


def _leave(_signal: int, _frame: FrameType | None) -> NoReturn:
    # From here on records and keys are being closed: whoever asks again changes nothing of that.
    for number in (signal.SIGTERM, signal.SIGINT):
        signal.signal(number, signal.SIG_IGN)
    raise SystemExit(DONE)
