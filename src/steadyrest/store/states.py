"""The state of every job and every piece, folded from their entries and kept: what asks for all open ones asks once.

The entries are the truth. These rows are written in the transaction that adds an entry (folds.py), `verify` compares
them, and they can be made anew at any time.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING

from sqlalchemy import select

from steadyrest.store import schema

if TYPE_CHECKING:
    from steadyrest.store.opening import Session

# An entry of these kinds sets the job's state; of any other kind (reading, hours, step done) leaves it.
STATES = ("asked", "planned", "promised", "declined", "begun", "ready", "delivered", "paid")
TAKEN = ("promised", "begun")  # and not yet ready
OPEN = ("asked", "planned", *TAKEN, "ready")
VERSION = 1

JOBS = f"""
SELECT j.id, coalesce(l.kind, 'asked'), coalesce(l.happened, j.made_at) FROM job j LEFT JOIN ledger l ON l.id = (
    SELECT one.id FROM ledger one WHERE one.job_id = j.id AND one.kind IN {STATES}
    AND NOT EXISTS (SELECT 1 FROM ledger later WHERE later.replaces = one.id)
    ORDER BY one.happened DESC, one.id DESC LIMIT 1)
"""
PIECES = """
SELECT p.id, CASE m.kind WHEN 'missed' THEN 'missing' WHEN 'gone' THEN 'gone' ELSE 'here' END, m.turn
FROM piece p JOIN movement m ON m.piece_id = p.id
WHERE m.turn = (SELECT max(turn) FROM movement one WHERE one.piece_id = p.id)
"""
INTO_JOBS = "INSERT OR REPLACE INTO job_state (job_id, state, since)"
INTO_PIECES = "INSERT OR REPLACE INTO piece_state (piece_id, state, turn)"


def note(session: Session, table: str, row: int) -> None:
    """Fold a row that was just added.

    Args:
        session: the transaction that added it.
        table, row: its table's name and its id.
    """
    if table == "job":
        session.exec_driver_sql(f"{INTO_JOBS} {JOBS} WHERE j.id = ?", (row,))
    elif table == "ledger":
        session.exec_driver_sql(f"{INTO_JOBS} {JOBS} WHERE j.id = (SELECT job_id FROM ledger WHERE id = ?)", (row,))
    elif table == "movement":
        session.exec_driver_sql(
            f"{INTO_PIECES} {PIECES} AND p.id = (SELECT piece_id FROM movement WHERE id = ?)", (row,)
        )


def anew(session: Session) -> None:
    """Make both tables anew from the entries."""
    for table, into, fold in (("job_state", INTO_JOBS, JOBS), ("piece_state", INTO_PIECES, PIECES)):
        session.exec_driver_sql(f"DELETE FROM {table}")
        session.exec_driver_sql(f"{into} {fold}")


def differs(session: Session) -> Iterator[tuple[str, str]]:
    """What is kept otherwise than the entries say.

    Args:
        session: a transaction.
    Yields: where, and what is wrong.
    """
    for table, key, fold in (
        ("job_state", "job_id, state, since", JOBS),
        ("piece_state", "piece_id, state, turn", PIECES),
    ):
        kept = f"SELECT {key} FROM {table}"
        both = f"SELECT * FROM ({fold}) EXCEPT {kept} UNION SELECT * FROM ({kept} EXCEPT {fold})"
        for number in sorted({row[0] for row in session.exec_driver_sql(both)}):
            yield f"{table} {number}", "is not what the entries come to"


def jobs_in(session: Session, states: Sequence[str]) -> dict[int, str]:
    """The jobs that are in one of these states.

    Args:
        session: a transaction.
        states: words of STATES.
    Returns: job's id to its state.
    """
    row = schema.job_state.c
    found = session.execute(select(row.job_id, row.state).where(row.state.in_(states)))
    return {int(job): str(state) for job, state in found}


def how_many(session: Session) -> int:
    """How many jobs there are."""
    return int(session.exec_driver_sql("SELECT count(*) FROM job_state").scalar() or 0)


def of_job(session: Session, job_id: int) -> str:
    """A job's state; "asked" if nothing set it."""
    row = schema.job_state.c
    return session.execute(select(row.state).where(row.job_id == job_id)).scalar() or "asked"
