"""What lies in the shop, as its file says: materials and their prices, pieces, suppliers, gauges."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from typing import cast

from steadyrest import units
from steadyrest.shop.floor import BarShape, Gauge, Material, Piece, Supplier
from steadyrest.shop.shop_fields import DAYS, Fields
from steadyrest.trouble import BadInput

SIZES = {"round": 1, "square": 1, "hexagon": 1, "flat": 2, "plate": 2, "tube": 2}
CONDITIONS = ("bright drawn", "hot rolled", "peeled", "turned and ground")
MEASURES = ("outside", "inside", "bore", "slot", "depth", "length", "angle", "thread")
PIECE_KEYS = (
    "id", "shape", "size_mm", "size", "length_mm", "material", "condition", "place", "heat_number", "cost",
    "outline_mm", "holes_mm",
)  # fmt: skip
SUPPLIER_KEYS = (
    "name", "sells", "cut_off", "arrives", "lead_days", "delay_odds", "order_minimum", "freight", "markup_on_kg",
    "cut_each", "brings", "holidays",
)  # fmt: skip
GAUGE_KEYS = ("name", "measures", "range_mm", "u_mm", "due")


def pieces(file: Fields, materials: Sequence[Material]) -> tuple[Piece, ...]:
    """Every piece in the rack.

    Args:
        file: the whole file.
        materials: what they may be made of.
    Returns: the pieces in the file's order; none is allowed.
    Raises: BadInput: a piece with something wrong, or two of one id.
    """
    return tuple(_piece(fields, materials) for fields in file.each("piece"))


def _piece(fields: Fields, materials: Sequence[Material]) -> Piece:
    fields.only(PIECE_KEYS)
    shape = cast(BarShape, fields.text("shape", among=tuple(SIZES)))
    return Piece(
        id=fields.text("id"),
        shape=shape,
        size_mm=_size(fields, SIZES[shape]),
        length_mm=fields.number("length_mm", above=True, high=1e5),
        material=material_id(fields, "material", materials),
        condition=fields.text("condition", among=CONDITIONS),
        place=fields.text("place"),
        heat_number=fields.text("heat_number", ""),
        cost=fields.money("cost"),
        outline_mm=_ring(fields, "outline_mm", fields.table["outline_mm"]) if "outline_mm" in fields.table else (),
        holes_mm=_rings(fields, "holes_mm") if "holes_mm" in fields.table else (),
    )


def _rings(fields: Fields, key: str) -> tuple[tuple[tuple[float, float], ...], ...]:
    """What is cut out of a plate, each as its corners."""
    found = fields.table[key]
    if not isinstance(found, list):
        raise fields.wrong(key, f"{found!r} is not a list of outlines.", "Write [[[x, y], [x, y], ...], ...].")
    return tuple(_ring(fields, key, ring) for ring in cast(list[object], found))


def _ring(fields: Fields, key: str, found: object) -> tuple[tuple[float, float], ...]:
    """Corners of a plate's edge, or of a hole in it, in order."""
    do = "Write three or more corners in order: [[x, y], [x, y], [x, y], ...]."
    if fields.text("shape") != "plate":
        raise fields.wrong(key, "only a plate has an outline.", 'Leave it out, or say shape = "plate".')
    if not isinstance(found, list) or len(cast(list[object], found)) < 3:
        raise fields.wrong(key, f"{found!r} is not an outline.", do)
    corners: list[tuple[float, float]] = []
    for corner in cast(list[object], found):
        pair = Fields({key: corner}, fields.path, fields.where, fields.lines, fields.after)
        x, y = pair.numbers(key, count=2, above=False, high=1e5)
        corners.append((x, y))
    area = sum(a[0] * b[1] - b[0] * a[1] for a, b in zip(corners, [*corners[1:], corners[0]], strict=True)) / 2.0
    if abs(area) < 1.0:
        raise fields.wrong(key, "it bounds no area.", do)
    return tuple(corners if area > 0 else corners[::-1])


def _size(fields: Fields, count: int) -> tuple[float, ...]:
    """Either size_mm = [44.45], or size = ["1-3/4 in"] as written on the bar's end."""
    if "size" not in fields.table:
        return fields.numbers("size_mm", count=count, high=1e4)
    found = fields.texts("size")
    if len(found) != count or "size_mm" in fields.table:
        raise fields.wrong("size", f"{list(found)!r} does not fit.", f"Give {count} size(s), in size or in size_mm.")
    try:
        return tuple(units.parse_length(text) for text in found)
    except BadInput as bad:
        raise fields.wrong("size", bad.what, bad.do) from None


def material_id(fields: Fields, key: str, materials: Sequence[Material]) -> str:
    """The id of the material that a text names, by its id or one of its other names.

    Raises: BadInput: not known; with the nearest names.
    """
    found = fields.text(key)
    wanted = _plain(found)
    for material in materials:
        if any(_plain(name) == wanted for name in (material.id, material.name, *material.other_names)):
            return material.id
    return fields.text(key, among=tuple(material.id for material in materials))


def _plain(name: str) -> str:
    return "".join(letter for letter in name.casefold() if letter.isalnum())


def suppliers(file: Fields, materials: Sequence[Material]) -> tuple[Supplier, ...]:
    """Every supplier of bar.

    Args:
        file: the whole file.
        materials: what they may sell.
    Returns: the suppliers in the file's order; none is allowed.
    Raises: BadInput: one with something wrong.
    """
    ids = tuple(material.id for material in materials)
    return tuple(
        Supplier(
            id=name,
            name=fields.text("name", name),
            sells=fields.texts("sells", among=ids),
            cut_off_min=fields.clock("cut_off"),
            arrives_min=fields.clock("arrives"),
            lead_days=fields.whole("lead_days", high=1000),
            delay_odds=fields.number("delay_odds", 0.0, high=1),
            order_minimum=fields.money("order_minimum", "0"),
            freight=fields.money("freight", "0"),
            markup_on_kg=fields.number("markup_on_kg", 0.0, high=100),
            cut_each=fields.money("cut_each", "0"),
            brings=_brings(fields),
            holidays=tuple(day.isoformat() for day in fields.days("holidays")),
        )
        for name, fields in file.named("supplier")
        if fields.only(SUPPLIER_KEYS) is None
    )


def _brings(fields: Fields) -> tuple[int, ...]:
    days = fields.texts("brings", DAYS[:5], among=DAYS)
    if not days:
        raise fields.wrong("brings", "it brings nothing on any day.", 'Write them as ["tue", "thu"].')
    return tuple(sorted({DAYS.index(day) for day in days}))


def gauges(file: Fields) -> tuple[Gauge, ...]:
    """Every measuring instrument.

    Args:
        file: the whole file.
    Returns: the gauges in the file's order; none is allowed.
    Raises: BadInput: one with something wrong.
    """
    return tuple(_gauge(name, fields) for name, fields in file.named("gauge"))


def _gauge(name: str, fields: Fields) -> Gauge:
    fields.only(GAUGE_KEYS)
    low, high = fields.numbers("range_mm", count=2, above=False)
    if high <= low:
        raise fields.wrong("range_mm", f"{low:g} to {high:g} does not rise.", "Write [smallest, largest].")
    due: datetime | None = fields.moment("due", fields.table["due"]) if "due" in fields.table else None
    return Gauge(
        id=name,
        name=fields.text("name", name),
        measures=fields.texts("measures", among=MEASURES),
        range_mm=(low, high),
        u_mm=fields.number("u_mm", above=True, high=10),
        due=due,
    )
