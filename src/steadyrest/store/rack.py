"""Pieces on the floor: each with its movements, only ever added to, and what they come to.

A movement carries its turn: the how-manieth of its piece. Two people who act on the same piece at one moment, both
having seen turn 3, both want to write turn 4; one does, and the other is told what happened meanwhile.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from datetime import datetime
from decimal import Decimal
from typing import Any, Literal, NewType, cast

from sqlalchemy import func, select

from steadyrest.store import schema
from steadyrest.store.jobs import JobId
from steadyrest.store.opening import Session
from steadyrest.store.rows import add
from steadyrest.trouble import BadInput

PieceId = NewType("PieceId", int)
Kind = Literal["came", "moved", "cut", "gone", "counted", "missed", "corrected", "paper"]
Body = Mapping[str, object]


@dataclass(frozen=True, slots=True)
class Movement:
    """One movement. turn: counts from 1. body: what of the piece it says; by kind."""

    turn: int
    kind: Kind
    who: str
    happened: datetime
    told: datetime
    job_id: JobId | None
    body: Body


@dataclass(frozen=True, slots=True)
class RackPiece:
    """A piece as it stands. size_mm as in shop.floor.Piece; angle (legs, thickness), channel and beam (height, width,
    web, flange), block and casting (width, height).

    length_mm: what there is; bad_mm: of it at the ends, no use. cost: what was paid for what is there. owner: whose it
    is; "": the shop's. camber_mm: over its length. certificate: its number, or "". state: "here", "missing" (not found
    when counted) or "gone". turn: of its last movement. outline_mm, holes_mm: of a plate that is no rectangle any more.
    """

    id: PieceId
    label: str
    shape: str
    size_mm: tuple[float, ...]
    length_mm: float
    material: str
    condition: str
    place: str
    heat_number: str
    certificate: str
    cost: Decimal
    owner: str
    damage: str
    camber_mm: float
    bad_mm: float
    state: Literal["here", "missing", "gone"]
    turn: int
    last: Movement
    outline_mm: tuple[tuple[float, float], ...] = ()
    holes_mm: tuple[tuple[tuple[float, float], ...], ...] = ()

    @property
    def usable_mm(self) -> float:
        """The length that can be used."""
        return max(self.length_mm - self.bad_mm, 0.0)


def make(session: Session, label: str | None, body: Body, *, who: str, happened: datetime, told: datetime) -> RackPiece:
    """Put a piece into the book.

    Args:
        session: a writing transaction.
        label: what is written on it; None: the next number.
        body: what it is, by RackPiece's fields.
        who, happened, told: aware moments.
    Returns: the piece.
    Raises: BadInput: a piece of this label is there, or was.
    """
    if label is None:
        label = next_label(session)
    elif known(session, label):
        raise BadInput(where=f"piece {label}", what="there is one of this label, or was.", do="Choose another label.")
    made = PieceId(add(session, schema.piece, label=label, made_at=told))
    first = move(session, made, 1, "came", body, who=who, happened=happened, told=told)
    return folded(made, label, (first,))


def next_label(session: Session, *, taken: Iterable[str] = ()) -> str:
    """The next number that is no label yet; taken: labels that the shop file has given away."""
    last, away = session.execute(select(func.max(schema.piece.c.id))).scalar() or 0, frozenset(taken)
    names = (f"P{n}" for n in range(last + 1, last + 10_000 + len(away)))
    return next(name for name in names if name not in away and not known(session, name))


def known_of(session: Session, labels: Iterable[str]) -> frozenset[str]:
    """Those of the labels that the book knows, of pieces that are there or were."""
    row = schema.piece.c
    return frozenset(session.execute(select(row.label).where(row.label.in_(tuple(labels)))).scalars())


def known(session: Session, label: str) -> bool:
    """Whether there is, or was, a piece of this label."""
    return session.execute(select(schema.piece.c.id).where(schema.piece.c.label == label)).first() is not None


def move(
    session: Session, piece_id: PieceId, turn: int, kind: Kind, body: Body, *, who: str, happened: datetime,
    told: datetime, job_id: JobId | None = None,
) -> Movement:  # fmt: skip
    """Add a movement; the turn is the next one, or the database refuses it.

    Raises: BadInput: it is said to happen later than now.
    """
    if told < happened:
        what = f"{happened.isoformat(timespec='minutes')} is still to come."
        raise BadInput(where="the rack", what=what, do="Say when it happened.")
    text = json.dumps(dict(body), ensure_ascii=False, allow_nan=False, sort_keys=True)
    add(
        session, schema.movement, piece_id=piece_id, turn=turn, kind=kind, who=who, happened=happened, told=told,
        job_id=job_id, body=text,
    )  # fmt: skip
    return Movement(turn, kind, who, happened, told, job_id, json.loads(text))


def pieces(session: Session, *, gone: bool = True) -> tuple[RackPiece, ...]:
    """Every piece that there is or was, by its number; gone: those that are there no more among them."""
    row, piece = schema.movement.c, schema.piece.c
    asked = (
        select(piece.id, piece.label, row.turn, row.kind, row.who, row.happened, row.told, row.job_id, row.body)
        .join_from(schema.piece, schema.movement)
        .order_by(piece.id, row.turn)
    )
    if not gone:
        state = schema.piece_state.c
        here = select(state.piece_id).where(state.state.in_(("here", "missing")))
        asked = asked.where(piece.id.in_(here))
    stories: dict[tuple[PieceId, str], list[Movement]] = {}
    for one in session.execute(asked):
        stories.setdefault((one.id, one.label), []).append(movement(one))
    return tuple(folded(number, label, story) for (number, label), story in stories.items())


def piece(session: Session, label: str) -> RackPiece | None:
    """The piece of this label; None if there is none."""
    told = story(session, label)
    if not told:
        return None
    number = session.execute(select(schema.piece.c.id).where(schema.piece.c.label == label)).scalar_one()
    return folded(PieceId(number), label, told)


def story(session: Session, label: str) -> tuple[Movement, ...]:
    """Every movement of a piece, the first first."""
    row = schema.movement.c
    asked = (
        select(row.turn, row.kind, row.who, row.happened, row.told, row.job_id, row.body)
        .join_from(schema.movement, schema.piece)
        .where(schema.piece.c.label == label)
        .order_by(row.turn)
    )
    return tuple(movement(one) for one in session.execute(asked))


@dataclass(frozen=True, slots=True)
class AskedCut:
    """What was once cut off a piece, for one touch: the lengths that were asked of such bar."""

    shape: str
    size_mm: tuple[float, ...]
    material: str
    happened: datetime
    lengths_mm: tuple[float, ...]


def asked_cuts(session: Session) -> tuple[AskedCut, ...]:
    """Every cut of the book, the first first: the shop's own history of asked sizes."""
    row = schema.movement.c
    asked = (
        select(row.piece_id, row.kind, row.happened, row.body)
        .where(row.kind.in_(("came", "cut", "gone")))
        .order_by(row.piece_id, row.turn)
    )
    came: dict[int, dict[str, Any]] = {}
    found = list[AskedCut]()
    for number, kind, happened, text in session.execute(asked):
        said = json.loads(text)
        if kind == "came":
            came[number] = said
        elif ("took_mm" in said or "parts_mm" in said) and number in came:
            what = came[number]
            lengths = tuple(float(mm) for mm in (said["parts_mm"] if "parts_mm" in said else [said["took_mm"]]))
            size = tuple(float(x) for x in what["size_mm"])
            found.append(AskedCut(str(what["shape"]), size, str(what["material"]), happened, lengths))
    return tuple(sorted(found, key=lambda one: one.happened))


