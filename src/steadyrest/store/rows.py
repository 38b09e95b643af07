"""Add a row, seal it, fold it into what is kept of all rows, and learn its number."""

from __future__ import annotations

from sqlalchemy import Table

from steadyrest.store import folds
from steadyrest.store.opening import Session
from steadyrest.store.seals import seal


def add(session: Session, table: Table, **values: object) -> int:
    """Add a row to a table with a number of its own.

    Args:
        session: a writing transaction.
        table: one of schema's with an `id`.
        values: by column.
    Returns: the row's id.
    """
    made = session.execute(table.insert().values(**values)).inserted_primary_key
    assert made is not None
    seal(session, table, int(made[0]))
    folds.note(session, table.name, int(made[0]))
    return int(made[0])
