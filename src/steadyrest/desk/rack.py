"""The rack: pieces come, move, are cut and used, are counted; find one that would do. The shop file's pieces are in it.

A piece that only the shop file names is taken into the book when something first happens to it; from then on the book
counts, and the file's line is no more than where it came from.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import UTC, datetime
from decimal import ROUND_HALF_UP, Decimal
from typing import cast

from steadyrest import units
from steadyrest.desk import clock
from steadyrest.shop.floor import BarShape, Material, Piece, Shop
from steadyrest.shop.shop_stores import CONDITIONS
from steadyrest.stock.choice import kerf_mm
from steadyrest.stock.pieces import SIZES, area_mm2, bounded_mm2, could_yield, possible
from steadyrest.stock.rectangle import rectangle_fits
from steadyrest.store import jobs, rack, spent, touches
from steadyrest.store.opening import Session, Store
from steadyrest.store.rack import Movement, RackPiece
from steadyrest.trouble import BadInput
from steadyrest.wording import moments

VERB = "rack"
PLANNED = frozenset({"round", "square", "hexagon", "flat", "tube", "plate"})
ALL_CONDITIONS = (*CONDITIONS, "as cast", "as cut", "not known")
LONGEST = 200
LABEL = 24
CENT = Decimal("0.01")
FILE = "shop file"
LONG_AGO = datetime(1, 1, 1, tzinfo=UTC)
TELLS_MM = 1.0  # a tape tells no less


@dataclass(frozen=True, slots=True)
class Shelved:
    """A piece with what a person asks of it. book: it stands in the book; else only in the shop file."""

    piece: RackPiece
    mass_kg: float | None
    book: bool
    heavy: bool


@dataclass(frozen=True, slots=True)
class New:
    """A piece that came, as typed. size: its sizes in order; owner: whose, if it is a customer's own."""

    shape: str
    size: tuple[str, ...]
    length: str
    material: str
    place: str
    who: str
    label: str = ""
    condition: str = "not known"
    heat_number: str = ""
    certificate: str = ""
    cost: str = "0"
    owner: str = ""
    damage: str = ""
    camber: str = ""
    bad: str = ""
    touch: str = ""


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


def come(store: Store, shop: Shop, new: New, *, unit: str, now: datetime) -> Shelved:
    """Put a piece into the book.

    Args:
        store: an open data folder. shop: its metals.
        new: as typed.
        unit: of lengths that name none.
        now: aware moment.
    Returns: the piece.
    Raises: BadInput: a shape, size, metal, label or price that cannot be.
    """
    clock.known_person(shop, new.who)
    label = new.label.strip() or None
    if label is not None and (len(label) > LABEL or not label.isprintable() or "/" in label):
        raise BadInput(where="--label", what=f"{label[:40]!r} is no label.", do=f"Use 1 to {LABEL} signs, no slash.")
    if label in {one.id for one in shop.pieces}:
        raise BadInput(where="--label", what=f"the shop file has a piece {label}.", do="Choose another label.")
    body = said_of(new, shop, unit)
    with store.writing() as session:
        before = touches.answered(session, new.touch, verb=VERB)
        if before is not None:
            return shelved(there(session, before), shop, book=True)
        made = rack.make(session, label, body, who=new.who, happened=now, told=now)
        while made.label in {one.id for one in shop.pieces}:
            made = rack.make(session, None, body, who=new.who, happened=now, told=now)
        touches.keep(session, new.touch, verb=VERB, answer=made.label, now=now)
    return shelved(made, shop, book=True)


def said_of(new: New, shop: Shop, unit: str) -> dict[str, object]:
    """What came, checked. Raises: BadInput: the first thing that cannot be."""
    if new.shape not in SIZES:
        raise BadInput(where="shape", what=f"{new.shape[:40]!r} is no shape.", do=f"One of: {', '.join(SIZES)}.")
    size = tuple(length(text, unit, "--size") for text in new.size)
    wrong = possible(new.shape, size)
    if wrong:
        raise BadInput(where="--size", what=f"{wrong}.", do="Measure again.")
    if new.condition not in ALL_CONDITIONS:
        raise BadInput(where="--condition", what=f"{new.condition[:40]!r} is none.", do=", ".join(ALL_CONDITIONS) + ".")
    place = new.place.strip()
    if not place or len(place) > LONGEST:
        raise BadInput(where="--place", what="it is not said where it lies.", do="Name the place, such as rack 2.")
    metal = next((m.id for m in shop.materials if named(m, new.material)), None)
    if metal is None:
        raise BadInput(
            where="--material", what=f"{new.material[:40]!r} is no metal that we know.", do="See the tables."
        )
    long_mm = length(new.length, unit, "--length")
    bad_mm = length(new.bad, unit, "--bad-end") if new.bad else 0.0
    if bad_mm >= long_mm:
        raise BadInput(where="--bad-end", what="nothing would be left of it.", do="Scrap it.")
    return {
        "shape": new.shape, "size_mm": list(size), "length_mm": long_mm, "material": metal,
        "condition": new.condition, "place": place, "heat_number": new.heat_number.strip()[:LONGEST],
        "certificate": new.certificate.strip()[:LONGEST],
        "cost": str(units.parse_money(new.cost, shop.currency, "--cost")), "owner": new.owner.strip()[:LONGEST],
        "damage": new.damage.strip()[:LONGEST],
        "camber_mm": length(new.camber, unit, "--camber") if new.camber else 0.0, "bad_mm": bad_mm,
    }  # fmt: skip


