"""From what a flat part is cut: a plate or remnant of the rack, or sheet to buy; with the nest on it and what is left.

A piece costs its share where what is left is worth keeping, else the whole; bought sheet likewise, once it is paid.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from decimal import Decimal

from steadyrest.shop.figure import Figure, Reason, because
from steadyrest.shop.floor import Material, Piece, Shop, Supplier
from steadyrest.shop.part import Part
from steadyrest.shop.work import Blank, Laid, Purchase, SheetCut, Undone
from steadyrest.stock.block import BlockNeed
from steadyrest.stock.choice import Choice, no, order_cost
from steadyrest.stock.nesting.pieces import polygon, polygons
from steadyrest.stock.nesting.wanted import NestPart, Placed, Ring
from steadyrest.stock.sheet_nests import Filled, Keep, Sheet, fill, rest_of
from steadyrest.stock.sheet_outlines import Body, bodies
from steadyrest.tables.plate_cutting import sheet_formats_mm
from steadyrest.tables.plates import plate_thicknesses_mm
from steadyrest.tables.practice import rule
from steadyrest.tables.sheets import sheets

SAME_MM = 0.1
PLAIN_MM = 0.1
TRIED = 2  # pieces of the rack that are nested; the smallest that are large enough


@dataclass(frozen=True, slots=True)
class SheetChoice:
    """One way to come by the sheets of a lot. choice: as for any stock; sheets: how each is cut up."""

    choice: Choice
    sheets: tuple[SheetCut, ...]


@dataclass(frozen=True, slots=True)
class Lot:
    """What is to be laid: the drawing's bodies, so many of each, in which metal and thickness, kept how far apart."""

    part: Part
    bodies: tuple[Body, ...]
    quantity: int
    material: Material
    thickness_mm: float
    keep: Keep

    @property
    def net_mm2(self) -> float:
        return sum(body.shape.area for body in self.bodies) * self.quantity

    @property
    def wanted(self) -> tuple[NestPart, ...]:
        """Each body about its own low corner: a search far from the origin loses its last digits."""
        least_mm2 = min(polygon(body.ring).area for body in self.bodies)
        return tuple(NestPart(str(body.number), self.quantity, *_to_lay(body, least_mm2)) for body in self.bodies)

    def kg(self, area_mm2: float) -> float:
        """Mass of so much of the sheet."""
        return area_mm2 * self.thickness_mm * 1e-9 * self.material.density_kg_m3


def sheet_choices(
    part: Part, *, material: Material, quantity: int, shop: Shop, keep: Keep, largest_mm: tuple[float, float]
) -> tuple[tuple[SheetChoice, ...], tuple[Undone, ...]]:
    """Every piece and purchase that a lot can be cut from, the least money first, and why the others will not do.

    Args:
        part: flat, with its thickness.
        material: what it is to be made of.
        quantity: of the drawing; >= 1.
        shop: rack, suppliers.
        keep: distances on the sheet.
        largest_mm: length and width of the largest sheet that the cutter takes.
    Returns: (choices, refusals).
    Raises: ValueError: the part is not flat, or has no thickness.
    """
    if part.flat is None or part.size_mm[2] <= 0:
        raise ValueError("sheet_choices: the part is not flat, or has no thickness")
    lot = Lot(part, bodies(part.flat), quantity, material, part.size_mm[2], keep)
    found: list[SheetChoice] = []
    refused: list[Undone] = []
    able: list[Piece] = []
    for piece in shop.pieces:
        reasons = _wrong_piece(piece, lot, largest_mm)
        if reasons:
            refused.append(no(reasons))
        else:
            able.append(piece)
    able.sort(key=lambda piece: (_area(piece), piece.id))
    for piece in able[:TRIED]:
        got = _from_piece(piece, lot, shop)
        if isinstance(got, Undone):
            refused.append(got)
        else:
            found.append(got)
    bought = tuple(_bought(lot, shop, largest_mm))
    refused.extend(one for one in bought if isinstance(one, Undone))
    found.extend(one for one in bought if isinstance(one, SheetChoice))
    found.sort(key=lambda one: (one.choice.cost.value, one.sheets[0].name))
    return tuple(found), tuple(refused)


def plate_outline(piece: Piece) -> Ring:
    """A plate's edge: as drawn, else its whole rectangle."""
    if piece.outline_mm:
        return piece.outline_mm
    length, width = piece.length_mm, piece.size_mm[0]
    return ((0.0, 0.0), (length, 0.0), (length, width), (0.0, width))


