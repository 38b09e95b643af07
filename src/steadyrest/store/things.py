"""Things of the shop: fixtures, moulds, gauges, tools that are counted, machines that are served; what they come to.

Each has entries that are only ever added to.

An entry carries its turn, as a piece's movement does: of two people who act on one thing having seen the same, one is
told what happened meanwhile.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from datetime import date, datetime
from typing import Any, Literal, NewType, cast

from sqlalchemy import select

from steadyrest.store import schema
from steadyrest.store.opening import Session
from steadyrest.store.rows import add
from steadyrest.trouble import BadInput

ThingId = NewType("ThingId", int)
ThingKind = Literal["fixture", "mould", "gauge", "tool", "machine"]
KINDS: tuple[ThingKind, ...] = ("fixture", "mould", "gauge", "tool", "machine")
EntryKind = Literal["came", "said", "used", "bought", "counted", "served", "gone"]
Body = Mapping[str, str | int | float]


@dataclass(frozen=True, slots=True)
class ThingEntry:
    """What happened to a thing. body: what is said of it, by Thing's fields. file_sha256: a photo, or None."""

    turn: int
    kind: EntryKind
    who: str
    happened: datetime
    told: datetime
    body: Body
    file_sha256: str | None


@dataclass(frozen=True, slots=True)
class Thing:
    """A thing as it stands.

    name: as people call it; a gauge's or machine's id where the shop file has it. due: the day by which it has to be
    looked at or checked again, or None. photo: the newest, or None. count, lead_days, odds: of a tool: how many there
    are, how long a new one takes to come, how often they must last till then. service_h: a machine is served each so
    many hours of running. jobs: by number, for which it was used. turn: of its last entry. gone: it is not
    here any more.
    """

    id: ThingId
    kind: ThingKind
    name: str
    entries: tuple[ThingEntry, ...]
    place: str = ""
    condition: str = ""
    words: str = ""
    due: date | None = None
    photo: str | None = None
    count: int = 0
    lead_days: float = 0.0
    odds: float = 0.0
    supplier: str = ""
    service_h: float = 0.0
    served: datetime | None = None
    jobs: tuple[int, ...] = ()
    gone: bool = False

    @property
    def turn(self) -> int:
        """Of its last entry."""
        return self.entries[-1].turn

    @property
    def uses(self) -> tuple[int, ...]:
        """How many were used up each time, the oldest first; what a count found lacking among them."""
        return tuple(used for used in counted(self.entries) if used > 0)


def make(
    session: Session, kind: ThingKind, name: str, body: Body, *, who: str, now: datetime, file_sha256: str | None = None
) -> Thing:
    """Put a thing into the book.

    Args:
        session: a writing transaction.
        kind, name: what it is.
        body: by Thing's fields.
        who, now: says so, and when.
        file_sha256: a photo, noted before.
    Returns: the thing.
    Raises: BadInput: there is one of this name.
    """
    row = schema.thing
    if session.execute(select(row.c.id).where(row.c.kind == kind, row.c.name == name)).first() is not None:
        raise BadInput(where=f"{kind} {name}", what="there is one of this name, or was.", do="Choose another name.")
    made = ThingId(add(session, row, kind=kind, name=name, made_at=now))
    write_down(session, made, 1, "came", body, who=who, now=now, file_sha256=file_sha256)
    found = thing(session, made)
    assert found is not None
    return found


def write_down(
    session: Session, thing_id: ThingId, turn: int, kind: EntryKind, body: Body, *, who: str, now: datetime,
    file_sha256: str | None = None,
) -> None:  # fmt: skip
    """Add an entry; the turn is the next one, or the database refuses it."""
    text = json.dumps(dict(body), ensure_ascii=False, allow_nan=False, sort_keys=True)
    add(
        session, schema.thing_entry, thing_id=thing_id, turn=turn, kind=kind, who=who, happened=now, told=now,
        body=text, file_sha256=file_sha256,
    )  # fmt: skip


def things(session: Session) -> tuple[Thing, ...]:
    """Every thing that there is or was, by kind and name."""
    return found(session)


def thing(session: Session, number: int) -> Thing | None:
    """The thing of this number; None if there is none."""
    return next(iter(found(session, schema.thing.c.id == number)), None)


def found(session: Session, *where: object) -> tuple[Thing, ...]:
    """Things with their entries."""
    one, row = schema.thing.c, schema.thing_entry.c
    asked = (
        select(one.id, one.kind.label("of"), one.name, row.turn, row.kind, row.who, row.happened, row.told, row.body,
               row.file_sha256)
        .join_from(schema.thing, schema.thing_entry)
        .where(*where)  # pyright: ignore[reportArgumentType]
        .order_by(one.kind, one.name, row.turn)
    )  # fmt: skip
    stories: dict[tuple[int, str, str], list[ThingEntry]] = {}
    for each in session.execute(asked):
        stories.setdefault((each.id, each.of, each.name), []).append(entry(each))
    return tuple(
        folded(Thing(ThingId(number), cast("ThingKind", kind), name, tuple(story)))
        for (number, kind, name), story in stories.items()
    )


def entry(row: Any) -> ThingEntry:
    """A row as an entry."""
    return ThingEntry(row.turn, row.kind, row.who, row.happened, row.told, json.loads(row.body), row.file_sha256)


def folded(one: Thing) -> Thing:
    """A thing by its entries: of each field what was said last."""
    for each in one.entries:
        said = each.body
        due = said.get("due")
        one = replace(
            one,
            place=str(said.get("place", one.place)),
            condition=str(said.get("condition", one.condition)),
            words=str(said.get("words", one.words)) if each.kind in ("came", "said") else one.words,
            due=one.due if due is None else date.fromisoformat(str(due)) if due else None,
            photo=each.file_sha256 or one.photo,
            lead_days=float(said.get("lead_days", one.lead_days)),
            odds=float(said.get("odds", one.odds)),
            supplier=str(said.get("supplier", one.supplier)),
            service_h=float(said.get("service_h", one.service_h)),
            served=each.happened if each.kind in ("served", "came") else one.served,
            jobs=(*one.jobs, int(said["job"])) if said.get("job") not in (None, *one.jobs) else one.jobs,
            gone=each.kind == "gone" or (one.gone and each.kind != "came"),
        )
    return replace(one, count=sum(-used for used in counted(one.entries)))


def counted(entries: Iterable[ThingEntry]) -> tuple[int, ...]:
    """How many each entry took away; below 0: how many it added. A count is taken as the truth from then on."""
    there, found = 0, list[int]()
    for one in entries:
        much = int(one.body.get("count", 0))
        if one.kind == "counted":
            found.append(there - much)
        elif one.kind in ("came", "bought"):
            found.append(-much)
        elif one.kind == "used":
            found.append(much)
        else:
            continue
        there -= found[-1]
    return tuple(found)
