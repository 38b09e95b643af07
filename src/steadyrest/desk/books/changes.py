"""Who changed what, for the owner: read from the sealed entries; nothing is written for it, nothing can be left out."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from steadyrest.store import changes
from steadyrest.store.changes import Change
from steadyrest.store.opening import Store

MOST = 100


@dataclass(frozen=True, slots=True)
class Changes:
    """rows: newest first. older: whether there are more, told before the last of them."""

    rows: tuple[Change, ...]
    older: bool


def latest(store: Store, *, before: datetime | None, who: str) -> Changes:
    """What was told last.

    Args:
        store: an open data folder.
        before: only what was told before it; None: up to now.
        who: only by this person; "" for everybody.
    Returns: a hundred rows at most.
    """
    with store.reading() as session:
        found = changes.latest(session, before=before, who=who, most=MOST + 1)
    return Changes(found[:MOST], len(found) > MOST)
