"""What was brought in from lists: an entry for each in the shop's ledger, with what it made; undone by another."""

from __future__ import annotations

import json
from dataclasses import dataclass
from datetime import datetime

from steadyrest.store import ledger
from steadyrest.store.ledger import EntryId
from steadyrest.store.opening import Session
from steadyrest.trouble import BadInput

KIND, UNDONE = "imported", "import undone"


@dataclass(frozen=True, slots=True)
class Import:
    """A list that was brought in. what: customers, pieces, quotes or hours. sha256: the kept file. rows: of it.

    made: what was written for it, by table and number, such as ("clock", 7). undone: it does not stand any more.
    """

    entry: EntryId
    what: str
    file: str
    sha256: str
    rows: int
    made: tuple[tuple[str, int], ...]
    who: str
    when: datetime
    undone: bool


def note(
    session: Session, *, what: str, file: str, sha256: str, rows: int, made: list[tuple[str, int]], who: str,
    now: datetime,
) -> EntryId:  # fmt: skip
    """Write down that a list was brought in, in the transaction that wrote what it made.

    Args:
        session: a writing transaction; the file is noted before.
        what, file, sha256, rows, made, who: as Import's.
        now: aware moment.
    Returns: the entry.
    """
    body = {"what": what, "file": file, "sha256": sha256, "rows": rows, "made": json.dumps(made)}
    return ledger.write_down(session, job_id=None, kind=KIND, who=who, happened=now, told=now, body=body).id


def undo(session: Session, one: Import, *, who: str, now: datetime) -> None:
    """Write down that it does not stand any more, in the transaction that took back what it made."""
    ledger.write_down(
        session, job_id=None, kind=UNDONE, who=who, happened=now, told=now, body={"what": one.what},
        replaces=one.entry,
    )  # fmt: skip


def imports(session: Session) -> tuple[Import, ...]:
    """Every list that was brought in, the oldest first, those undone among them."""
    entries = ledger.entries(session, None)
    replaced = {one.replaces for one in entries}
    return tuple(
        Import(
            one.id, str(one.body["what"]), str(one.body["file"]), str(one.body["sha256"]), int(one.body["rows"] or 0),
            tuple((str(table), int(number)) for table, number in json.loads(str(one.body["made"]))), one.who, one.told,
            one.id in replaced,
        )
        for one in entries
        if one.kind == KIND
    )  # fmt: skip


def import_of(session: Session, entry: int) -> Import:
    """The import of this entry that stands. Raises: BadInput: there is none, or it is undone already."""
    found = next((one for one in imports(session) if one.entry == entry), None)
    if found is None or found.undone:
        what = "it is undone already." if found is not None else "there is no such import."
        raise BadInput(where=f"import {entry}", what=what, do="Look at the list of imports.")
    return found
