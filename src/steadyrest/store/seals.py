"""A seal for every row that is only ever added: what was changed, lost or slipped in afterwards is found.

The seals stand one after the other; each is the hash of the one before and of its row as it was written, so that no
seal can be made good without all later ones. Columns that are NULL are not hashed: a later table may have more of them.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterator, Mapping
from typing import Any, cast

from sqlalchemy import Connection, Table

from steadyrest.store import schema

# Rows of these tables may change or go, so they carry no seal; nor do the seals themselves.
UNSEALED = frozenset({
    "person_pin", "token", "task", "touch", "seal", "fold", "job_state", "piece_state", "plan_short"
})  # fmt: skip
# Columns that may change in a row that else stays.
CHANGING = {"plan": frozenset({"chosen"})}
FIRST = "0" * 64


def sealed_tables() -> tuple[Table, ...]:
    """The tables whose rows stay as they were written, those pointed to first."""
    return tuple(table for table in schema.TABLES.sorted_tables if table.name not in UNSEALED)


def key_of(table: Table) -> str:
    """The name of a table's one key column."""
    return next(iter(table.primary_key)).name


def sealed_columns(table: Table) -> tuple[str, ...]:
    """The columns that are sealed."""
    changing = CHANGING.get(table.name, frozenset())
    return tuple(column.name for column in table.columns if column.name not in changing)


def digest(before: str, of: str, row: str, values: Mapping[str, object]) -> str:
    """One seal.

    Args:
        before: the seal before it, or FIRST.
        of: the table's name. row: the row's key as text.
        values: column to value as the database holds it: text, numbers, bytes, None.
    Returns: SHA-256, 64 hexadecimal digits.
    """
    said = {name: plain(value) for name, value in values.items() if value is not None}
    text = json.dumps([before, of, row, said], ensure_ascii=True, sort_keys=True, separators=(",", ":"))
    return hashlib.sha256(text.encode()).hexdigest()


def plain(value: object) -> object:
    return {"bytes": value.hex()} if isinstance(value, bytes) else value


def seal(session: Connection, table: Table, key: int | str) -> None:
    """Seal a row that was just written; a table whose rows may change is left alone.

    Args:
        session: a writing transaction.
        table: one of schema's. key: the row's.
    """
    if table.name not in UNSEALED:
        write_seal(session, table.name, key_of(table), sealed_columns(table), key)


def write_seal(session: Connection, of: str, key_name: str, columns: tuple[str, ...], key: int | str) -> None:
    """Seal one row of a table that is known by its names alone."""
    before = session.exec_driver_sql("SELECT digest FROM seal ORDER BY id DESC LIMIT 1").scalar() or FIRST
    asked = f'SELECT {", ".join(columns)} FROM "{of}" WHERE {key_name} = ?'
    found = session.exec_driver_sql(asked, (key,)).one()
    made = digest(str(before), of, str(key), dict(zip(columns, found, strict=True)))
    session.exec_driver_sql("INSERT INTO seal (of, row, digest) VALUES (?, ?, ?)", (of, str(key), made))


def last(session: Connection) -> int:
    """The number of the last seal: as long as it is the same, no row was added that stays."""
    return int(session.exec_driver_sql("SELECT max(id) FROM seal").scalar() or 0)


def columns_here(session: Connection, table: Table) -> tuple[str, ...]:
    """The sealed columns of a table that this database has: an older one has fewer."""
    here = {str(name) for _, name, *_ in session.exec_driver_sql(f'PRAGMA table_info("{table.name}")')}
    return tuple(name for name in sealed_columns(table) if name in here)


def broken(session: Connection) -> Iterator[tuple[str, str]]:
    """Rows that are not as they were sealed.

    Args:
        session: a transaction; the tables may be older ones.
    Yields: where, and what is wrong.
    """
    tables = {table.name: table for table in sealed_tables() if columns_here(session, table)}
    columns = {name: columns_here(session, table) for name, table in tables.items()}
    asked = {
        name: f'SELECT {", ".join(columns[name])} FROM "{name}" WHERE {key_of(table)} = ?'
        for name, table in tables.items()
    }
    # Straight from the driver: two hundred thousand rows in a second or two.
    cursor = cast("Any", session.connection.driver_connection).cursor()
    before, number = FIRST, 0
    for number_is, of, row, said in session.exec_driver_sql("SELECT id, of, row, digest FROM seal ORDER BY id"):
        number += 1
        if number_is != number:
            yield f"seal {number}", "is gone"
            number = number_is
        if of not in tables:
            yield f"seal {number_is}", f"is of a table {of!r} that there is not"
        else:
            try:
                found = cursor.execute(asked[of], (row,)).fetchone()
            except session.dialect.loaded_dbapi.Error as fault:  # text that is none any more
                yield f"{of} {row}", f"cannot be read ({fault})"
                before = said
                continue
            if found is None:
                yield f"{of} {row}", "is gone"
            elif digest(before, of, row, dict(zip(columns[of], found, strict=True))) != said:
                yield f"{of} {row}", "is not as it was written (its seal does not fit)"
        before = said
    for name, table in tables.items():
        key = key_of(table)
        extra = f'SELECT {key} FROM "{name}" WHERE CAST({key} AS TEXT) NOT IN (SELECT row FROM seal WHERE of = ?)'
        for (row,) in session.exec_driver_sql(extra, (name,)):
            yield f"{name} {row}", "has no seal: it was not written by steadyrest"
