"""How edges ended: entries of the shop's ledger, from which the leaving check learns how long a tool lasts here."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from steadyrest.store import ledger
from steadyrest.store.opening import Session

ENDED = "edge ended"


@dataclass(frozen=True, slots=True)
class EdgeNoted:
    """One edge's end. had_cut_s: how long it had cut. failed: it broke or wore out; else it was changed while good."""

    machine: str
    tool: int
    had_cut_s: float
    failed: bool
    who: str
    when: datetime


def note_edge(session: Session, noted: EdgeNoted) -> ledger.Entry:
    """Write down how an edge ended.

    Args:
        session: a writing transaction.
        noted: which tool of which machine, and how.
    Returns: the entry.
    """
    body = {"machine": noted.machine, "tool": noted.tool, "had_cut_s": noted.had_cut_s, "failed": noted.failed}
    when = noted.when
    return ledger.write_down(session, job_id=None, kind=ENDED, who=noted.who, happened=when, told=when, body=body)


def edges_noted(session: Session, machine: str) -> tuple[EdgeNoted, ...]:
    """Every edge that ended on a machine, corrected entries left out, oldest first.

    Args:
        session: a transaction.
        machine: its name.
    Returns: ends.
    """
    return tuple(
        EdgeNoted(
            machine=machine,
            tool=int(entry.body["tool"] or 0),
            had_cut_s=float(entry.body["had_cut_s"] or 0.0),
            failed=bool(entry.body["failed"]),
            who=entry.who,
            when=entry.happened,
        )
        for entry in ledger.of_kinds(session, (ENDED,))
        if entry.body.get("machine") == machine
    )
