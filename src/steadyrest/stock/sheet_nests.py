"""So many of each outline on as many sheets as it takes: nested where they are few, in rows where they are many.

A sheet is filled, and where the next would be filled alike it is counted, not nested again. Time is counted in looks of
the search, never by the clock: the same lot gives the same sheets on every machine.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import lru_cache

from shapely import prepare
from shapely.affinity import rotate, translate
from shapely.geometry import Polygon, box

from steadyrest.stock.nesting.pieces import polygon, polygons
from steadyrest.stock.nesting.wanted import NestPart, NestWanted, Placed, Ring

NESTED = 40  # more on one sheet are laid in rows
LOOKS, ROUNDS = 260, 25
MOST_SHEETS = 100_000
CLOSE_MM = 0.02
CHORD_MM = 0.1
SLIDES = 24


@dataclass(frozen=True, slots=True)
class Sheet:
    """A sheet to lay parts on: its edge, what is cut out of it, and how many there are (0: as many as wanted)."""

    outline: Ring
    holes: tuple[Ring, ...] = ()
    there: int = 0


@dataclass(frozen=True, slots=True)
class Filled:
    """A sheet with its parts; count: so many are filled alike."""

    placed: tuple[Placed, ...]
    count: int


@dataclass(frozen=True, slots=True)
class Keep:
    """What is kept clear: from part to part, to the sheet's edge, to its holes."""

    gap_mm: float
    margin_mm: float


