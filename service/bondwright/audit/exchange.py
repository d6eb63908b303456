"""Records as lines of JSON: everything that is kept, in a file that says so itself if anything in it was changed."""

import hashlib
import json
import re
from base64 import b64decode, b64encode
from collections.abc import Iterable, Iterator
from typing import Any

from bondwright.audit.record import NewRecord, PackRecord, Record, RecordStore, demand_digest
from bondwright.errors import RecordBroken, UnknownName

FORMAT = "bondwright-records-1"
"""Named in the first line; lines of another format are refused."""

_PAGE = 50
_BYTES = ("salt", "input_bytes", "evaluation_bytes")
_LINE = re.compile(rb'\{"sha256":"([0-9a-f]{64})","line":(.*)\}\n')


def lines_of(store: RecordStore, tenant: str) -> Iterator[bytes]:
    """A head, every record of the tenant by its counter, each pack before the first record that cites it, and an end with the count.

    A line is `{"sha256":…,"line":{…}}`: the SHA-256, in hex, of the one before (of the first: nothing) followed by the bytes of `line`.
    That finds every accident; who means to deceive can work all digests out anew, so keep the last one somewhere else.
    Raises: RecordBroken.
    """
    digest = ""
    for line in _contents(store, tenant):
        content = json.dumps(line, ensure_ascii=True, separators=(",", ":")).encode()
        digest = _chained(digest, content)
        yield b'{"sha256":"%s","line":%s}\n' % (digest.encode(), content)


def digest_of(line: bytes) -> str:
    """The digest that a line begins with, which of the last line stands for all of them; empty, if it is no such line."""
    found = _LINE.fullmatch(line)
    return found[1].decode() if found else ""


def take_in(store: RecordStore, lines: Iterable[bytes]) -> int:
    """How many records were added to `store`; those that it has already, the very same under the same counter, are passed over.

    A record is kept as its line is read, so where a line is refused the ones before it are there: taking in the right file goes on.
    `lines`: as `lines_of` gives them. That they hang together is all that is looked at: who made them, and when, no digest can say.
    Raises: RecordBroken, with the number of the line, if one was changed, left out, put elsewhere or added, or does not fit the store.
    """
    packs: dict[str, PackRecord] = {}
    added = seen = 0
    for number, kind, values in _checked(lines):
        try:
            if kind == "pack":
                pack = PackRecord(**(values | {"text": b64decode(values["text"])}))
                demand_digest(f"rule pack {pack.pack_id}", pack.text, pack.digest)
                packs[pack.digest] = pack
            elif kind == "record":
                record = Record(**(values | {name: b64decode(values[name]) for name in _BYTES}))
                added += _add(store, record, packs[record.pack_digest].text)
                seen += 1
            elif kind == "end" and values["records"] != seen:
                raise RecordBroken(f"{seen} records stand before it, {values['records']} were written")
        except (RecordBroken, KeyError, TypeError, ValueError) as error:
            raise RecordBroken(f"line {number}: {error}") from error
    return added


def _contents(store: RecordStore, tenant: str) -> Iterator[dict[str, Any]]:
    yield {"kind": "head", "format": FORMAT, "tenant": tenant}
    cited: set[str] = set()
    counter = count = 0
    while page := store.page(tenant, counter, _PAGE):
        for record in page:
            if record.pack_digest not in cited:
                pack = store.pack(record.pack_digest)
                yield {"kind": "pack"} | _values(pack) | {"text": b64encode(pack.text).decode()}
                cited.add(record.pack_digest)
            yield {"kind": "record"} | _values(record) | {name: b64encode(getattr(record, name)).decode() for name in _BYTES}
            count += 1
        counter = page[-1].counter
    yield {"kind": "end", "records": count}


def _values(kept: Record | PackRecord) -> dict[str, Any]:
    names = (*NewRecord.__slots__, "counter") if isinstance(kept, Record) else PackRecord.__slots__
    return {name: getattr(kept, name) for name in names}


def _checked(lines: Iterable[bytes]) -> Iterator[tuple[int, str, dict[str, Any]]]:
    """Number, kind and values of each line, once it is seen to follow the one before; the last must be an end."""
    digest, last = "", ""
    for number, raw in enumerate(lines, start=1):
        found = _LINE.fullmatch(raw)
        digest = _chained(digest, found[2]) if found else ""
        if found is None or digest.encode() != found[1]:
            raise RecordBroken(f"line {number}: it was changed, or does not follow the line before")
        values = _object(found[2])
        kind = values.pop("kind", "")
        is_right_head = kind == "head" and values.get("format") == FORMAT
        if (number == 1) != is_right_head or last == "end":
            raise RecordBroken(f"line {number}: a file of records has one head, of format {FORMAT}, and nothing after its end")
        last = kind
        yield number, kind, values
    if last != "end":
        raise RecordBroken("the file of records has no end; the rest of it is missing")


def _object(content: bytes) -> dict[str, Any]:
    try:
        values = json.loads(content)
    except ValueError:
        values = None
    return values if isinstance(values, dict) else {}


def _add(store: RecordStore, record: Record, pack_text: bytes) -> bool:
    """Whether the record had to be added."""
    try:
        kept = store.get(record.tenant, record.evaluation_id)
    except UnknownName:
        there = store.page(record.tenant, record.counter - 1, 1)
        if there or (record.counter > 1 and not store.page(record.tenant, record.counter - 2, 1)):
            raise RecordBroken(
                f"record {record.counter} does not follow what is kept here; take it in where nothing else is kept"
            ) from None
        kept = store.append(NewRecord(**{name: getattr(record, name) for name in NewRecord.__slots__}), pack_text)
        if kept != record:
            raise RecordBroken("another process is adding records here") from None
        return True
    if kept != record:
        raise RecordBroken(f"evaluation {record.evaluation_id} is kept here with other content")
    return False


def _chained(digest: str, content: bytes) -> str:
    return hashlib.sha256(digest.encode() + content).hexdigest()
