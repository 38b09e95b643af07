"""The scrap bins' ledger: a bin set up, what went in, what was weighed, what was hauled away and what came for it.

Entries are only ever added. Each carries its turn in its bin, so that one bin is not hauled twice by two people.
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any, Literal

from sqlalchemy import select

from steadyrest.store import schema
from steadyrest.store.opening import Session
from steadyrest.store.rows import add

Kind = Literal["bin", "in", "hauled", "weighed"]


@dataclass(frozen=True, slots=True)
class ScrapEntry:
    """One entry. body: of a bin what it is for and costs; of others `kg`, `money`, `words`."""

    bin: str
    turn: int
    kind: Kind
    who: str
    happened: datetime
    body: Mapping[str, Any]


def write_down(
    session: Session, name: str, turn: int, kind: Kind, body: Mapping[str, object], *, who: str, now: datetime
) -> None:
    """Add an entry; the turn is the bin's next one, or the database refuses it."""
    text = json.dumps(dict(body), ensure_ascii=False, allow_nan=False, sort_keys=True)
    add(session, schema.scrap_entry, bin=name, turn=turn, kind=kind, who=who, happened=now, told=now, body=text)


def entries(session: Session) -> tuple[ScrapEntry, ...]:
    """Every entry, the first first."""
    row = schema.scrap_entry.c
    asked = select(row.bin, row.turn, row.kind, row.who, row.happened, row.body).order_by(row.id)
    return tuple(ScrapEntry(*one[:5], body=json.loads(one[5])) for one in session.execute(asked))
