"""Who changed what: the rows that are only ever added and say who told them, newest first, from every table of them."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from sqlalchemy import Table, select

from steadyrest.store import schema
from steadyrest.store.opening import Session
from steadyrest.store.seals import sealed_tables

# What another column says already, or no person reads.
LEFT_OUT = frozenset({"id", "who", "told", "happened", "kind", "job_id", "touch", "sha256", "file_sha256", "text"})


@dataclass(frozen=True, slots=True)
class Change:
    """One row. table, id: where it stands. happened: None where that is when it was told. job: its number, 0 for none.

    kind: of the entry, "" where its table has no kinds. said: the other columns that hold something, by name.
    """

    table: str
    id: int
    who: str
    told: datetime
    happened: datetime | None
    kind: str
    job: int
    said: tuple[tuple[str, str], ...]


def told_tables() -> tuple[Table, ...]:
    """The tables whose rows stay and say who told them."""
    return tuple(one for one in sealed_tables() if {"id", "who", "told"} <= set(one.columns.keys()))


def latest(session: Session, *, before: datetime | None, who: str, most: int) -> tuple[Change, ...]:
    """What was told last.

    Args:
        session: a transaction.
        before: only what was told before it; None: up to now.
        who: only by this person; "" for everybody.
        most: how many.
    Returns: newest first.
    """
    found: list[Change] = []
    for table in told_tables():
        row = table.c
        # By id, which grows as the telling does: the newest stand at the end, and no index on the moment is needed.
        asked = select(table).order_by(row.id.desc()).limit(most)
        if before is not None:
            asked = asked.where(row.told < before)
        if who:
            asked = asked.where(row.who == who)
        found += (change(table.name, dict(one)) for one in session.execute(asked).mappings())
    found.sort(key=lambda one: (one.told, one.table, one.id), reverse=True)
    del found[most:]
    row = schema.job.c
    meant = session.execute(select(row.id, row.number).where(row.id.in_({one.job for one in found})))
    jobs = {one.id: one.number for one in meant}
    return tuple(
        Change(one.table, one.id, one.who, one.told, one.happened, one.kind, jobs.get(one.job, 0), one.said)
        for one in found
    )


def change(table: str, row: dict[str, object]) -> Change:
    """A row as a change; its job still by the table's key."""
    told, happened = row["told"], row.get("happened")
    assert isinstance(told, datetime)
    said = tuple((name, str(value)) for name, value in row.items() if name not in LEFT_OUT and value not in (None, ""))
    return Change(
        table, int(str(row["id"])), str(row["who"]), told,
        happened if isinstance(happened, datetime) and happened != told else None,
        str(row.get("kind") or ""), int(str(row.get("job_id") or 0)), said,
    )  # fmt: skip


def tellers(session: Session) -> tuple[str, ...]:
    """Everybody who ever told something, by id."""
    found: set[str] = set()
    for table in told_tables():
        found |= set(session.execute(select(table.c.who).distinct()).scalars())
    return tuple(sorted(found))
