"""What happens to a piece of the rack: lengths are cut off it, it is moved, it goes. Who saw it otherwise is told."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from decimal import ROUND_HALF_UP, Decimal

from steadyrest.desk.floor import clock
from steadyrest.desk.pieces.rack import VERB, Shelved, body_of, last_said, length, no_piece, shelved, there
from steadyrest.shop.floor import Shop
from steadyrest.stock.choice import kerf_mm
from steadyrest.store import rack, spent, touches
from steadyrest.store.jobs import Job
from steadyrest.store.opening import Session, Store
from steadyrest.store.rack import RackPiece
from steadyrest.trouble import BadInput

CENT = Decimal("0.01")


@dataclass(frozen=True, slots=True)
class Cut:
    """A length taken off a piece. length: of the part taken, as typed; whole: all of it. seen: the turn that was seen.

    kerf: what the cut takes; "": the saw's. job: whose it becomes.
    """

    label: str
    who: str
    length: str = ""
    whole: bool = False
    kerf: str = ""
    job: int | None = None
    seen: int | None = None
    touch: str = ""


def cut(store: Store, shop: Shop, asked: Cut, *, unit: str, now: datetime) -> Shelved:
    """Take a length off a piece, or all of it; on a job it is charged with its share of what the piece cost.

    Args:
        store: an open data folder. shop: its saw.
        asked: as typed.
        unit: of lengths that name none.
        now: aware moment.
    Returns: what is left of the piece, with its heat number.
    Raises: BadInput: no such piece, it is not as it was seen, or not enough is left: with what happened to it last.
    """
    clock.known_person(shop, asked.who)
    if asked.whole == bool(asked.length):
        raise BadInput(where="--length", what="say how much of it.", do="Give a length, or --whole.")
    take_mm = 0.0 if asked.whole else length(asked.length, unit, "--length")
    kerf = length(asked.kerf, unit, "--kerf") if asked.kerf else kerf_mm(shop)
    with store.writing() as session:
        before = touches.answered(session, asked.touch, verb=VERB)
        if before is not None:
            return shelved(there(session, before), shop, book=True)
        one = here(session, shop, asked.label, who=asked.who, seen=asked.seen, now=now)
        job = clock.job_of(session, asked.job)
        if one.outline_mm and not asked.whole:
            what = "it is no whole rectangle any more, so that a length says nothing."
            raise BadInput(where=f"piece {one.label}", what=what, do="Take all of it, and add what is left as a piece.")
        if take_mm > one.usable_mm + 1e-9:
            what = f"only {one.usable_mm:.4g} mm of it are left ({last_said(one, shop)})."
            raise BadInput(where=f"piece {one.label}", what=what, do="Find another: steadyrest stock list --yields.")
        if asked.whole:
            taken = Taken(one.length_mm, 0.0)
        else:
            taken = Taken(take_mm, kerf)
        done = take(session, one, taken, who=asked.who, job=job, now=now)
        touches.keep(session, asked.touch, verb=VERB, answer=one.label, now=now)
        return shelved(rack.moved_on(one, done), shop, book=True)


@dataclass(frozen=True, slots=True)
class Taken:
    """What came off a piece. took_mm: of parts; lost_mm: of cuts and trimmed ends; scrap_mm: of the rest, thrown away.

    parts_mm: each part, where several came off: what is asked of the rack, for its own history.
    """

    took_mm: float
    lost_mm: float
    scrap_mm: float = 0.0
    parts_mm: tuple[float, ...] = ()


def take(session: Session, one: RackPiece, taken: Taken, *, who: str, job: Job | None, now: datetime) -> rack.Movement:
    """Write down that something came off a piece; a job is charged with its share of what the piece cost.

    Args:
        session: a writing transaction.
        one: the piece as it stands.
        taken: what came off it.
        who: cut it. job: for which; None: for none.
        now: aware moment.
    Returns: the movement.
    """
    left_mm = max(one.length_mm - taken.took_mm - taken.lost_mm - taken.scrap_mm, 0.0)
    share = Decimal(1) if left_mm <= 0 else Decimal(repr(1.0 - left_mm / one.length_mm))
    charged = (one.cost * share).quantize(CENT, ROUND_HALF_UP)
    body: dict[str, object] = {"took_mm": taken.took_mm, "cost": str(one.cost - charged)}
    body |= {"length_mm": left_mm, "kerf_mm": taken.lost_mm}
    if taken.parts_mm:
        body["parts_mm"] = list(taken.parts_mm)
    if taken.scrap_mm:
        body["scrap_mm"] = taken.scrap_mm
    kind: rack.Kind = "gone" if left_mm <= one.bad_mm else "cut"
    job_id = job.id if job else None
    done = rack.move(session, one.id, one.turn + 1, kind, body, who=who, happened=now, told=now, job_id=job_id)
    if job is not None and charged > 0 and not one.owner:
        words = f"{one.material} {one.shape} {' x '.join(f'{x:g}' for x in one.size_mm)}, {taken.took_mm:g} mm"
        note = spent.Spent("goods", words, charged, taxable=True, who=who, when=now, piece=one.label)
        spent.note_spent(session, job.id, note, now=now)
    return done


def change(
    store: Store, shop: Shop, label: str, kind: rack.Kind, body: Mapping[str, object], *, who: str, now: datetime,
    seen: int | None = None, touch: str = "",
) -> Shelved:  # fmt: skip
    """Another movement: moved to a place, gone (scrapped, sold, sent back), corrected.

    Args:
        store: an open data folder. shop: who works there.
        label: of the piece.
        kind, body: what of it is otherwise now.
        who: says so.
        now: aware moment.
        seen: the turn that was seen; None: whatever it is.
        touch: the form's mark.
    Returns: the piece after it.
    Raises: BadInput: no such piece, or it is not as it was seen.
    """
    clock.known_person(shop, who)
    with store.writing() as session:
        before = touches.answered(session, touch, verb=VERB)
        if before is not None:
            return shelved(there(session, before), shop, book=True)
        one = here(session, shop, label, who=who, seen=seen, now=now)
        done = rack.move(session, one.id, one.turn + 1, kind, body, who=who, happened=now, told=now)
        touches.keep(session, touch, verb=VERB, answer=label, now=now)
        return shelved(rack.moved_on(one, done), shop, book=True)


def here(session: Session, shop: Shop, label: str, *, who: str, seen: int | None, now: datetime) -> RackPiece:
    """A piece that is there to be acted on; one of the shop file is taken into the book first.

    Raises: BadInput: it is not there, not any more, or not as it was seen.
    """
    one = rack.piece(session, label)
    if one is None:
        of_file = next((piece for piece in shop.pieces if piece.id == label), None)
        if of_file is None:
            raise no_piece(label)
        one = rack.make(session, label, body_of(of_file), who=who, happened=now, told=now)
        seen = one.turn if seen == 0 else seen
    if one.state == "gone":
        raise BadInput(where=f"piece {label}", what=f"is gone ({last_said(one, shop)}).", do="Find another.")
    if seen is not None and seen != one.turn:
        what = f"is not as you saw it: {last_said(one, shop)}; {one.usable_mm:.4g} mm of it are left."
        raise BadInput(where=f"piece {label}", what=what, do="Look at it again, then say it once more.")
    return one
