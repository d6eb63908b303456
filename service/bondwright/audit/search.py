"""Records found by what they rest on: one query, answered from an index in the order of the counters."""

from collections.abc import Callable, Sequence
from typing import Any

from msgspec import Struct

from bondwright.audit.record import Search, Summary

_SELECT = f"SELECT {', '.join(f's.{name}' for name in Summary.__slots__)} FROM "


class Dialect(Struct, frozen=True):
    """How a database wants a query written: `place` for each value; `is_led`: it is told which table comes first, and which index."""

    place: str
    is_led: bool


SQLITE, POSTGRESQL = Dialect("?", True), Dialect("%s", False)

# Tables to begin with, in the order of how much they narrow down as a rule. The rest is probed for each row.
_RULE = ("rests_on_rule", ("rule", "pack_id"))
# The column has its name from form 1, where what to act on was the worst case: that is what it holds of every form.
_LEVEL = ("has_level", ("outcome", "act_on"))
_CLAUSE = ("rests_on_clause", ("clause",))


def packs_to_ask(rows: Callable[..., list[Any]], wanted: Search, dialect: Dialect = SQLITE) -> list[str | None]:
    """The ids of the packs by which `wanted` is asked for, one query each; none stands for all of them at once.

    `rows` answers a query with its rows. What rests on a rule is kept by pack, and packs are few: each is asked.
    """
    if wanted.pack is None and wanted.packs is None and wanted.rule is None:
        return [None]
    select = "SELECT pack_id FROM pack"
    found = rows(select) if wanted.pack is None else rows(f"{select} WHERE {dialect.place} IN (pack_id, digest)", wanted.pack)
    return [pack_id for (pack_id,) in found if wanted.packs is None or pack_id in wanted.packs]


def query(
    tenant: str, wanted: Search, pack_id: str | None, after: int, limit: int, dialect: Dialect = SQLITE
) -> tuple[str, tuple[object, ...]]:
    """The SQL, and its values, for the summaries that fit `wanted`, those above the counter `after`, rising, `limit` at most.

    `pack_id`: of the pack that `wanted` names; where it names a rule and no pack, of each pack in turn.
    """
    marks = _marks(wanted, pack_id)
    plain: list[tuple[str, object]] = [("s.tenant = ?", tenant), ("s.counter > ?", after)]
    plain += [(f"s.{column} = ?", value) for column, value in (("reference", wanted.reference), ("pack_id", pack_id)) if value is not None]
    plain += [(f"s.recorded_at {sign} ?", value) for sign, value in ((">=", wanted.recorded_from), ("<", wanted.recorded_to)) if value]
    if marks and wanted.reference is None:
        table, columns, values = marks.pop(0)
        join = "CROSS JOIN" if dialect.is_led else "JOIN"
        begin = f"{table} AS m {join} summary AS s ON s.tenant = m.tenant AND s.counter = m.counter"
        first = [("m.tenant = ?", tenant), ("m.counter > ?", after)]
        plain = [*first, *((f"m.{column} = ?", value) for column, value in zip(columns, values, strict=True)), *plain]
        order = "m.counter"
    else:
        begin, order = f"summary AS s{_index(wanted, pack_id) if dialect.is_led else ''}", "s.counter"
    tests, given = [test for test, _ in plain], [value for _, value in plain]
    for table, columns, values in marks:
        same = " AND ".join(f"m.{column} = ?" for column in columns)
        tests.append(f"EXISTS (SELECT 1 FROM {table} AS m WHERE m.tenant = s.tenant AND m.counter = s.counter AND {same})")
        given += values
    sql = f"{_SELECT}{begin} WHERE {' AND '.join(tests)} ORDER BY {order} LIMIT ?"
    return sql.replace("?", dialect.place), (*given, limit)


def _marks(wanted: Search, pack_id: str | None) -> list[tuple[str, tuple[str, ...], Sequence[object]]]:
    marks: list[tuple[str, tuple[str, ...], Sequence[object]]] = []
    if wanted.rule is not None:
        marks.append((*_RULE, [wanted.rule, pack_id]))
    if wanted.level is not None:
        marks.append((*_LEVEL, wanted.level))
    if wanted.clause is not None:
        marks.append((*_CLAUSE, [wanted.clause]))
    return marks


def _index(wanted: Search, pack_id: str | None) -> str:
    if wanted.reference is not None:
        return " INDEXED BY summary_by_reference"
    if pack_id is not None:
        return " INDEXED BY summary_by_pack_id"
    return " INDEXED BY summary_by_recorded_at" if wanted.recorded_from or wanted.recorded_to else ""