def _area(piece: Piece) -> float:
    return polygon(plate_outline(piece)).area - sum(polygon(hole).area for hole in piece.holes_mm)


def _wrong_piece(piece: Piece, lot: Lot, largest_mm: tuple[float, float]) -> tuple[Reason, ...]:
    if piece.shape != "plate":
        return (because("sheetstock.not_plate", piece=piece.id, shape=piece.shape),)
    reasons: list[Reason] = []
    if piece.material != lot.material.id:
        reasons.append(because("stock.other_metal", piece=piece.id, has=piece.material, wanted=lot.material.id))
    if abs(piece.size_mm[1] - lot.thickness_mm) > SAME_MM:
        reasons.append(
            because("sheetstock.other_thickness", piece=piece.id, has_mm=piece.size_mm[1], wanted_mm=lot.thickness_mm)
        )
    x0, y0, x1, y1 = polygon(plate_outline(piece)).bounds
    long, wide = max(x1 - x0, y1 - y0), min(x1 - x0, y1 - y0)
    if long > max(largest_mm) or wide > min(largest_mm):
        reasons.append(
            because(
                "sheetstock.over_table", piece=piece.id, long_mm=long, wide_mm=wide, most_long_mm=max(largest_mm),
                most_wide_mm=min(largest_mm),
            )
        )  # fmt: skip
    if _area(piece) < lot.net_mm2:
        reasons.append(because("sheetstock.too_small", piece=piece.id, has_mm2=_area(piece), wanted_mm2=lot.net_mm2))
    return tuple(reasons)


def _from_piece(piece: Piece, lot: Lot, shop: Shop) -> SheetChoice | Undone:
    sheet = Sheet(plate_outline(piece), piece.holes_mm, 1)
    filled = fill(lot.wanted, sheet, lot.keep)
    if filled is None:
        return no([because("sheetstock.no_room", piece=piece.id, count=float(lot.quantity))])
    cut = _cut(lot, sheet, filled[0], shop, name=piece.id, piece=piece.id, heat=piece.heat_number)
    share = _share(cut, _area(piece))
    value = float(piece.cost) * share
    key = "sheetstock.cost_share" if cut.rest_mm else "sheetstock.cost_whole"
    cost = Figure(value, "money", (because(key, piece=piece.id, share_money=value, rest_mm2=cut.rest_mm2),))
    why = (
        because("stock.from_rack", piece=piece.id, place=piece.place, heat=piece.heat_number or "not known"),
        _nested(lot, (cut,)),
    )
    return SheetChoice(_choice(lot, (cut,), piece=piece, purchase=None, cost=cost, why=why), (cut,))


def _share(cut: SheetCut, area_mm2: float) -> float:
    """Of the sheet what the lot uses up: all of it, less what is kept."""
    return 1.0 - cut.rest_mm2 / area_mm2 if cut.rest_mm else 1.0


def _bought(lot: Lot, shop: Shop, largest_mm: tuple[float, float]) -> Iterable[SheetChoice | Undone]:
    kept = _kept_thickness(lot.thickness_mm)
    sellers = [seller for seller in shop.suppliers if lot.material.id in seller.sells]
    if not sellers:
        yield no([because("sheetstock.nobody_sells", material=lot.material.id)])
        return
    if kept is None:
        near = min(_thicknesses(), key=lambda mm: abs(mm - lot.thickness_mm))
        yield no([because("sheetstock.no_thickness", wanted_mm=lot.thickness_mm, nearest_mm=near)])
        return
    formats = [size for size in sheet_formats_mm() if size[0] <= max(largest_mm) and size[1] <= min(largest_mm)]
    # A table smaller than the smallest sheet takes what the seller shears to its size.
    sizes = formats or [(max(largest_mm), min(largest_mm))]
    size = min(sizes, key=lambda one: (_area_in_rows(lot, one), one))
    filled = fill(lot.wanted, _rectangle(size), lot.keep)
    if filled is None:
        yield no([_fits_none(lot, sizes[-1])])
        return
    for seller in sellers:
        yield _sheets_from(seller, lot, shop, size, filled, sheared=not formats)
        if formats and len(filled) == 1 and filled[0].count == 1:
            sheared = _sheared(seller, lot, shop, filled[0])
            if sheared is not None:
                yield sheared


def _area_in_rows(lot: Lot, size: tuple[float, float]) -> float:
    """What a lot laid in rows takes of sheets of one format, mm2; infinite where a part fits on none."""
    filled = fill(lot.wanted, _rectangle(size), lot.keep, rows_only=True)
    return size[0] * size[1] * sum(one.count for one in filled) if filled is not None else math.inf


