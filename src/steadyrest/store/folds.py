"""What is folded from rows as they are added, in the same transaction: nobody sees one without the other.

Rows are the truth; a fold only spares asking all of them. Each can be made anew: when the folder is opened and the fold
is of another version, or at a person's word. `verify` compares.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING

from steadyrest.store import found, states

if TYPE_CHECKING:
    from steadyrest.store.opening import Session


@dataclass(frozen=True, slots=True)
class Fold:
    """note: folds one row. anew: folds all. differs: what is kept otherwise than the rows say."""

    name: str
    version: int
    note: Callable[[Session, str, int], None]
    anew: Callable[[Session], None]
    differs: Callable[[Session], Iterator[tuple[str, str]]]


FOLDS = (
    Fold("states", states.VERSION, states.note, states.anew, states.differs),
    Fold("found", found.VERSION, found.note, found.anew, found.differs),
)


def note(session: Session, table: str, row: int) -> None:
    """Fold a row that was just added.

    Args:
        session: the transaction that added it.
        table, row: its table's name and its id.
    """
    for one in FOLDS:
        one.note(session, table, row)


def due(session: Session) -> tuple[Fold, ...]:
    """The folds that this database does not have in the present version."""
    kept = {str(name): int(version) for name, version in session.exec_driver_sql("SELECT name, version FROM fold")}
    return tuple(one for one in FOLDS if kept.get(one.name) != one.version)


def make_anew(session: Session, which: tuple[Fold, ...] = FOLDS) -> None:
    """Make folds anew from the rows.

    Args:
        session: a writing transaction.
        which: folds; all by default.
    """
    for one in which:
        one.anew(session)
        session.exec_driver_sql("INSERT OR REPLACE INTO fold (name, version) VALUES (?, ?)", (one.name, one.version))


def differs(session: Session) -> Iterator[tuple[str, str]]:
    """What is kept otherwise than the rows say, of the folds that are of the present version.

    Args:
        session: a transaction.
    Yields: where, and what is wrong.
    """
    late = due(session)
    for one in FOLDS:
        if one not in late:
            yield from one.differs(session)
