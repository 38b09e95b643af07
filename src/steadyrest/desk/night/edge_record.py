"""Write down how an edge ended, and say how edges ended so far: what the leaving check learns from."""

from __future__ import annotations

import re
from datetime import datetime
from pathlib import Path

from steadyrest.program.night.tool_life import EdgeEnd
from steadyrest.store import edge_ends
from steadyrest.store.edge_ends import EdgeNoted
from steadyrest.store.opening import Store, open_store
from steadyrest.trouble import BadInput
from steadyrest.units import parse_time

TOOL = re.compile(r"[Tt]?0*([1-9][0-9]{0,3})")


def write_edge(
    store: Store, *, machine: str, tool: str, had_cut: str, failed: bool, by: str, now: datetime
) -> EdgeNoted:
    """Write down how an edge ended.

    Args:
        store: an open data folder.
        machine: its name.
        tool: as typed, such as "T4".
        had_cut: how long it had cut, as typed, such as "25 min".
        failed: it broke or wore out; else it was changed while good.
        by: who says so.
        now: aware moment.
    Returns: what was noted.
    Raises: BadInput: no tool, no time, or nobody named.
    """
    found = TOOL.fullmatch(tool.strip())
    if not found:
        raise BadInput(where="tool", what=f"{tool!r} is no tool's number.", do="Write it as T4.")
    if not by.strip():
        raise BadInput(where="by", what="nobody is named.", do="Say who writes it down.")
    had_cut_s = parse_time(had_cut, "how long it had cut")
    if not had_cut_s > 0:
        raise BadInput(where="how long it had cut", what="an edge that cut nothing says nothing.", do="Give the time.")
    noted = EdgeNoted(machine, int(found[1]), had_cut_s, failed, by.strip(), now)
    with store.writing() as session:
        edge_ends.note_edge(session, noted)
    return noted


def write_edge_in(
    data: Path | None, *, machine: str, tool: str, had_cut: str, failed: bool, by: str, now: datetime
) -> EdgeNoted:
    """The same in a data folder that is opened for it; arguments as in `write_edge`.

    Raises: BadInput: as there; or no data folder.
    """
    if data is None:
        raise BadInput(where="--data", what="there is no data folder to write it down in.", do="Name one.")
    store = open_store(data)
    try:
        return write_edge(store, machine=machine, tool=tool, had_cut=had_cut, failed=failed, by=by, now=now)
    finally:
        store.close()


def ends(store: Store, machine: str) -> dict[int, tuple[EdgeEnd, ...]]:
    """How edges ended on a machine, by tool.

    Args:
        store: an open data folder.
        machine: its name.
    Returns: for the leaving check.
    """
    found: dict[int, tuple[EdgeEnd, ...]] = {}
    with store.reading() as session:
        for noted in edge_ends.edges_noted(session, machine):
            end = EdgeEnd(noted.had_cut_s, noted.failed)
            found[noted.tool] = (*found.get(noted.tool, ()), end)
    return found


def ends_in(data: Path | None, machine: str) -> dict[int, tuple[EdgeEnd, ...]]:
    """The same in a data folder; nothing where there is none yet."""
    if data is None or not data.exists():
        return {}
    store = open_store(data)
    try:
        return ends(store, machine)
    finally:
        store.close()