def _thicknesses() -> Iterator[float]:
    yield from plate_thicknesses_mm()
    yield from (sheet.thickness_mm for sheet in sheets())


def _kept_thickness(thickness_mm: float) -> float | None:
    """The thickness that merchants keep nearest to the one wanted; None where none is near."""
    near = [mm for mm in _thicknesses() if abs(mm - thickness_mm) <= SAME_MM]
    return min(near, key=lambda mm: abs(mm - thickness_mm), default=None)


def _rectangle(size: tuple[float, float]) -> Sheet:
    length, width = size
    return Sheet(((0.0, 0.0), (length, 0.0), (length, width), (0.0, width)))


def _fits_none(lot: Lot, largest: tuple[float, float]) -> Reason:
    """The body that no sheet takes, by its least box."""
    sized = [(body, body.shape.minimum_rotated_rectangle.bounds) for body in lot.bodies]
    body, box = max(sized, key=lambda one: max(one[1][2] - one[1][0], one[1][3] - one[1][1]))
    return because(
        "sheetstock.fits_none", body=float(body.number + 1), long_mm=max(box[2] - box[0], box[3] - box[1]),
        wide_mm=min(box[2] - box[0], box[3] - box[1]), most_long_mm=largest[0], most_wide_mm=largest[1],
        margin_mm=lot.keep.margin_mm,
    )  # fmt: skip


def _sheets_from(
    seller: Supplier, lot: Lot, shop: Shop, size: tuple[float, float], filled: tuple[Filled, ...], *, sheared: bool
) -> SheetChoice:
    """Whole sheets of one format; what is left of the last is worth its share if it is kept."""
    sheet, area = _rectangle(size), size[0] * size[1]
    name = f"{size[0]:g} x {size[1]:g}"
    cuts = tuple(_cut(lot, sheet, one, shop, name=name, piece=None, heat="") for one in filled)
    count = sum(cut.count for cut in cuts)
    goods, cost = order_cost(seller, lot.material, lot.kg(area) * count)
    shearing = seller.cut_each * Decimal(count) if sheared else Decimal(0)
    total = goods + shearing
    left = sum(cut.count * cut.rest_mm2 for cut in cuts if cut.rest_mm) / (area * count)
    key = "sheetstock.bought_share" if left else "sheetstock.bought_whole"
    why_paid = because(key, paid_money=float(total), left_share=round(left, 2))
    money = Figure(float(total), "money", (why_paid, *cost.why))
    what = because(
        "sheetstock.buy", count=float(count), length_mm=size[0], width_mm=size[1], thickness_mm=lot.thickness_mm,
        material=lot.material.id,
    )  # fmt: skip
    buy = Purchase(what, seller.id, total, size[0] * count, lot.kg(area) * count)
    why = (because("stock.bought", supplier=seller.name), _nested(lot, cuts))
    return SheetChoice(_choice(lot, cuts, piece=None, purchase=buy, cost=money, why=why), cuts)


def _sheared(seller: Supplier, lot: Lot, shop: Shop, filled: Filled) -> SheetChoice | None:
    """One blank sheared to what the nest takes up; nothing of it is left over."""
    xs, ys = zip(*(point for one in filled.placed for point in one.ring_mm(one.part.outline_mm)), strict=True)
    step, margin = rule("buy_length_mm"), lot.keep.margin_mm
    length, width = (_up(max(values) - min(values) + 2.0 * margin, step) for values in (xs, ys))
    at = (margin - min(xs) + (length - 2 * margin - (max(xs) - min(xs))) / 2.0,
          margin - min(ys) + (width - 2 * margin - (max(ys) - min(ys))) / 2.0)  # fmt: skip
    placed = tuple(replace(one, x_mm=one.x_mm + at[0], y_mm=one.y_mm + at[1]) for one in filled.placed)
    sheet = _rectangle((length, width))
    cut = _cut(lot, sheet, Filled(placed, 1), shop, name=f"{length:g} x {width:g}", piece=None, heat="", keeps=False)
    mass_kg = lot.kg(length * width)
    goods, cost = order_cost(seller, lot.material, mass_kg)
    total = goods + seller.cut_each
    money = Figure(float(total), "money", (*cost.why, because("stock.cut_each", sawing_money=float(seller.cut_each))))
    what = because(
        "sheetstock.buy_sheared", length_mm=length, width_mm=width, thickness_mm=lot.thickness_mm,
        material=lot.material.id,
    )  # fmt: skip
    why = (because("stock.bought", supplier=seller.name), _nested(lot, (cut,)))
    buy = Purchase(what, seller.id, total, length, mass_kg)
    return SheetChoice(_choice(lot, (cut,), piece=None, purchase=buy, cost=money, why=why), (cut,))


