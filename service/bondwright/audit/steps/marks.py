"""The marks of records that were kept before there were any."""

from contextlib import closing

from bondwright.audit.marks import marks_of
from bondwright.audit.record import Summary, demand_digest
from bondwright.audit.steps.stepping import driver

_KEPT = """
SELECT tenant, counter, evaluation_id, recorded_at, pack_id, evaluation_digest, evaluation_bytes FROM record ORDER BY tenant, counter
"""
_TABLES = (
    ("rests_on_rule", ("tenant", "rule", "pack_id", "counter")),
    ("rests_on_clause", ("tenant", "clause", "counter")),
    ("has_level", ("tenant", "outcome", "act_on", "counter")),
)


def fill_marks() -> None:
    """Fills the tables of marks from every record. Raises: RecordBroken, if the bytes of a record do not hash to their digest."""
    dialect, connection = driver()
    is_sqlite = dialect == "sqlite"
    # A cursor of the server's own: the answers of a large store do not fit in memory.
    reading = connection.cursor() if is_sqlite else connection.cursor(name="kept")
    writing = connection.cursor()
    place = "?" if is_sqlite else "%s"

    def keep(table: str, columns: tuple[str, ...], rows: list[tuple[object, ...]]) -> None:
        if rows:
            writing.executemany(f"INSERT INTO {table} ({', '.join(columns)}) VALUES ({', '.join([place] * len(columns))})", rows)

    with closing(reading):
        reading.execute(_KEPT)
        for tenant, counter, evaluation_id, recorded_at, pack_id, digest, evaluation in reading:
            demand_digest(f"evaluation {evaluation_id}", evaluation, digest)
            marks = marks_of(evaluation)
            summary = Summary(evaluation_id, recorded_at, marks.reference, pack_id, marks.day, counter)
            columns = ("tenant", *Summary.__slots__)
            keep("summary", columns, [(tenant, *(getattr(summary, name) for name in Summary.__slots__))])
            entries = (marks.rules, [(clause,) for clause in marks.clauses], marks.levels)
            for (table, names), found in zip(_TABLES, entries, strict=True):
                keep(table, names, [(tenant, *entry, counter) for entry in found])
