"""Runs with nobody there, and how they ended: entries of the shop's ledger, from which the leaving check learns."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from steadyrest.store import ledger
from steadyrest.store.opening import Session

RAN = "ran alone"


@dataclass(frozen=True, slots=True)
class AloneNoted:
    """One run alone. ran_s: until it ended or stopped.

    stopped: it stopped for another reason than a tool or its own program: chips, coolant, power, jaws.
    """

    machine: str
    ran_s: float
    stopped: bool
    who: str
    when: datetime


def note_alone(session: Session, noted: AloneNoted) -> ledger.Entry:
    """Write down how a run alone ended.

    Args:
        session: a writing transaction.
        noted: which machine, how long, and how.
    Returns: the entry.
    """
    body = {"machine": noted.machine, "ran_s": noted.ran_s, "stopped": noted.stopped}
    when = noted.when
    return ledger.write_down(session, job_id=None, kind=RAN, who=noted.who, happened=when, told=when, body=body)


def alone_noted(session: Session, machine: str) -> tuple[AloneNoted, ...]:
    """Every run alone of a machine, corrected entries left out, oldest first.

    Args:
        session: a transaction.
        machine: its name.
    Returns: runs.
    """
    return tuple(
        AloneNoted(machine, float(entry.body["ran_s"] or 0.0), bool(entry.body["stopped"]), entry.who, entry.happened)
        for entry in ledger.standing(ledger.entries(session, None))
        if entry.kind == RAN and entry.body.get("machine") == machine
    )