def named(metal: Material, text: str) -> bool:
    return text.strip().lower() in {name.lower() for name in (metal.id, metal.name, *metal.other_names)}


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
        left_mm = 0.0 if asked.whole else max(one.length_mm - take_mm - kerf, 0.0)
        share = Decimal(1) if left_mm <= 0 else Decimal(repr(1.0 - left_mm / one.length_mm))
        charged = (one.cost * share).quantize(CENT, ROUND_HALF_UP)
        body: dict[str, object] = {"took_mm": take_mm or one.length_mm, "cost": str(one.cost - charged)}
        body |= {"length_mm": left_mm, "kerf_mm": 0.0 if asked.whole else kerf}
        kind: rack.Kind = "gone" if left_mm <= one.bad_mm else "cut"
        job_id = job.id if job else None
        done = rack.move(
            session, one.id, one.turn + 1, kind, body, who=asked.who, happened=now, told=now, job_id=job_id
        )
        if job is not None and charged > 0 and not one.owner:
            words = f"{one.material} {one.shape} {' x '.join(f'{x:g}' for x in one.size_mm)}, {body['took_mm']:g} mm"
            note = spent.Spent("goods", words, charged, taxable=True, who=asked.who, when=now, piece=one.label)
            spent.note_spent(session, job.id, note, now=now)
        touches.keep(session, asked.touch, verb=VERB, answer=one.label, now=now)
        return shelved(rack.moved_on(one, done), shop, book=True)


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


# ---- counting ----------------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Counted:
    """A count beside the book. shorter: (label, book mm, counted mm). elsewhere: (label, where the book has it).

    written: whether the book was set right by it.
    """

    place: str
    right: tuple[str, ...]
    missing: tuple[str, ...]
    elsewhere: tuple[tuple[str, str], ...]
    shorter: tuple[tuple[str, float, float], ...]
    unknown: tuple[str, ...]
    written: bool


def count(
    store: Store, shop: Shop, place: str, seen: Sequence[str], *, who: str, write: bool, unit: str, now: datetime
) -> Counted:
    """Compare what lies in a place with the book.

    Args:
        store: an open data folder. shop: with the pieces of its file.
        place: which one, whole.
        seen: labels that were seen, each alone or with its length: "P7" or "P7=412".
        who: counted.
        write: set the book right: what was seen is there, at its length; what was not is missing.
        unit: of lengths that name none.
        now: aware moment.
    Returns: what agrees, and what does not.
    Raises: BadInput: a label twice, or a length that is none.
    """
    clock.known_person(shop, who)
    measured: dict[str, float | None] = {}
    for text in seen:
        label, _, said = text.partition("=")
        if label in measured:
            raise BadInput(where=f"label {label[:40]}", what="was counted twice.", do="Two pieces need two labels.")
        measured[label] = length(said, unit, f"length of {label[:40]}") if said else None
    book = {one.piece.label: one.piece for one in pieces(store, shop)}
    mine = {label for label, one in book.items() if one.place == place and one.state == "here"}
    known = [label for label in measured if label in book]
    shorter = tuple(
        (label, book[label].length_mm, long) for label in known
        if (long := measured[label]) is not None and abs(long - book[label].length_mm) > TELLS_MM
    )  # fmt: skip
    elsewhere = tuple((label, book[label].place) for label in known if book[label].place != place)
    wrong = {label for label, *_ in (*shorter, *elsewhere)}
    found = Counted(
        place, tuple(sorted(set(known) - wrong)), tuple(sorted(mine - set(known))), elsewhere, shorter,
        tuple(label for label in measured if label not in book), write,
    )  # fmt: skip
    if write:
        with store.writing() as session:
            for label in (*known, *found.missing):
                one = here(session, shop, label, who=who, seen=None, now=now)
                body: dict[str, object] = {"place": place} if label in measured else {}
                long = measured.get(label)
                if long is not None:
                    body["length_mm"] = long
                kind: rack.Kind = "counted" if label in measured else "missed"
                rack.move(session, one.id, one.turn + 1, kind, body, who=who, happened=now, told=now)
    return found


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
