"""Cut lists and nests that are kept: each as it was made, and what was written down as cut by it.

A list is never changed; what was cut by it is an entry. Whether a piece is still as the list saw it, the rack says.
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any, Literal

from sqlalchemy import select

from steadyrest.store import schema
from steadyrest.store.jobs import JobId
from steadyrest.store.opening import Session
from steadyrest.store.rows import add
from steadyrest.trouble import BadInput

Kind = Literal["bars", "plates"]


@dataclass(frozen=True, slots=True)
class KeptList:
    """A list. key: stands in its address. name: what it is called. text: of values.to_json."""

    id: int
    key: str
    kind: Kind
    name: str
    who: str
    told: datetime
    text: str


@dataclass(frozen=True, slots=True)
class CutEntry:
    """What was written down as cut by a list. body: by kind of list."""

    who: str
    happened: datetime
    body: Mapping[str, Any]


def keep(session: Session, key: str, kind: Kind, name: str, text: str, *, who: str, now: datetime) -> int:
    """Keep a list.

    Args:
        session: a writing transaction.
        key: of its own. kind: what is cut. name: what it is called. text: of values.to_json.
        who: asked for it. now: aware moment.
    Returns: its number.
    """
    return add(session, schema.cut_list, key=key, kind=kind, name=name, who=who, told=now, text=text)


def kept(session: Session, kind: Kind, *, key: str = "", number: int = 0) -> KeptList:
    """One list, by its key or its number.

    Args:
        session: a transaction. kind: which. key, number: one of them.
    Returns: the list.
    Raises: BadInput: there is none.
    """
    row = schema.cut_list
    one = row.c.key == key if key else row.c.id == number
    found = session.execute(select(row).where(row.c.kind == kind, one)).first()
    if found is None:
        what = "the cut list" if kind == "bars" else "the nest"
        raise BadInput(where=what, what="there is no such list.", do="Ask for it again.")
    return KeptList(*found)


def latest(session: Session, kind: Kind, *, most: int) -> tuple[KeptList, ...]:
    """The lists that were made last, the newest first; their text is left out."""
    row = schema.cut_list.c
    asked = select(row.id, row.key, row.kind, row.name, row.who, row.told).where(row.kind == kind)
    found = session.execute(asked.order_by(row.id.desc()).limit(most))
    return tuple(KeptList(*one, text="") for one in found)


def write_down(
    session: Session, list_id: int, body: Mapping[str, object], *, who: str, now: datetime, job_id: JobId | None = None
) -> None:
    """Write down that something was cut by a list."""
    text = json.dumps(dict(body), ensure_ascii=False, allow_nan=False, sort_keys=True)
    add(
        session, schema.cut_list_entry, cut_list_id=list_id, kind="cut", who=who, happened=now, told=now,
        job_id=job_id, body=text,
    )  # fmt: skip


def entries(session: Session, list_id: int) -> tuple[CutEntry, ...]:
    """What was cut by a list, the first first."""
    row = schema.cut_list_entry.c
    asked = select(row.who, row.happened, row.body).where(row.cut_list_id == list_id).order_by(row.id)
    return tuple(CutEntry(who, happened, json.loads(body)) for who, happened, body in session.execute(asked))
