"""A plate is cut up: it goes out of the book, and what is left of it comes back with its metal, heat number and place.

The same for a nest and for a step of a job's plan. Whoever acted on the plate meanwhile wins; the other is told.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal

from steadyrest.desk.floor import clock
from steadyrest.desk.pieces.piece_moves import here
from steadyrest.desk.pieces.rack import LONGEST
from steadyrest.shop.floor import Shop
from steadyrest.shop.money import Money
from steadyrest.stock.nested_lot import rest_about_its_corner
from steadyrest.stock.nesting.wanted import Ring
from steadyrest.store import rack, spent
from steadyrest.store.opening import Session
from steadyrest.trouble import BadInput


@dataclass(frozen=True, slots=True)
class PlateOut:
    """A plate of the rack that was cut up. seen: its turn when it was looked at; None: whatever it is.

    rest_mm, rest_holes_mm: what is left in one piece, where the plate has it; (): nothing worth keeping.
    area_mm2, rest_mm2: of the plate and of that. taken: for each job (0: none) the area of its parts. parts_mm2: of
    each part, for the rack's own history. why: what it was cut for.
    """

    label: str
    seen: int | None
    plate_mm: Ring
    plate_holes_mm: tuple[Ring, ...]
    rest_mm: Ring
    rest_holes_mm: tuple[Ring, ...]
    area_mm2: float
    rest_mm2: float
    taken: tuple[tuple[int, float], ...]
    parts_mm2: tuple[float, ...]
    why: str


def cut_up(session: Session, shop: Shop, out: PlateOut, *, place: str, who: str, now: datetime) -> str:
    """Write down that a plate was cut up.

    Args:
        session: a writing transaction. shop: who works there.
        out: the plate. place: where what is left lies now; "": where the plate was.
        who: cut it. now: aware moment.
    Returns: the label of what is left; "" for nothing.
    Raises: BadInput: no such plate, it is gone, or not as it was seen: with what happened to it last.
    """
    clock.known_person(shop, who)
    place = place.strip()
    if len(place) > LONGEST:
        raise BadInput(where="place", what="it is too long.", do=f"At most {LONGEST} signs.")
    one = here(session, shop, out.label, who=who, seen=out.seen, now=now)
    if one.shape not in ("plate", "sheet"):
        raise BadInput(where=f"piece {one.label}", what=f"is no plate but a {one.shape}.", do="Choose a plate.")
    back = Decimal(repr(out.rest_mm2 / out.area_mm2)) if out.rest_mm else Decimal(0)
    worth = Money(one.cost * back, shop.currency).rounded().amount
    width = one.size_mm[0]
    label = ""
    if out.rest_mm:
        outline, holes, (long_mm, wide_mm) = rest_about_its_corner(
            out.rest_mm, out.rest_holes_mm, out.plate_mm, out.plate_holes_mm
        )
        body: dict[str, object] = {
            "shape": one.shape, "size_mm": [wide_mm, *one.size_mm[1:]], "length_mm": long_mm, "material": one.material,
            "condition": one.condition, "place": place or one.place, "heat_number": one.heat_number,
            "certificate": one.certificate, "cost": str(worth), "owner": one.owner,
            "outline_mm": [list(at) for at in outline], "holes_mm": [[list(at) for at in hole] for hole in holes],
            "why": f"left over of {one.label}",
        }  # fmt: skip
        label = rack.next_label(session, taken=(piece.id for piece in shop.pieces))
        rack.make(session, label, body, who=who, happened=now, told=now)
    why = f"cut up for {out.why}" + (f"; what is left is {label}" if label else "; nothing of it is left")
    gone: dict[str, object] = {"why": why[:LONGEST], "length_mm": 0.0, "cost": "0"}
    gone["parts_mm"] = [round(area / width, 3) for area in out.parts_mm2]
    rack.move(session, one.id, one.turn + 1, "gone", gone, who=who, happened=now, told=now)
    _charge(session, shop, out, one, one.cost - worth, who=who, now=now)
    return label


def _charge(
    session: Session, shop: Shop, out: PlateOut, one: rack.RackPiece, used: Decimal, *, who: str, now: datetime
) -> None:
    """Each job pays its share of what was used of the plate, by the area of its parts."""
    whose: Sequence[tuple[int, float]] = [(job, mm2) for job, mm2 in out.taken if mm2 > 0]
    if used <= 0 or one.owner or not whose:
        return
    shares = Money(used, shop.currency).split([mm2 for _, mm2 in whose])
    for (number, _), share in zip(whose, shares, strict=True):
        job = clock.job_of(session, number or None)
        if job is None or share.amount <= 0:
            continue
        words = f"{one.material} {one.shape} {one.size_mm[1]:g} thick, {out.why}"
        note = spent.Spent("goods", words, share.amount, taxable=True, who=who, when=now, piece=one.label)
        spent.note_spent(session, job.id, note, now=now)