def _up(value: float, step: float) -> float:
    return -(-value // step) * step


def _cut(
    lot: Lot, sheet: Sheet, filled: Filled, shop: Shop, *, name: str, piece: str | None, heat: str, keeps: bool = True
) -> SheetCut:
    corners = {str(body.number): _corner(body) for body in lot.bodies}
    laid = tuple(_laid(one, corners[one.part.id]) for one in filled.placed)
    area = polygon(sheet.outline).area - sum(polygon(hole).area for hole in sheet.holes)
    net = {str(body.number): body.shape.area for body in lot.bodies}
    parts = sum(net[one.part.id] for one in filled.placed)
    rest = rest_of(sheet, filled.placed, lot.keep) if keeps else None
    kept: Ring = ()
    if rest is not None and _worth_keeping(rest.bounds, shop):
        kept = tuple((float(x), float(y)) for x, y in rest.exterior.coords[:-1])
    return SheetCut(
        name, piece, filled.count, lot.thickness_mm, heat, sheet.outline, sheet.holes, laid, lot.keep.gap_mm,
        lot.keep.margin_mm, parts / area, lot.kg(area), kept, rest.area if rest is not None and kept else 0.0, area,
    )  # fmt: skip


def _worth_keeping(bounds: tuple[float, float, float, float], shop: Shop) -> bool:
    """A rest whose shorter side is at least what the shop keeps of a bar."""
    return min(bounds[2] - bounds[0], bounds[3] - bounds[1]) >= shop.habits.keep_rest_mm


def _laid(one: Placed, corner: tuple[float, float]) -> Laid:
    """Where a body lies, about the drawing's origin instead of its own corner."""
    shifted = replace(one, x_mm=0.0, y_mm=0.0).ring_mm((corner,))[0]
    return Laid(int(one.part.id), one.x_mm - shifted[0], one.y_mm - shifted[1], one.turn_deg)


def _corner(body: Body) -> tuple[float, float]:
    return min(x for x, _ in body.ring), min(y for _, y in body.ring)


def _to_lay(body: Body, least_mm2: float) -> tuple[Ring, tuple[Ring, ...]]:
    """A body as it is laid: without the corners that do not count, and the cut-outs in which nothing lies."""
    x0, y0 = _corner(body)

    def plain(ring: Ring) -> Ring:
        simple = polygons(polygon(ring).simplify(PLAIN_MM))[0]
        return tuple((float(x) - x0, float(y) - y0) for x, y in simple.exterior.coords[:-1])

    return plain(body.ring), tuple(plain(hole) for hole in body.holes if polygon(hole).area > least_mm2)


def _nested(lot: Lot, cuts: tuple[SheetCut, ...]) -> Reason:
    count = sum(cut.count for cut in cuts)
    used = sum(cut.used * cut.count for cut in cuts) / count
    return because(
        "sheetstock.nested", parts=float(lot.quantity * len(lot.bodies)), sheets=float(count), used=f"{100 * used:.0f}"
    )


def _choice(
    lot: Lot,
    cuts: tuple[SheetCut, ...],
    *,
    piece: Piece | None,
    purchase: Purchase | None,
    cost: Figure,
    why: tuple[Reason, ...],
) -> Choice:
    """As the rest of the house knows a choice of stock: the blank of one part is its share of the sheets."""
    first = cuts[0]
    x0, y0, x1, y1 = polygon(first.outline_mm).bounds
    each_kg = lot.kg(lot.net_mm2) / lot.quantity
    long, wide = max(lot.part.size_mm[:2]), min(lot.part.size_mm[:2])
    blank = Blank(
        "plate", (wide, lot.thickness_mm), long, each_kg, lot.material.id, why, (0, 1, 2), ("thickness",)
    )  # fmt: skip
    wants = BlockNeed((x1 - x0, y1 - y0, lot.thickness_mm), x1 - x0, (0, 1, 2), ("thickness",), 0.0, 0.0)
    count = sum(cut.count for cut in cuts)
    return Choice(
        blank, piece.condition if piece else "hot rolled", piece, purchase, True, wants, x1 - x0, first.mass_kg,
        max(lot.quantity // count, 1), 0.0, bool(first.rest_mm), cost, cut_to_size=True,
    )  # fmt: skip
