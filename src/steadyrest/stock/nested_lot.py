"""Parts of several drawings laid together on plates of the rack: one drawing for the cutter, outlines for the search.

The cutter knows a part with bodies; so all drawings become one part whose bodies are numbered on, each with its own
features. What is written on the nest is the name of the drawing that a body came from.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from decimal import Decimal

from shapely.geometry import Polygon

from steadyrest.shop.floor import Piece
from steadyrest.shop.part import Feature, Flat, Outline, Part
from steadyrest.shop.work import Laid, SheetCut
from steadyrest.stock.nesting.opened import OpenedPlan, OpenedSheet, RestRule, StockSheet
from steadyrest.stock.nesting.pieces import polygon, polygons
from steadyrest.stock.nesting.sheets import Sheet
from steadyrest.stock.nesting.wanted import NestPart, NestWanted, Placed, Ring
from steadyrest.stock.sheet_choice import plate_outline
from steadyrest.stock.sheet_nests import Keep
from steadyrest.stock.sheet_outlines import Body, bodies

PLAIN_MM = 0.1  # corners that stand out less do not count where parts are laid
NO_PLACE = 1.5  # a cut-out of less than so many of the smallest part's area: nothing is laid in it


@dataclass(frozen=True, slots=True)
class Drawing:
    """A flat drawing and how many of it are wanted. job: by number, whose it is; 0: of none. due: its rank, 0 first."""

    name: str
    part: Part
    count: int
    job: int = 0
    due: int = 0


@dataclass(frozen=True, slots=True)
class LaidLot:
    """All drawings as one part. of: for each body, which drawing it came from. bodies: by number."""

    part: Part
    drawings: tuple[Drawing, ...]
    of: tuple[int, ...]
    bodies: tuple[Body, ...]

    def name(self, body: int) -> str:
        """What a body is called: its drawing, and which of the drawing's parts where it has several."""
        mine = [k for k, of in enumerate(self.of) if of == self.of[body]]
        name = self.drawings[self.of[body]].name
        return name if len(mine) == 1 else f"{name}, part {mine.index(body) + 1}"

    def body(self, name: str) -> Body:
        """The body that is called so."""
        return next(one for one in self.bodies if self.name(one.number) == name)


def together(drawings: Sequence[Drawing], thickness_mm: float) -> LaidLot:
    """Several flat drawings as one, of one thickness.

    Args:
        drawings: each flat; one or more. thickness_mm: of the plate.
    Returns: one part with all bodies.
    Raises: ValueError: one of them is not flat.
    """
    outlines, features, of = list[Outline](), list[Feature](), list[int]()
    for k, drawing in enumerate(drawings):
        flat = drawing.part.flat
        if flat is None:
            raise ValueError(f"together: {drawing.name} is not flat")
        first = len(of)
        names = {
            one.id: one.id if len(drawings) == 1 else f"{one.id} of {drawing.name}" for one in drawing.part.features
        }
        numbers = sorted({one.body for one in flat.outlines})
        of += [k] * len(numbers)
        outlines += [
            replace(one, body=first + numbers.index(one.body), features=tuple(names.get(n, n) for n in one.features))
            for one in flat.outlines
        ]
        features += [replace(one, id=names[one.id]) for one in drawing.part.features]
    some = drawings[0].part
    assert some.flat is not None
    flat = Flat(tuple(outlines), some.flat.area, some.flat.cut_length)
    part = replace(some, flat=flat, features=tuple(features), size_mm=(*some.size_mm[:2], thickness_mm), doubts=())
    return LaidLot(part, tuple(drawings), tuple(of), bodies(flat))


def wanted_of(
    lot: LaidLot, keep: Keep, turns_deg: tuple[float, ...] | None, first: Ring, holes: Sequence[Ring] = ()
) -> NestWanted:
    """What the search is asked.

    Args:
        lot: all bodies. keep: distances. turns_deg: the turns that are allowed; None: any.
        first: outline of a plate. holes: in it. With several sheets neither is looked at.
    Returns: each body about its own low corner, without the cut-outs that nothing fits into.
    """
    least_mm2 = min(polygon(body.ring).area for body in lot.bodies)
    parts = tuple(
        NestPart(lot.name(body.number), lot.drawings[of].count, *_to_lay(body, least_mm2), due=lot.drawings[of].due)
        for body, of in zip(lot.bodies, lot.of, strict=True)
    )  # fmt: skip
    return NestWanted(parts, first, tuple(holes), keep.gap_mm, keep.margin_mm, keep.margin_mm, turns_deg, False)


def _corner(body: Body) -> tuple[float, float]:
    return min(x for x, _ in body.ring), min(y for _, y in body.ring)


