"""Bodies that are sent: their media type and their size, looked at before anything is read from them."""

from fastapi import Request, Response

from bondwright.api.problems import MOST_BYTES, TOO_LARGE, WRONG_MEDIA_TYPE


async def body_or_refusal(request: Request) -> bytes | Response:
    """The body of a request; the refusal, if it is not said to be JSON or is too large."""
    if request.headers.get("content-type", "").split(";")[0].strip().lower() != "application/json":
        return WRONG_MEDIA_TYPE.answer(headers={"Accept-Post": "application/json"})
    body = bytearray()
    async for piece in request.stream():  # whatever length was announced
        body += piece
        if len(body) > MOST_BYTES:
            return TOO_LARGE.answer()
    return bytes(body)
