"""Labels for the pieces of the rack, on a sheet of labels."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from steadyrest.desk.pieces import rack
from steadyrest.papers import labels as papers
from steadyrest.papers.labels import Label
from steadyrest.shop.floor import Shop
from steadyrest.store.opening import Store
from steadyrest.tables.label_sheets import label_sheets
from steadyrest.trouble import BadInput
from steadyrest.units import show_length

MOST = 2000


@dataclass(frozen=True, slots=True)
class LabelsMade:
    pdf: bytes
    labels: tuple[str, ...]
    sheet: str
    pages: int


def labels(
    store: Store, shop: Shop, wanted: Sequence[str], *, sheet: str, skip: int, link: str, now: datetime
) -> LabelsMade:
    """Labels for pieces.

    Args:
        store: an open data folder. shop: with the pieces of its file.
        wanted: their labels; none: every piece on the floor.
        sheet: the name of a sheet of labels.
        skip: how many of the first sheet are used up.
        link: where the app is, such as "http://192.168.1.20:8744"; "": the code says the label alone.
        now: aware moment.
    Returns: the labels as PDF.
    Raises: BadInput: no such piece or sheet, nothing to print, or too many.
    """
    kind = next((one for one in label_sheets() if one.name == sheet), None)
    if kind is None:
        names = ", ".join(one.name for one in label_sheets())
        raise BadInput(where="--sheet", what=f"{sheet[:40]!r} is no sheet of labels.", do=f"One of: {names}.")
    if not 0 <= skip < kind.columns * kind.rows:
        what = f"a sheet has {kind.columns * kind.rows} labels."
        raise BadInput(where="--skip", what=what, do="Skip fewer than that.")
    found = {one.piece.label: one for one in rack.pieces(store, shop)}
    for label in wanted:
        if label not in found:
            raise rack.no_piece(label)
    chosen = [found[label] for label in (wanted or found)]
    if not 1 <= len(chosen) <= MOST:
        raise BadInput(where="labels", what=f"{len(chosen)} pieces.", do=f"Name 1 to {MOST}.")
    each = [label_of(one, shop, link.rstrip("/")) for one in chosen]
    pdf = papers.labels(each, kind, shop=shop.name, skip=skip, made=now)
    return LabelsMade(pdf, tuple(one.name for one in each), kind.name, papers.pages(len(each), kind, skip))


def label_of(one: rack.Shelved, shop: Shop, link: str) -> Label:
    """What stands on a piece's label. Its length is not on it: that changes with every cut."""
    piece, unit = one.piece, "in" if shop.unit == "in" else "mm"
    size = " x ".join(show_length(x, unit) for x in piece.size_mm)
    lines = [f"{piece.shape} {size}", f"{piece.material}, heat {piece.heat_number or 'not known'}", piece.place]
    lines += [f"belongs to {piece.owner}"] if piece.owner else []
    return Label(piece.label, tuple(lines), f"{link}/rack/{piece.label}" if link else piece.label)
