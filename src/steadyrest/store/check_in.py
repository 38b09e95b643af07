"""The check-in of somebody who works alone: begun, answered, missed, ended; all of it entries, none ever changed.

The moment by which an answer is due stands in the entries, so that a server that was stopped goes on where it was.
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from typing import Literal, NewType

from sqlalchemy import select

from steadyrest.store import schema
from steadyrest.store.opening import Session
from steadyrest.store.rows import add

WatchId = NewType("WatchId", int)
Kind = Literal["rules", "begun", "here", "missed", "written", "not written", "ended"]
Body = Mapping[str, str | int]


@dataclass(frozen=True, slots=True)
class Entry:
    """One entry. watch: of which; None for "rules". due: when the next answer is asked for."""

    id: int
    watch: WatchId | None
    kind: Kind
    person: str
    who: str
    happened: datetime
    due: datetime | None
    body: Body


@dataclass(frozen=True, slots=True)
class Watch:
    """Somebody alone, as the entries add up. last: when they last said that they are well. due: when they are asked.

    late: from when an unanswered question counts as missed. missed: noted as such since the last answer.
    written: the contact has been written to since then. tries: at writing that failed since then, the last at tried.
    """

    id: WatchId
    person: str
    begun: datetime
    last: datetime
    due: datetime
    late: datetime
    every_s: int
    contact: str
    missed: bool = False
    written: bool = False
    tries: int = 0
    tried: datetime | None = None
    trouble: str = ""
    entries: tuple[Entry, ...] = field(default=(), repr=False)


def write(
    session: Session, *, watch: WatchId | None, kind: Kind, person: str, who: str, now: datetime,
    due: datetime | None = None, body: Body | None = None,
) -> int:  # fmt: skip
    """Add an entry.

    Args:
        session: a writing transaction.
        watch: of which; None for "begun" and "rules".
        kind, person, who, body: what, about whom, told by whom, its data.
        now: aware moment.
        due: when the next answer is asked for.
    Returns: its number, which is the watch's own for "begun".
    """
    text = json.dumps(dict(body or {}), ensure_ascii=False, sort_keys=True)
    return add(
        session, schema.check_in, watch=watch, kind=kind, person=person, who=who, happened=now, told=now, due=due,
        body=text,
    )  # fmt: skip


def running(session: Session) -> tuple[Watch, ...]:
    """Everybody who is watched now, the one begun first first."""
    row = schema.check_in.c
    over = select(row.watch).where(row.kind == "ended", row.watch.is_not(None))
    begun = session.execute(select(row.id).where(row.kind == "begun", row.id.not_in(over)).order_by(row.id)).scalars()
    return tuple(folded(entries_of(session, WatchId(one))) for one in begun.all())


def watch(session: Session, number: WatchId) -> Watch | None:
    """One of those who are watched now."""
    return next((one for one in running(session) if one.id == number), None)


def entries_of(session: Session, number: WatchId) -> tuple[Entry, ...]:
    """Every entry of a watch, in order."""
    row = schema.check_in
    found = session.execute(select(row).where((row.c.id == number) | (row.c.watch == number)).order_by(row.c.id))
    return tuple(
        Entry(one.id, one.watch, one.kind, one.person, one.who, one.happened, one.due, json.loads(one.body))
        for one in found
    )


def folded(entries: tuple[Entry, ...]) -> Watch:
    """What the entries of one watch add up to; the first is its beginning."""
    first = entries[0]
    answer = next(one for one in reversed(entries) if one.kind in ("begun", "here"))
    since = [one for one in entries if one.id > answer.id]
    failed = [one for one in since if one.kind == "not written"]
    assert answer.due is not None
    return Watch(
        id=WatchId(first.id),
        person=first.person,
        begun=first.happened,
        last=answer.happened,
        due=answer.due,
        late=answer.due + timedelta(seconds=int(first.body["answer_s"])),
        every_s=int(first.body["every_s"]),
        contact=str(first.body["contact"]),
        missed=any(one.kind == "missed" for one in since),
        written=any(one.kind == "written" for one in since),
        tries=len(failed),
        tried=failed[-1].happened if failed else None,
        trouble=str(failed[-1].body.get("why", "")) if failed else "",
        entries=entries,
    )


def rules(session: Session) -> Body:
    """What the owner said last about contact and mail; empty where they said nothing yet."""
    row = schema.check_in.c
    found = session.execute(select(row.body).where(row.kind == "rules").order_by(row.id.desc()).limit(1)).scalar()
    return json.loads(found) if found is not None else {}
