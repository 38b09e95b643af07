"""The rack: what lies where, one that would do, a piece's story. The shop file's pieces are in it.

A piece that only the shop file names is taken into the book when something first happens to it; from then on the book
counts, and the file's line is no more than where it came from. Pieces come by piece_in, are cut, moved and go by
piece_moves, are counted by stocktake.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from datetime import UTC, datetime
from typing import cast

from steadyrest import units
from steadyrest.shop.floor import BarShape, Piece, Shop
from steadyrest.shop.shop_stores import CONDITIONS
from steadyrest.stock.pieces import area_mm2, bounded_mm2, could_yield
from steadyrest.stock.rectangle import rectangle_fits
from steadyrest.store import jobs, rack
from steadyrest.store.opening import Session, Store
from steadyrest.store.rack import Movement, RackPiece
from steadyrest.trouble import BadInput
from steadyrest.wording import moments

VERB = "rack"
PLANNED = frozenset({"round", "square", "hexagon", "flat", "tube", "plate"})
LONGEST = 200
FILE = "shop file"
LONG_AGO = datetime(1, 1, 1, tzinfo=UTC)


@dataclass(frozen=True, slots=True)
class Shelved:
    """A piece with what a person asks of it. book: it stands in the book; else only in the shop file."""

    piece: RackPiece
    mass_kg: float | None
    book: bool
    heavy: bool


def pieces(store: Store, shop: Shop) -> tuple[Shelved, ...]:
    """Every piece there is, by place and label; those of the shop file that the book does not know among them."""
    with store.reading() as session:
        book = rack.pieces(session, gone=False)
        known = rack.known_of(session, (one.id for one in shop.pieces))
    of_file = [as_book(one) for one in shop.pieces if one.id not in known]
    found = [shelved(one, shop, book=True) for one in book]
    found += [shelved(one, shop, book=False) for one in of_file]
    return tuple(sorted(found, key=lambda one: (one.piece.place, one.piece.label)))


def as_book(one: Piece) -> RackPiece:
    """A piece of the shop file as the book would have it."""
    came = Movement(0, "came", FILE, LONG_AGO, LONG_AGO, None, body_of(one))
    return rack.folded(rack.PieceId(0), one.id, (came,))


def body_of(one: Piece) -> Mapping[str, object]:
    return {
        "shape": one.shape, "size_mm": list(one.size_mm), "length_mm": one.length_mm, "material": one.material,
        "condition": one.condition, "place": one.place, "heat_number": one.heat_number, "cost": str(one.cost),
        "outline_mm": [list(at) for at in one.outline_mm],
        "holes_mm": [[list(at) for at in hole] for hole in one.holes_mm],
    }  # fmt: skip


def shelved(one: RackPiece, shop: Shop, *, book: bool) -> Shelved:
    density = next((m.density_kg_m3 for m in shop.materials if m.id == one.material), None)
    volume_mm3 = area_mm2(one.shape, one.size_mm) * one.length_mm
    if one.outline_mm:
        volume_mm3 = (bounded_mm2(one.outline_mm) - sum(map(bounded_mm2, one.holes_mm))) * one.size_mm[1]
    mass = None if density is None else volume_mm3 * density * 1e-9
    return Shelved(one, mass, book, mass is not None and mass > shop.habits.lift_alone_kg)


def find(
    found: Iterable[Shelved], *, place: str = "", metal: str = "", yields: str = "", unit: str = "mm", shop: Shop
) -> tuple[Shelved, ...]:
    """Those pieces that would do.

    Args:
        found: to choose from.
        place: begins so, capitals or not.
        metal: by any of its names.
        yields: a size that has to come out of it: "40 x 120" (round), "30 x 20 x 100" (box).
        unit: of a size that names none.
        shop: its metals.
    Returns: those.
    Raises: BadInput: a size that is none.
    """
    wanted = size_of(yields, unit) if yields else ()
    names = {m.id: [n.lower() for n in (m.id, m.name, *m.other_names)] for m in shop.materials}
    asked = metal.lower().strip()
    return tuple(
        one
        for one in found
        if one.piece.place.lower().startswith(place.lower().strip())
        and (not asked or any(asked in name for name in names.get(one.piece.material, [one.piece.material.lower()])))
        and (not wanted or yields_it(one.piece, wanted))
    )


def yields_it(one: RackPiece, wanted_mm: tuple[float, ...]) -> bool:
    """Whether a size could come out of a piece; of a plate that is no rectangle any more, out of what is left of it."""
    if not could_yield(one.shape, one.size_mm, one.usable_mm, wanted_mm):
        return False
    if not one.outline_mm:
        return True
    thick = one.size_mm[1]
    sides = wanted_mm if len(wanted_mm) == 3 else (wanted_mm[0], *wanted_mm)
    return any(
        side <= thick and rectangle_fits(one.outline_mm, one.holes_mm, *(sides[:k] + sides[k + 1 :]))
        for k, side in enumerate(sides)
    )


def size_of(text: str, unit: str) -> tuple[float, ...]:
    """A size as typed: two or three lengths with x between."""
    parts = text.lower().replace("×", "x").split("x")
    if len(parts) not in (2, 3):
        raise BadInput(where="--yields", what=f"{text[:40]!r} is no size.", do='Write "40 x 120" or "30 x 20 x 100".')
    return tuple(length(part, unit, "--yields") for part in parts)


def length(text: str, unit: str, where: str) -> float:
    """A length above 0 as typed, mm."""
    found = units.parse_length(text, "in" if unit == "in" else "mm", where)
    if not found > 0:
        raise BadInput(where=where, what=f"{text[:40]!r} is no length.", do="Give one above 0.")
    return found


def there(session: Session, label: str) -> RackPiece:
    """A piece of the book. Raises: BadInput: there is none."""
    found = rack.piece(session, label)
    if found is None:
        raise no_piece(label)
    return found


def no_piece(label: str) -> BadInput:
    return BadInput(where=f"piece {label[:40]}", what="there is no such piece.", do="Look at `steadyrest stock list`.")


def last_said(one: RackPiece, shop: Shop) -> str:
    """What happened to a piece last, in words."""
    who = next((p.name for p in shop.people if p.id == one.last.who), one.last.who)
    return f"{one.last.kind}, {who}, {moments.moment(one.last.happened, shop.timezone)}"


def floor_pieces(store: Store, shop: Shop) -> tuple[Piece, ...]:
    """The pieces that a plan may take: the book's own, and those of the shop file that the book does not know.

    Castings, angles, channels and beams are for other work than turning and milling from bar; a customer's own piece
    is nobody else's; one that was not found when counted, or whose condition is not known, is not planned on.
    """
    with store.reading() as session:
        book = rack.pieces(session, gone=False)
        known = rack.known_of(session, (one.id for one in shop.pieces))
    mine = tuple(
        Piece(
            one.label, cast(BarShape, "plate" if one.shape == "sheet" else one.shape), one.size_mm, one.usable_mm,
            one.material, one.condition, one.place, one.heat_number, one.cost, one.outline_mm, one.holes_mm,
        )
        for one in book
        if one.state == "here" and not one.owner and one.condition in CONDITIONS and one.usable_mm > 0
        and ("plate" if one.shape == "sheet" else one.shape) in PLANNED
    )  # fmt: skip
    return (*(one for one in shop.pieces if one.id not in known), *mine)


def with_rack(shop: Shop, store: Store) -> Shop:
    """The shop with the pieces that the book knows."""
    return replace(shop, pieces=floor_pieces(store, shop))


@dataclass(frozen=True, slots=True)
class Told:
    """A piece's story: what it is, and every movement with its job's number."""

    shelved: Shelved
    movements: tuple[tuple[Movement, int | None], ...]


def story(store: Store, shop: Shop, label: str) -> Told:
    """What happened to a piece.

    Args:
        store: an open data folder. shop: with the pieces of its file.
        label: of the piece.
    Returns: the piece and its movements, the first first.
    Raises: BadInput: there is no such piece.
    """
    with store.reading() as session:
        one = rack.piece(session, label)
        if one is not None:
            movements = tuple(
                (each, jobs.by_id(session, each.job_id).number if each.job_id is not None else None)
                for each in rack.story(session, label)
            )
            return Told(shelved(one, shop, book=True), movements)
    of_file = next((piece for piece in shop.pieces if piece.id == label), None)
    if of_file is None:
        raise no_piece(label)
    return Told(shelved(as_book(of_file), shop, book=False), ())


MOVED = {
    "came": "came", "moved": "moved", "cut": "cut", "gone": "gone", "counted": "counted",
    "missed": "not found when counted", "corrected": "corrected", "paper": "kept",
}  # fmt: skip


def told_words(one: Movement, job: int | None, shop: Shop) -> str:
    """A movement in words: "cut, 320 mm for job 102, 1800 mm left, Ines"."""
    who = next((person.name for person in shop.people if person.id == one.who), one.who)
    words = [MOVED[one.kind]]
    if "took_mm" in one.body:
        words.append(f"{float(str(one.body['took_mm'])):.5g} mm" + (f" for job {job}" if job is not None else ""))
    if "place" in one.body:
        words.append(f"at {one.body['place']}" if one.kind != "moved" else f"to {one.body['place']}")
    if "length_mm" in one.body and one.kind != "gone":
        words.append(f"{float(str(one.body['length_mm'])):.5g} mm " + ("left" if one.kind == "cut" else "long"))
    if one.kind == "paper":
        words = [f"its {one.body['paper']} kept", str(one.body["name"])]
    if one.body.get("why"):
        words.append(str(one.body["why"]))
    return ", ".join([*words, who])
