"""Whether callers of one OpenAPI document can go on as they are with another."""

from collections.abc import Iterator
from typing import Any

from tests.compatibility.breaks import Break, Direction, changed, gone
from tests.compatibility.places import Document, Place, whole
from tests.compatibility.schemas import SchemaPair, schema_breaks
from tests.compatibility.unchanged import Unchanged, unchanged_between

Finding = Break | SchemaPair
"""A break, or two schemas that are still to be compared."""

METHODS = ("get", "put", "post", "delete", "options", "head", "patch", "trace")
KEEP = "keep it; mark it `deprecated` and go on answering"
BESIDE = "leave it as it was, and add another beside it"
NAMES = "keep the name: generated clients call their classes and functions after it"


def breaks(released: Document, current: Document) -> tuple[Break, ...]:
    """Every change from `released` to `current` that breaks a caller, in the order of the places; what cannot be decided counts as one."""
    unchanged = unchanged_between(released, current)
    found = set(_findings(whole(released), whole(current), unchanged))
    pairs = {one for one in found if isinstance(one, SchemaPair)}
    return tuple(sorted({one for one in found if isinstance(one, Break)}.union(*map(schema_breaks, pairs))))


def _findings(was: Place, now: Place, unchanged: Unchanged) -> Iterator[Finding]:
    for path, there in was.at("paths").members():
        if was.at("security").value == now.at("security").value and unchanged(there, now.at("paths", path)):
            continue
        for method in (name for name in METHODS if name in there.value):
            here = now.at("paths", path, method)
            if here.value is None:
                yield gone(there.at(method), "this operation is gone", KEEP)
            else:
                yield from _operation(there.at(method), here, (there, now.at("paths", path)))
    for name, schema in was.at("components", "schemas").members():
        if now.at("components", "schemas", name).value is None:
            yield gone(schema, "this schema is gone", NAMES)
    for name, scheme in was.at("components", "securitySchemes").members():
        yield from _same(scheme, now.at("components", "securitySchemes", name), "this security scheme differs")
    yield from _servers(was, now)
    yield from _same(was.at("webhooks"), now.at("webhooks"), "`webhooks` differs")


def _operation(was: Place, now: Place, paths: tuple[Place, Place]) -> Iterator[Finding]:
    for key in ("operationId", "tags"):
        if was.at(key).value != now.at(key).value:
            yield changed(now, f"`{key}` was {was.at(key).value} and is {now.at(key).value}", NAMES)
    for one, other in ((was, now), paths):
        yield from _servers(one, other)
    yield from _same(was.at("callbacks"), now.at("callbacks"), "`callbacks` differs")
    yield from _parameters(*(_named_parameters(path) | _named_parameters(own) for path, own in zip(paths, (was, now), strict=True)))
    yield from _body(was.at("requestBody").resolved(), now.at("requestBody").resolved())
    yield from _responses(was.at("responses"), now.at("responses"))
    yield from _security(was, now)


def _same(was: Place, now: Place, what: str) -> Iterator[Break]:
    if was.value is not None and was.value != now.value:
        yield gone(was, what, BESIDE)


def _servers(was: Place, now: Place) -> Iterator[Break]:
    if was.at("servers").value != now.at("servers").value:
        yield changed(now.at("servers"), "`servers` differs", BESIDE)


Parameters = dict[tuple[str, str], Place]


def _parameters(before: Parameters, after: Parameters) -> Iterator[Finding]:
    for key, parameter in before.items():
        if key not in after:
            yield gone(parameter, "this parameter is gone, and who sends it is refused", KEEP)
            continue
        other = after[key]
        if other.value.get("required") and not parameter.value.get("required"):
            yield changed(other, "this parameter has become required", "leave it optional")
        for keyword in ("style", "explode", "allowReserved", "content"):
            if parameter.value.get(keyword) != other.value.get(keyword):
                yield changed(other, f"`{keyword}` differs", BESIDE)
        yield SchemaPair(parameter.at("schema"), other.at("schema"), Direction.SENT)
    for key, parameter in after.items():
        if key not in before and parameter.value.get("required"):
            yield changed(parameter, "this parameter is new and required", "make it optional")


