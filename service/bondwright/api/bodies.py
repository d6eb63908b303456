"""Bodies that are sent: what they are said to be, looked at before anything is read from them."""

from fastapi import Request, Response

from bondwright.api.problems import WRONG_MEDIA_TYPE


async def body_or_refusal(request: Request) -> bytes | Response:
    """The body of a request; the refusal, if it is not said to be JSON in UTF-8. The edge refuses what is too large or too slow."""
    said = request.headers.getlist("content-type")
    if len(said) != 1 or not _is_json(said[0]):
        return WRONG_MEDIA_TYPE.answer(headers={"Accept-Post": "application/json"})
    return await request.body()


def _is_json(content_type: str) -> bool:
    media_type, *parameters = (part.strip().lower() for part in content_type.split(";"))
    charsets = [value.strip().strip('"') for name, _, value in (one.partition("=") for one in parameters) if name.strip() == "charset"]
    return media_type == "application/json" and set(charsets) <= {"utf-8"}