def movement(one: Any) -> Movement:
    """A row as a movement."""
    return Movement(one.turn, one.kind, one.who, one.happened, one.told, one.job_id, json.loads(one.body))


def folded(number: PieceId, label: str, movements: Iterable[Movement]) -> RackPiece:
    """A piece by its movements."""
    first, *rest = movements
    said = dict(first.body)
    size = tuple(float(x) for x in cast("list[float]", said["size_mm"]))
    now = RackPiece(
        number, label, str(said["shape"]), size, float(str(said["length_mm"])), str(said["material"]),
        str(said["condition"]), str(said["place"]), str(said.get("heat_number", "")), str(said.get("certificate", "")),
        Decimal(str(said["cost"])), str(said.get("owner", "")), str(said.get("damage", "")),
        float(str(said.get("camber_mm", 0.0))), float(str(said.get("bad_mm", 0.0))), "here", first.turn, first,
        ring(said.get("outline_mm", ())), tuple(ring(one) for one in cast("list[object]", said.get("holes_mm", ()))),
    )  # fmt: skip
    for one in rest:
        now = moved_on(now, one)
    return now


def ring(found: object) -> tuple[tuple[float, float], ...]:
    """Corners as they were written."""
    return tuple((float(x), float(y)) for x, y in cast("list[tuple[float, float]]", found))


def moved_on(now: RackPiece, one: Movement) -> RackPiece:
    """A piece after one more movement."""
    said = one.body
    now = replace(
        now,
        turn=one.turn,
        last=one,
        place=str(said.get("place", now.place)),
        length_mm=float(str(said.get("length_mm", now.length_mm))),
        cost=Decimal(str(said.get("cost", now.cost))),
        damage=str(said.get("damage", now.damage)),
        camber_mm=float(str(said.get("camber_mm", now.camber_mm))),
        bad_mm=float(str(said.get("bad_mm", now.bad_mm))),
        heat_number=str(said.get("heat_number", now.heat_number)),
        certificate=str(said.get("certificate", now.certificate)),
    )
    if one.kind == "missed":
        return replace(now, state="missing")
    return replace(now, state="gone" if one.kind == "gone" else "here")
