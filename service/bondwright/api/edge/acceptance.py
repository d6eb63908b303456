"""What the caller accepts (RFC 9110, 12.5.1): an answer of another media type is refused with 406."""

import re
from collections.abc import Mapping

from starlette.datastructures import Headers
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from bondwright.api.edge.methods import methods_at
from bondwright.api.problems import NOT_ACCEPTABLE

_JSON = ("application/json",)
_READING = ("GET", "HEAD")
# An open quote ends with the header, so that no header takes longer than its length.
_QUOTED = r'"(?:[^"\\]|\\.)*+(?:"|$)'
_LISTED = re.compile(rf'(?:{_QUOTED}|[^,"])+')
_JOINED = re.compile(rf'(?:{_QUOTED}|[^;"])+')
QUALITY = re.compile(r"(?:0?\.\d{1,3}|0\.?|1(?:\.0{0,3})?)")
"""The number behind `q=` (RFC 9110, 12.4.2), and as `.5`."""


def accepts(accept: str, media_type: str) -> bool:
    """Whether a header Accept admits `media_type`: the most specific range that fits decides, q=0 refuses.

    What is no range is passed over. Of parameters only `charset=utf-8` is anything that is sent here.
    """
    best = (0, 0.0)
    for element in _LISTED.findall(accept):
        wanted, *joined = (text.strip().lower() for text in _JOINED.findall(element) or ("",))
        specific = _fit(wanted, media_type)
        parameters = {name.rstrip(): value.lstrip().strip('"') for name, _, value in (one.partition("=") for one in joined if one)}
        quality = parameters.pop("q", "1")
        if specific and QUALITY.fullmatch(quality) and parameters in ({}, {"charset": "utf-8"}):
            best = max(best, (specific + len(parameters), float(quality)))
    return best[1] > 0


def _fit(wanted: str, media_type: str) -> int:
    """How closely a range fits: 0 not at all, then ever closer; a lone asterisk, which old clients send, is `*/*`."""
    if wanted in ("*/*", "*"):
        return 1
    if wanted == f"{media_type.partition('/')[0]}/*":
        return 2
    return _EXACTLY if wanted == media_type else 0


_EXACTLY = len(("*/*", "type/*", "type/subtype"))


class Acceptance:
    """Refuses where the answer would not be accepted: before anything is done if it may change something, else by the answer itself.

    Problems are sent whatever is accepted.
    """

    def __init__(self, app: ASGIApp, written_as: Mapping[str, tuple[str, ...]]) -> None:
        """`written_as`: by its path, the media types of which an answer is one, where it is not JSON."""
        self._app, self._written_as = app, written_as

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """The application's answer, or the problem."""
        accept = ", ".join(Headers(scope=scope).getlist("accept")) if scope["type"] == "http" else ""
        written_as = self._written_as.get(scope["path"], _JSON) if accept else _JSON
        if not accept.strip(" \t,"):
            await self._app(scope, receive, send)
        elif scope["method"] in _READING or any(accepts(accept, one) for one in written_as) or scope["method"] not in methods_at(scope):
            await self._app(scope, receive, _checked(accept, scope, receive, send))
        else:
            await NOT_ACCEPTABLE.answer()(scope, receive, send)


def _checked(accept: str, scope: Scope, receive: Receive, send: Send) -> Send:
    refused = False

    async def send_if_accepted(message: Message) -> None:
        nonlocal refused
        if message["type"] == "http.response.start" and not _accepted(accept, message):
            refused = True
            await NOT_ACCEPTABLE.answer()(scope, receive, send)
        if not refused:
            await send(message)

    return send_if_accepted


def _accepted(accept: str, start: Message) -> bool:
    sent = Headers(raw=start["headers"]).get("content-type", "").partition(";")[0].strip().lower()
    return not sent or start["status"] >= 400 or accepts(accept, sent)
