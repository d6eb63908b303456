"""What one record is found by, looked up in the tables of marks of any database."""

from collections.abc import Callable
from typing import Any

from bondwright.audit.marks import Marks

# No index leads from a counter to its marks: each mark that is appended would go into one more page. So every mark that the tenant has
# at all is looked up with the counter, one seek each; there are as many as its packs have rules, clauses and levels.
_FIRSTS = """
WITH RECURSIVE firsts(one) AS (
    SELECT (SELECT {first} FROM {table} WHERE tenant = ? ORDER BY {first} LIMIT 1)
    UNION ALL
    SELECT (SELECT {first} FROM {table} WHERE tenant = ? AND {first} > one ORDER BY {first} LIMIT 1) FROM firsts WHERE one IS NOT NULL
)"""
_PAIRS = """,
pairs(one, other) AS (
    SELECT one, (SELECT {second} FROM {table} WHERE tenant = ? AND {first} = one ORDER BY {second} LIMIT 1) FROM firsts
    UNION ALL
    SELECT one, (SELECT {second} FROM {table} WHERE tenant = ? AND {first} = one AND {second} > other ORDER BY {second} LIMIT 1)
    FROM pairs WHERE other IS NOT NULL
)
SELECT one, other FROM pairs WHERE EXISTS (
    SELECT 1 FROM {table} WHERE tenant = ? AND {first} = one AND {second} = other AND counter = ?
)"""
_SINGLES = " SELECT one FROM firsts WHERE EXISTS (SELECT 1 FROM {table} WHERE tenant = ? AND {first} = one AND counter = ?)"
_SELECT_RULES = (_FIRSTS + _PAIRS).format(table="rests_on_rule", first="rule", second="pack_id")
_SELECT_CLAUSES = (_FIRSTS + _SINGLES).format(table="rests_on_clause", first="clause")
_SELECT_LEVELS = (_FIRSTS + _PAIRS).format(table="has_level", first="outcome", second="act_on")


def kept_marks(rows: Callable[..., list[Any]], tenant: str, counter: int) -> Marks:
    """The marks of one record as the tables have them; `rows` answers a query, values written `?`, with its rows."""
    summary = rows("SELECT reference, day FROM summary WHERE tenant = ? AND counter = ?", tenant, counter)
    reference, day = summary[0] if summary else ("", "")
    # The last value asked for is the counter, all others are the tenant.
    rules, clauses, levels = (
        sorted(rows(select, *[tenant] * (select.count("?") - 1), counter)) for select in (_SELECT_RULES, _SELECT_CLAUSES, _SELECT_LEVELS)
    )
    return Marks(reference, day, tuple(rules), tuple(clause for (clause,) in clauses), tuple(levels))
