"""A place is counted: what lies there beside the book, and the book set right by it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from steadyrest.desk.floor import clock
from steadyrest.desk.pieces.piece_moves import here
from steadyrest.desk.pieces.rack import length, pieces
from steadyrest.shop.floor import Shop
from steadyrest.store import rack
from steadyrest.store.opening import Store
from steadyrest.trouble import BadInput

TELLS_MM = 1.0  # a tape tells no less


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