def _to_lay(body: Body, least_mm2: float) -> tuple[Ring, tuple[Ring, ...]]:
    x0, y0 = _corner(body)

    def plain(ring: Ring) -> Ring:
        simple = polygons(polygon(ring).simplify(PLAIN_MM))[0]
        return tuple((float(x) - x0, float(y) - y0) for x, y in simple.exterior.coords[:-1])

    return plain(body.ring), tuple(plain(hole) for hole in body.holes if polygon(hole).area > NO_PLACE * least_mm2)


def stock_of(pieces: Sequence[Piece]) -> tuple[StockSheet, ...]:
    """Plates of the rack as the search takes them: each by itself, at what it cost.

    Args:
        pieces: plates.
    Returns: one sheet each.
    """
    return tuple(
        StockSheet(one.id, Sheet(plate_outline(one), one.holes_mm), 1, one.cost, one.heat_number) for one in pieces
    )


def rest_rule(pieces: Sequence[Piece], keep_rest_mm: float) -> RestRule:
    """What is kept of a plate: as wide as the shop keeps of a bar, at what the cheapest of these plates cost by area.

    Args:
        pieces: plates. keep_rest_mm: the shop's habit.
    Returns: the rule.
    """
    per = [one.cost / Decimal(repr(area_mm2(one))) for one in pieces if one.cost > 0]
    return RestRule(0.0, keep_rest_mm, round(min(per, default=Decimal(0)), 9))


def area_mm2(piece: Piece) -> float:
    """What there is of a plate, holes taken off."""
    return polygon(plate_outline(piece)).area - sum(polygon(hole).area for hole in piece.holes_mm)


def sheets_of(
    lot: LaidLot, plan: OpenedPlan, keep: Keep, density_kg_m3: float
) -> tuple[tuple[SheetCut, tuple[Ring, ...]], ...]:
    """The nest as the cutter takes it.

    Args:
        lot: all bodies. plan: what lies where. keep: distances. density_kg_m3: of the metal.
    Returns: each sheet in the order of cutting, with the holes that are in what is left of it.
    """
    return tuple(_sheet(lot, one, keep, density_kg_m3) for one in plan.sheets if one.placed)


def _sheet(lot: LaidLot, one: OpenedSheet, keep: Keep, density: float) -> tuple[SheetCut, tuple[Ring, ...]]:
    sheet, thick = one.of.sheet, lot.part.size_mm[2]
    area = polygon(sheet.outline_mm).area - sum(polygon(hole).area for hole in sheet.holes_mm)
    parts = sum(lot.body(each.part.id).shape.area for each in one.placed)
    rest, holes, left_mm2 = (
        ((), (), 0.0) if not one.kept else (one.left.outline_mm, one.left.holes_mm, one.left.area_mm2)
    )
    laid = tuple(_laid(each, lot.body(each.part.id)) for each in one.placed)
    cut = SheetCut(
        one.of.id, one.of.id, 1, thick, one.of.heat_number, sheet.outline_mm, sheet.holes_mm, laid, keep.gap_mm,
        keep.margin_mm, parts / area, area * thick * 1e-9 * density, rest, left_mm2, area,
    )  # fmt: skip
    return cut, holes


def _laid(one: Placed, body: Body) -> Laid:
    """Where a body lies, about the drawing's origin instead of its own corner."""
    shifted = replace(one, x_mm=0.0, y_mm=0.0).ring_mm((_corner(body),))[0]
    return Laid(body.number, one.x_mm - shifted[0], one.y_mm - shifted[1], one.turn_deg)


def rest_about_its_corner(
    rest: Ring, holes: Sequence[Ring], plate: Ring, plate_holes: Sequence[Ring]
) -> tuple[Ring, tuple[Ring, ...], tuple[float, float]]:
    """What is left of a plate as the rack keeps it: about its own low corner; () where it is a plain rectangle.

    Args:
        rest: its corners, where the plate had it. holes: in it, as the nest knows them.
        plate, plate_holes: of the plate; its holes stay in what is left.
    Returns: outline, holes, and its length and width over all.
    """
    shape: Polygon = polygon(rest, holes)
    for hole in (*plate_holes,):
        shape = max(polygons(shape.difference(polygon(hole))), key=lambda one: one.area, default=shape)
    shape = max(polygons(shape.intersection(polygon(plate))), key=lambda one: one.area, default=shape)
    x0, y0, x1, y1 = shape.bounds

    def moved(ring: Sequence[Sequence[float]]) -> Ring:
        return tuple((round(at[0] - x0, 3), round(at[1] - y0, 3)) for at in ring[:-1])

    size = (round(x1 - x0, 3), round(y1 - y0, 3))
    inner = tuple(moved(tuple(ring.coords)) for ring in shape.interiors)
    plain = not inner and abs(shape.area - size[0] * size[1]) < 1.0
    return () if plain else moved(tuple(shape.exterior.coords)), inner, size
