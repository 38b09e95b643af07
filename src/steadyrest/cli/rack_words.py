"""The rack as JSON values and in words."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from pathlib import Path
from typing import cast

from steadyrest.cli.answers import Json
from steadyrest.desk.pieces.keep_or_scrap import Judged
from steadyrest.desk.pieces.piece_labels import LabelsMade
from steadyrest.desk.pieces.rack import Shelved, Told, told_words
from steadyrest.desk.pieces.stocktake import Counted
from steadyrest.shop.floor import Shop
from steadyrest.stock.pieces import SIZES
from steadyrest.units import show_length, show_mass, show_money
from steadyrest.wording import moments

HEAVY = "heavier than one person lifts here: use a hoist or a second person; the lifting gear's rating rules"


def unit(shop: Shop) -> str:
    return "in" if shop.unit == "in" else "mm"


def piece_answer(one: Shelved, shop: Shop) -> Json:
    """A piece, as `stock list` and its like print it."""
    piece = one.piece
    return {
        "label": piece.label, "shape": piece.shape, "size_mm": list(piece.size_mm), "length_mm": piece.length_mm,
        "usable_mm": piece.usable_mm, "material": piece.material, "condition": piece.condition,
        "place": piece.place, "heat_number": piece.heat_number or None, "certificate": piece.certificate or None,
        "cost": str(piece.cost), "currency": shop.currency, "owner": piece.owner or None,
        "damage": piece.damage or None, "camber_mm": piece.camber_mm, "state": piece.state,
        "turn": piece.turn if one.book else 0, "mass_kg": one.mass_kg, "in_book": one.book,
        "lift": "not alone" if one.heavy else "alone" if one.mass_kg is not None else None,
    }  # fmt: skip


def list_answer(found: Iterable[Shelved], shop: Shop, without: Iterable[tuple[Shelved, str]] = ()) -> Json:
    """What `stock list --json` prints."""
    return {
        "pieces": [piece_answer(one, shop) for one in found],
        "left_out": [{"piece": one.piece.label, "why": why} for one, why in without],
    }


def rack_keep_answer(found: Iterable[Judged], shop: Shop) -> Json:
    """What `stock keep --data DIR --json` prints: as of a request, each piece with what it was judged by."""
    return {
        "pieces": [
            {
                "id": one.label, "value": f"{one.worth.value:.2f}", "keep": one.worth.keep,
                "scrap": f"{one.worth.scrap:.2f}", "own_cuts": one.asked.own,
                "asked_per_year": round(one.asked.per_year, 6), "by_area": one.by_area,
            }
            for one in found
        ],
        "currency": shop.currency,
        "doubts": [],
    }  # fmt: skip


def rack_keep_lines(found: Iterable[Judged], shop: Shop) -> Iterator[str]:
    """The same in words."""
    for one in found:
        what = "keep it" if one.worth.keep else "scrap it"
        money = f"worth {one.worth.value:.2f}, as scrap {one.worth.scrap:.2f} {shop.currency}"
        by = f"{one.asked.own} cuts of such bar in the book, {one.asked.per_year:.1f} a year to be expected"
        yield f"{one.label}: {what}; {money}; {by}"


def piece_line(one: Shelved, shop: Shop) -> str:
    """A piece in a line: "P7, round 40 mm, 412 mm long, C45, heat 4711, rack 2, 4.1 kg"."""
    piece = one.piece
    size = " x ".join(show_length(x, "in" if shop.unit == "in" else "mm") for x in piece.size_mm)
    words = [
        piece.label,
        f"{piece.shape} {size}",
        f"{show_length(piece.length_mm, 'in' if shop.unit == 'in' else 'mm')} long",
    ]
    words += [piece.material, f"heat {piece.heat_number or 'not known'}", piece.place]
    if one.mass_kg is not None:
        words.append(show_mass(one.mass_kg))
    words += [f"belongs to {piece.owner}"] if piece.owner else []
    words += [piece.damage] if piece.damage else []
    words += ["missing when last counted"] if piece.state == "missing" else ["gone"] if piece.state == "gone" else []
    return ", ".join(words)


def piece_lines(one: Shelved, shop: Shop) -> Iterator[str]:
    yield piece_line(one, shop)
    if one.heavy and one.piece.state != "gone":
        yield f"  Caution: {HEAVY}."


def list_lines(found: Iterable[Shelved], shop: Shop, without: Iterable[tuple[Shelved, str]] = ()) -> Iterator[str]:
    """The rack in words, and why pieces were left out."""
    found = tuple(found)
    for one in found:
        yield from piece_lines(one, shop)
    if not found:
        yield "nothing of that kind is on the floor"
    yield from (f"  left out: {one.piece.label}, {why}" for one, why in without)


def story_answer(story: Told, shop: Shop) -> Json:
    """What `stock show --json` prints: the piece, and every movement."""
    return {
        "piece": piece_answer(story.shelved, shop),
        "movements": [
            {
                "turn": one.turn, "kind": one.kind, "by": one.who, "happened": one.happened.isoformat(),
                "told": one.told.isoformat(), "job": job, "says": cast("Json", dict(one.body)),
            }
            for one, job in story.movements
        ],
    }  # fmt: skip


def story_lines(story: Told, shop: Shop) -> Iterator[str]:
    """A piece's story in words."""
    yield from piece_lines(story.shelved, shop)
    for one, job in story.movements:
        yield f"  {moments.moment(one.happened, shop.timezone)}: {told_words(one, job, shop)}"


def count_answer(found: Counted) -> Json:
    """What `stock count --json` prints."""
    return {
        "place": found.place,
        "right": list(found.right),
        "missing": list(found.missing),
        "elsewhere": [{"label": label, "book": book} for label, book in found.elsewhere],
        "lengths": [{"label": a, "book_mm": b, "counted_mm": c} for a, b, c in found.shorter],
        "unknown": list(found.unknown),
        "written": found.written,
    }


def count_lines(found: Counted) -> Iterator[str]:
    """A count beside the book, in words."""
    yield f"{found.place}: {len(found.right)} as in the book"
    for label in found.missing:
        yield f"  {label}: in the book, not seen"
    for label, book in found.elsewhere:
        yield f"  {label}: seen here; the book has it at {book}"
    for label, book_mm, counted_mm in found.shorter:
        yield f"  {label}: counted {counted_mm:.4g} mm, the book says {book_mm:.4g} mm ({counted_mm - book_mm:+.4g})"
    for label in found.unknown:
        yield f"  {label}: no piece of this label is in the book; add it"
    yield "the book was set right by it" if found.written else "nothing was written; --write sets the book right"


def labels_answer(made: LabelsMade, file: Path) -> Json:
    """What `stock labels --json` prints."""
    return {"file": str(file), "labels": list(made.labels), "sheet": made.sheet, "pages": made.pages}


def labels_lines(made: LabelsMade, file: Path) -> Iterator[str]:
    yield f"{file}: {len(made.labels)} labels on {made.pages} sheets of {made.sheet}"


def shapes() -> str:
    """The shapes with their sizes, for help."""
    return "; ".join(f"{shape} ({', '.join(size)})" for shape, size in SIZES.items())


def amount(one: Shelved, shop: Shop) -> str:
    return show_money(one.piece.cost, shop.currency)
