"""Programs checked and released: entries of the shop's ledger, and the copy into a machine's watched folder.

A program is known by the hash of its bytes. What was released is kept by content, so that the next one can be compared
with it, and so that what stands at the machine can be told from what somebody changed there.
"""

from __future__ import annotations

import contextlib
import os
import tempfile
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from steadyrest.store import ledger
from steadyrest.store.files import sha256_of, sync, sync_folder
from steadyrest.store.opening import Session
from steadyrest.trouble import BadInput

CHECKED, RELEASED = "program checked", "program released"
# Nobody said who ran a check: the house did it, at a person's word.
HOUSE = "steadyrest"
READABLE = 0o644


@dataclass(frozen=True, slots=True)
class Noted:
    """A program that was checked, or released.

    answer: of the leaving check. who, when: did it. to: the file, or "". entry: its number in the ledger, 0
    before it is written down. unit, blank: what was said at the check besides the shop file, as typed; "" for nothing.
    """

    program: str
    machine: str
    sha256: str
    answer: str
    who: str
    when: datetime
    to: str = ""
    entry: int = 0
    unit: str = ""
    blank: str = ""


def note_checked(session: Session, noted: Noted) -> int:
    """Write down that a program was checked.

    Args:
        session: a writing transaction.
        noted: what, for which machine, with which answer.
    Returns: the entry's number.
    """
    body = {
        "program": noted.program, "machine": noted.machine, "sha256": noted.sha256, "answer": noted.answer,
        "unit": noted.unit, "blank": noted.blank,
    }  # fmt: skip
    when = noted.when
    entry = ledger.write_down(session, job_id=None, kind=CHECKED, who=noted.who, happened=when, told=when, body=body)
    return int(entry.id)


def note_released(session: Session, noted: Noted) -> ledger.Entry:
    """Write down that a program was released.

    Args:
        session: a writing transaction.
        noted: what, by whom, when, whither.
    Returns: the entry.
    """
    body = {
        "program": noted.program, "machine": noted.machine, "sha256": noted.sha256, "answer": noted.answer,
        "to": noted.to,
    }  # fmt: skip
    return ledger.write_down(
        session, job_id=None, kind=RELEASED, who=noted.who, happened=noted.when, told=noted.when, body=body
    )


def last(session: Session, kind: str, *, program: str, machine: str) -> Noted | None:
    """The last check, or the last release, of a program on a machine.

    Args:
        session: a transaction.
        kind: CHECKED or RELEASED.
        program, machine: names.
    Returns: what was noted; None if there is none.
    """
    for entry in reversed(ledger.of_kinds(session, (kind,))):
        if entry.body.get("program") == program and entry.body.get("machine") == machine:
            return noted(entry)
    return None


def all_of(session: Session, kind: str) -> tuple[Noted, ...]:
    """Every check, or every release, newest first.

    Args:
        session: a transaction.
        kind: CHECKED or RELEASED.
    Returns: what was noted.
    """
    return tuple(noted(entry) for entry in reversed(ledger.of_kinds(session, (kind,))))


def noted(entry: ledger.Entry) -> Noted:
    """An entry of the ledger as what it notes."""
    said = {name: str(value or "") for name, value in entry.body.items()}
    return Noted(
        program=said["program"],
        machine=said["machine"],
        sha256=said["sha256"],
        answer=said["answer"],
        who=entry.who,
        when=entry.happened,
        to=said.get("to", ""),
        entry=int(entry.id),
        unit=said.get("unit", ""),
        blank=said.get("blank", ""),
    )


def copy_whole(goal: Path, data: bytes, *, sha256: str) -> None:
    """Put a program into a watched folder, whole or not at all, and look whether it arrived.

    Args:
        goal: the file's place; its folder must be there, for a folder made here would be watched by nobody.
        data: the program.
        sha256: of the data.
    Raises: BadInput: the folder is not there or cannot be written, or what arrived is not what was sent.
    """
    try:
        # A name that begins with a dot and has no ending of a program: what watches the folder passes it over.
        handle, temporary = tempfile.mkstemp(dir=goal.parent, prefix=".being-written-")
    except OSError as fault:
        what = f"programs cannot be put there ({fault.strerror})."
        do = "See that the folder is there and may be written, and that the machine is switched on."
        raise BadInput(where=str(goal.parent), what=what, do=do) from None
    try:
        with os.fdopen(handle, "wb") as out:
            out.write(data)
            sync(out.fileno())
        os.chmod(temporary, READABLE)  # a temporary file is its owner's alone; the control reads as somebody else
        arrived = sha256_of(Path(temporary))
        if arrived != sha256:
            raise BadInput(
                where=str(goal), what="what arrived is not what was sent.", do="Look at the disk or network."
            )
        os.replace(temporary, goal)
    except BaseException:
        with contextlib.suppress(OSError):
            os.unlink(temporary)
        raise
    sync_folder(goal.parent)