@lru_cache(maxsize=64)
def fill(
    parts: tuple[NestPart, ...], sheet: Sheet, keep: Keep, *, rows_only: bool = False
) -> tuple[Filled, ...] | None:
    """Lay every part on sheets of one kind.

    Args:
        parts: each with how many.
        sheet: the kind of sheet.
        keep: distances.
        rows_only: without a search: quick, to compare sheets by.
    Returns: sheets in their order; None where some part fits on none, or there are not enough.
    """
    left = {part.id: part.count for part in parts}
    found: list[Filled] = []
    many = 0
    while any(left.values()):
        wanted = tuple(_with(part, left[part.id]) for part in parts if left[part.id])
        placed = in_rows(wanted, sheet, keep) if rows_only else _one(wanted, sheet, keep)
        took = {part.id: sum(one.part.id == part.id for one in placed) for part in parts}
        if not placed:
            return None
        alike = min((left[name] // count for name, count in took.items() if count), default=1)
        # A sheet that is filled alike again is not full with what is left of other parts: those wait for their turn.
        alike = max(alike if any(left[name] > took[name] for name in took) else 1, 1)
        many += alike
        if many > MOST_SHEETS or (sheet.there and many > sheet.there):
            return None
        found.append(Filled(placed, alike))
        left = {name: count - alike * took[name] for name, count in left.items()}
    return tuple(found)


def _with(part: NestPart, count: int) -> NestPart:
    return NestPart(part.id, count, part.outline_mm, part.holes_mm)


def _one(parts: tuple[NestPart, ...], sheet: Sheet, keep: Keep) -> tuple[Placed, ...]:
    """One sheet: the search for few; rows for many, and for what the search leaves out."""
    room = polygon(sheet.outline).area - sum(polygon(hole).area for hole in sheet.holes)
    some = tuple(_with(part, min(part.count, max(int(room / polygon(part.outline_mm).area), 1))) for part in parts)
    count = sum(part.count for part in some)
    rows = in_rows(some, sheet, keep)
    if count > NESTED or (len(rows) == count and len(some) == 1 and count > 1 and _plain(some[0])):
        return rows
    wanted = NestWanted(some, sheet.outline, sheet.holes, keep.gap_mm, keep.margin_mm, keep.margin_mm, None, False)
    from steadyrest.stock.nesting.plan import nest  # late: compiled loops, which only a flat part waits for

    found = nest(wanted, _looks(LOOKS), rounds=ROUNDS).placed
    return found if len(found) >= len(rows) else rows


def _plain(part: NestPart) -> bool:
    """Whether a part fills its box so well that rows are as good as any nest."""
    shape = polygon(part.outline_mm)
    return shape.area > 0.95 * shape.minimum_rotated_rectangle.area


def _looks(many: int) -> Callable[[], float]:
    left = [many]

    def look() -> float:
        left[0] -= 1
        return float(left[0])

    return look


def in_rows(parts: tuple[NestPart, ...], sheet: Sheet, keep: Keep) -> tuple[Placed, ...]:
    """Parts in rows by their boxes, the highest first, each row from the sheet's low end to its high one.

    Args:
        parts: each with how many.
        sheet: any outline.
        keep: distances.
    Returns: those that found a place.
    """
    room = polygon(sheet.outline).buffer(-keep.margin_mm, join_style="mitre")
    for hole in sheet.holes:
        room = room.difference(polygon(hole).buffer(keep.margin_mm, join_style="mitre"))
    if room.is_empty:
        return ()
    x0, y0, x1, y1 = room.bounds
    prepare(room)
    units = [unit for part in parts for unit in _units(part, keep, long=x1 - x0 >= y1 - y0)]
    units.sort(key=lambda unit: (-unit.tall, -len(unit.at), unit.part.id))
    placed: list[Placed] = []
    y, x, high = y0, x0, 0.0
    step = max(keep.gap_mm, 2.0)
    for unit in units:
        left = unit.count
        while left:
            if x + unit.wide > x1 + CLOSE_MM:
                x, y, high = x0, y + (high or step) + keep.gap_mm, 0.0
                if y + unit.tall > y1 + CLOSE_MM:
                    break
                continue
            if y + unit.tall > y1 + CLOSE_MM:
                break
            if room.covers(box(x, y, x + unit.wide, y + unit.tall).buffer(-CLOSE_MM)):
                placed += [Placed(unit.part, x + dx, y + dy, turn, mirrored=False) for turn, dx, dy in unit.at]
                x, high, left = x + unit.wide + keep.gap_mm, max(high, unit.tall), left - 1
            else:
                x += step
    return tuple(placed)


@dataclass(frozen=True, slots=True)
class Unit:
    """What a row is made of: a part, or two of it turned into each other. at: (turn, dx, dy) from its low corner."""

    part: NestPart
    count: int
    wide: float
    tall: float
    at: tuple[tuple[float, float, float], ...]


def _units(part: NestPart, keep: Keep, *, long: bool) -> tuple[Unit, ...]:
    """A part as rows take it: in pairs where a pair takes less room than two, the odd one alone."""
    turn, wide, tall, low = _laid_flat(part, long=long)
    alone = ((turn, -low[0], -low[1]),)
    pair = _pair(part, turn, keep.gap_mm) if part.count > 1 and not _plain(part) else None
    gap = keep.gap_mm
    if pair is None or (pair.wide + gap) * (pair.tall + gap) >= 1.98 * (wide + gap) * (tall + gap):
        return (Unit(part, part.count, wide, tall, alone),)
    return (replace(pair, count=part.count // 2), *((Unit(part, 1, wide, tall, alone),) if part.count % 2 else ()))


def _pair(part: NestPart, turn: float, gap_mm: float) -> Unit | None:
    """Two of a part, the second turned half round and slid against the first, where their box is least."""
    one = rotate(polygon(part.outline_mm), turn, origin=(0.0, 0.0)).simplify(CHORD_MM)
    other = rotate(one, 180.0, origin=(0.0, 0.0))
    (a0, b0, a1, b1), (c0, d0, _, d1) = one.bounds, other.bounds
    grown = one.buffer(gap_mm + CHORD_MM, quad_segs=4)
    prepare(grown)
    best: Unit | None = None
    for k in range(SLIDES):
        dy = (b0 - d1) + (b1 - b0 + d1 - d0) * (k + 0.5) / SLIDES
        near, far = a0 - c0, a1 - c0 + gap_mm + 2.0 * CHORD_MM
        for _ in range(12):
            middle = (near + far) / 2.0
            near, far = (middle, far) if grown.intersects(translate(other, middle, dy)) else (near, middle)
        if grown.intersects(translate(other, far, dy)):
            continue
        x0, y0, x1, y1 = one.union(translate(other, far, dy)).bounds
        back = _clean(turn + 180.0)
        unit = Unit(part, 0, x1 - x0, y1 - y0, ((turn, -x0, -y0), (back, far - x0, dy - y0)))
        if best is None or unit.wide * unit.tall < best.wide * best.tall:
            best = unit
    return best


def _laid_flat(part: NestPart, *, long: bool) -> tuple[float, float, float, tuple[float, float]]:
    """A part turned so that its box is least: (turn, wide, tall, low corner after the turn)."""
    shape = polygon(part.outline_mm)
    least = shape.minimum_rotated_rectangle
    corners = list(least.exterior.coords)[:4] if isinstance(least, Polygon) else [(0.0, 0.0), (1.0, 0.0)]
    sides = [(math.dist(a, b), a, b) for a, b in zip(corners, [*corners[1:], corners[0]], strict=True)]
    _, a, b = max(sides, key=lambda side: side[0])
    along = -math.degrees(math.atan2(b[1] - a[1], b[0] - a[0]))
    tries: list[tuple[float, float, float, tuple[float, float]]] = []
    for turn in {0.0, 90.0, _clean(along), _clean(along + 90.0)}:
        bounds = rotate(shape, turn, origin=(0.0, 0.0)).bounds
        tries.append((turn, bounds[2] - bounds[0], bounds[3] - bounds[1], (bounds[0], bounds[1])))
    # The least box, lying along the sheet; by turn after that, so that it is the same everywhere.
    return min(tries, key=lambda one: (round(one[1] * one[2], 3), (one[2] > one[1]) == long, abs(one[0]), one[0]))


def _clean(turn_deg: float) -> float:
    turn = turn_deg % 360.0
    return round(turn / 90.0) * 90.0 % 360.0 if abs(turn / 90.0 - round(turn / 90.0)) < 1e-7 else turn


def rest_of(sheet: Sheet, placed: tuple[Placed, ...], keep: Keep) -> Polygon | None:
    """What is left of a sheet in one piece: beyond a straight cut, to the end that leaves more.

    Args:
        sheet: before.
        placed: what was cut.
        keep: distances.
    Returns: its outline; None where nothing is left.
    """
    plate = polygon(sheet.outline)
    for hole in sheet.holes:
        plate = plate.difference(polygon(hole))
    if not placed:
        return None
    xs, ys = zip(*(point for one in placed for point in one.ring_mm(one.part.outline_mm)), strict=True)
    x0, y0, x1, y1 = plate.bounds
    halves = (
        box(max(xs) + keep.gap_mm, y0, x1, y1) if max(xs) + keep.gap_mm < x1 else None,
        box(x0, y0, min(xs) - keep.gap_mm, y1) if min(xs) - keep.gap_mm > x0 else None,
        box(x0, max(ys) + keep.gap_mm, x1, y1) if max(ys) + keep.gap_mm < y1 else None,
        box(x0, y0, x1, min(ys) - keep.gap_mm) if min(ys) - keep.gap_mm > y0 else None,
    )
    pieces = [piece for half in halves if half is not None for piece in polygons(plate.intersection(half))]
    return max(pieces, key=lambda piece: piece.area, default=None)


def shape_of(one: Placed) -> Polygon:
    """A placed part as a polygon on the sheet."""
    return polygon(one.ring_mm(one.part.outline_mm), [one.ring_mm(ring) for ring in one.part.holes_mm])
