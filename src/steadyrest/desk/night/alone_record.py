"""Write down how a run with nobody there ended, and say how often this machine stopped so far."""

from __future__ import annotations

from datetime import datetime
from pathlib import Path

from steadyrest.store import runs_alone
from steadyrest.store.opening import Store, open_store
from steadyrest.store.runs_alone import AloneNoted
from steadyrest.trouble import BadInput
from steadyrest.units import parse_time

S_PER_H = 3600.0


def write_alone(store: Store, *, machine: str, ran: str, stopped: bool, by: str, now: datetime) -> AloneNoted:
    """Write down how a run alone ended.

    Args:
        store: an open data folder.
        machine: its name.
        ran: how long it ran alone, as typed, such as "9 h".
        stopped: it stopped for another reason than a tool or its program.
        by: who says so.
        now: aware moment.
    Returns: what was noted.
    Raises: BadInput: no time, or nobody named.
    """
    if not by.strip():
        raise BadInput(where="by", what="nobody is named.", do="Say who writes it down.")
    ran_s = parse_time(ran, "how long it ran alone")
    if not ran_s > 0:
        raise BadInput(where="how long it ran alone", what="no time says nothing.", do="Give the time, such as 9 h.")
    noted = AloneNoted(machine, ran_s, stopped, by.strip(), now)
    with store.writing() as session:
        runs_alone.note_alone(session, noted)
    return noted


def write_alone_in(data: Path | None, *, machine: str, ran: str, stopped: bool, by: str, now: datetime) -> AloneNoted:
    """The same in a data folder that is opened for it; arguments as in `write_alone`.

    Raises: BadInput: as there; or no data folder.
    """
    if data is None:
        raise BadInput(where="--data", what="there is no data folder to write it down in.", do="Name one.")
    store = open_store(data)
    try:
        return write_alone(store, machine=machine, ran=ran, stopped=stopped, by=by, now=now)
    finally:
        store.close()


def stops_seen(store: Store, machine: str) -> tuple[float, float]:
    """How often a machine stopped alone for other reasons than a tool, and in how many hours.

    Args:
        store: an open data folder.
        machine: its name.
    Returns: stops and hours, for the leaving check.
    """
    with store.reading() as session:
        runs = runs_alone.alone_noted(session, machine)
    return float(sum(run.stopped for run in runs)), sum(run.ran_s for run in runs) / S_PER_H


def stops_seen_in(data: Path | None, machine: str) -> tuple[float, float]:
    """The same in a data folder; nothing where there is none yet."""
    if data is None or not data.exists():
        return 0.0, 0.0
    store = open_store(data)
    try:
        return stops_seen(store, machine)
    finally:
        store.close()