def _named_parameters(holder: Place) -> Parameters:
    listed = [holder.at("parameters", index).resolved() for index in range(len(holder.at("parameters").value or ()))]
    return {(parameter.value["in"], parameter.value["name"]): parameter for parameter in listed}


def _body(was: Place, now: Place) -> Iterator[Finding]:
    if now.value is None:
        if was.value is not None:
            yield gone(was, "the request body is gone", KEEP)
        return
    if now.value.get("required") and not (was.value or {}).get("required"):
        yield changed(now, "the request body has become required", "leave it optional")
    for media_type, content in was.at("content").members():
        other = now.at("content", media_type)
        if other.value is None:
            yield gone(content, "this media type is no longer taken", KEEP)
        else:
            yield from _content(content, other, Direction.SENT)


def _content(was: Place, now: Place, direction: Direction) -> Iterator[Finding]:
    """What is sent or answered, whole, and, where it is a sequence of lines, each kind of line by the schema that it names."""
    yield SchemaPair(was.at("schema"), now.at("schema"), direction)
    before, after = _kinds_of_line(was), _kinds_of_line(now)
    for name, line in before.items():
        if name in after:
            yield SchemaPair(line, after[name], direction)
        else:
            yield gone(line, "nothing is said any more of this kind of line", KEEP)
    if direction is Direction.ANSWERED:
        for name in after.keys() - before.keys():
            yield changed(after[name], "callers do not expect this kind of line", BESIDE)


def _kinds_of_line(content: Place) -> dict[str, Place]:
    """The schemas of the lines of a sequence, by what each refers to; none where it is no sequence."""
    each = content.at("x-item-schema")
    lines = [each.at("anyOf", index) for index in range(len(each.at("anyOf").value or ()))] or [each]
    return {str(line.value.get("$ref", line.pointer)): line for line in lines if isinstance(line.value, dict)}


def _responses(was: Place, now: Place) -> Iterator[Finding]:
    for status, response in was.members():
        other = now.at(status)
        if other.value is None:
            yield gone(response, "this status is gone", KEEP)
        else:
            yield from _response(response.resolved(), other.resolved())
    for status, response in now.members():
        if was.at(status).value is None and status[0] not in "45":
            yield changed(response, "callers do not expect this status", "answer as before, or give the new answer a path of its own")


def _response(was: Place, now: Place) -> Iterator[Finding]:
    for media_type, content in was.at("content").members():
        other = now.at("content", media_type)
        if other.value is None:
            yield gone(content, "this media type is no longer answered", KEEP)
        else:
            yield from _content(content, other, Direction.ANSWERED)
    for media_type, content in now.at("content").members():
        if was.at("content", media_type).value is None:
            yield changed(content, "callers do not expect this media type", "give the new form a path of its own")
    for name, header in was.at("headers").members():
        other = now.at("headers", name)
        if other.value is None:
            yield gone(header, "this header is gone", KEEP)
            continue
        header, other = header.resolved(), other.resolved()
        if header.value.get("required") and not other.value.get("required"):
            yield changed(other, "this header may now be left out", "keep sending it")
        yield SchemaPair(header.at("schema"), other.at("schema"), Direction.ANSWERED)
    for name, link in was.at("links").members():
        yield from _same(link, now.at("links", name), "this link differs")


def _security(was: Place, now: Place) -> Iterator[Break]:
    ways = _ways_in(now)
    for way in _ways_in(was):
        if not any(all(set(scopes) <= set(way.get(scheme, ())) and scheme in way for scheme, scopes in other.items()) for other in ways):
            yield changed(now, "who was let in before may be turned away", "keep every way in that there was")


def _ways_in(operation: Place) -> list[dict[str, Any]]:
    own = operation.at("security").value
    asked = own if own is not None else whole(operation.document).at("security").value
    return asked or [{}]
