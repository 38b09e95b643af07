"""Parts and plate as the arrays that the compiled loops work on."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np
from shapely import minimum_bounding_circle
from shapely.geometry import Polygon
from shapely.geometry.base import BaseGeometry
from shapely.ops import unary_union

from steadyrest.stock.nesting.near import Bounds, Floats, Floor, Kinds, stand
from steadyrest.stock.nesting.pieces import convex_pieces, polygon, polygons
from steadyrest.stock.nesting.seek import Ways
from steadyrest.stock.nesting.wanted import NestPart, NestWanted, Placed

FAR = 1e12
ANY = -1
WIDE, NEAR, ROUGH, STEPS = 40, 30, 3, 12
FINE = 5e-4  # of the median part's lesser side
ENOUGH = 1e-6  # of its cube: a fifth of a cell deep along one point's length


@dataclass(frozen=True, slots=True)
class Ground:
    """A nest as arrays.

    each: the part of every slot; centres: (kinds, 2) of a kind's circle, in the part's own frame; room: (4,) the box
    that no part may leave.
    """

    wanted: NestWanted
    each: tuple[NestPart, ...]
    kinds: Kinds
    floor: Floor
    bounds: Bounds
    ways: Ways
    centres: Floats
    room: Floats
    plate: Polygon
    holes: tuple[Polygon, ...]

    def twin(self) -> Ground:
        """The same nest on a floor of its own. Returns: shapes shared, places and limit line not."""
        at = self.floor
        floor = Floor(
            kind=at.kind.copy(), pose=at.pose.copy(), x=at.x.copy(), y=at.y.copy(), nx=at.nx.copy(), ny=at.ny.copy(),
            nd=at.nd.copy(), box=at.box.copy(), whole=at.whole.copy(), corner_from=at.corner_from.copy(),
            corners=at.corners.copy(), piece_from=at.piece_from.copy(), piece_to=at.piece_to.copy(),
            active=at.active.copy(),
        )  # fmt: skip
        bounds = self.bounds._replace(nx=self.bounds.nx.copy(), ny=self.bounds.ny.copy(), d=self.bounds.d.copy())
        return replace(self, floor=floor, bounds=bounds)

    def pose_of(self, slot: int, one: Placed) -> Floats:
        """Where the circle of a slot's part is when the part lies so.

        Args:
            slot: which part. one: how it lies on the plate.
        Returns: (4,) the pose.
        """
        cx, cy = self.centres[self.ways.base[slot] + one.mirrored]
        turn = math.radians(one.turn_deg)
        cos, sin = math.cos(turn), math.sin(turn)
        x, y = one.x_mm + cos * cx - sin * cy, one.y_mm + sin * cx + cos * cy
        return np.array([x, y, turn, float(one.mirrored)])

    def placed(self, slot: int, pose: Floats) -> Placed:
        """The pose of a slot in the contract's terms.

        Args:
            slot: which part. pose: (4,) of its circle's centre.
        Returns: the part on the plate.
        """
        mirrored = bool(pose[3] > 0)
        cx, cy = self.centres[self.ways.base[slot] + mirrored]
        turn_deg = math.degrees(float(pose[2])) % 360.0
        if not self.ways.free and self.wanted.turns_deg:
            turn_deg = min(self.wanted.turns_deg, key=lambda deg: abs((deg - turn_deg + 180.0) % 360.0 - 180.0))
        cos, sin = math.cos(float(pose[2])), math.sin(float(pose[2]))
        x, y = float(pose[0] - cos * cx + sin * cy), float(pose[1] - sin * cx - cos * cy)
        return Placed(self.each[slot], x, y, turn_deg, mirrored)


def ground(wanted: NestWanted, rough_mm: float = 0.0) -> Ground:
    """Every part ready to be set down on the plate, none standing yet.

    Args:
        wanted: parts, plate, gaps. rough_mm: so far outlines may be off, for a quick look; 0: exact.
    Returns: the arrays, each part wanted having a slot.
    """
    plate = polygon(wanted.plate_mm)
    holes = tuple(polygon(ring) for ring in wanted.holes_mm)
    rows: list[tuple[Floats, ...]] = []
    centres: list[tuple[float, float]] = []
    for part in wanted.parts:
        for side in (1.0, -1.0):
            shape = polygon(
                [(side * x, y) for x, y in part.outline_mm],
                [[(side * x, y) for x, y in ring] for ring in part.holes_mm],
            )
            centre = _centre(shape)
            centres.append(centre)
            rows.append(tuple(piece - np.array(centre) for piece in convex_pieces(_rough(shape, rough_mm))))
    hull = polygons(plate.convex_hull)[0]
    rows.append(_pieces(hull.difference(plate), rough_mm))
    rows.append(_pieces(unary_union(holes).intersection(hull), rough_mm))
    kinds = _kinds(rows)
    each = tuple(part for part in wanted.parts for _ in range(part.count))
    kind = np.array([2 * k for k, part in enumerate(wanted.parts) for _ in range(part.count)], np.int64)
    floor = _floor(kinds, kind, len(rows))
    x0, y0, x1, y1 = plate.bounds
    turns = wanted.turns_deg or (0.0,)
    room = np.array([x0, y0, x1, y1]) + wanted.margin_mm * np.array([1.0, 1.0, -1.0, -1.0])
    size = float(np.median([_lesser(part) for part in each]))
    ways = Ways(
        base=kind,
        turns=np.radians(np.array(turns, np.float64)),
        free=wanted.turns_deg is None,
        mirror=wanted.may_mirror,
        wide=WIDE,
        near=NEAR,
        rough=ROUGH,
        steps=STEPS,
        fine=FINE * size,
        enough=ENOUGH * size**3,
    )
    return Ground(
        wanted, each, kinds, floor, _bounds(_rough(hull, rough_mm), wanted), ways, np.array(centres), room, plate, holes
    )


def _lesser(part: NestPart) -> float:
    """The lesser side of a part's box, mm."""
    x0, y0, x1, y1 = polygon(part.outline_mm).bounds
    return float(min(x1 - x0, y1 - y0))


def _centre(shape: Polygon) -> tuple[float, float]:
    """The middle of the smallest circle about a shape."""
    middle = minimum_bounding_circle(shape).centroid
    return float(middle.x), float(middle.y)


def _rough(shape: Polygon, rough_mm: float) -> Polygon:
    """The same with fewer corners, if that can be had."""
    if rough_mm <= 0:
        return shape
    found = polygons(shape.simplify(rough_mm))
    return found[0] if len(found) == 1 and found[0].is_valid else shape


def _pieces(shape: BaseGeometry, rough_mm: float) -> tuple[Floats, ...]:
    return tuple(piece for one in polygons(shape) for piece in convex_pieces(_rough(one, rough_mm)))


def _kinds(rows: list[tuple[Floats, ...]]) -> Kinds:
    flat = [piece for row in rows for piece in row]
    corners = np.concatenate(flat)
    edges = np.concatenate([np.roll(piece, -1, axis=0) - piece for piece in flat])
    length = np.maximum(np.hypot(edges[:, 0], edges[:, 1]), 1e-300)
    return Kinds(
        x=np.ascontiguousarray(corners[:, 0]),
        y=np.ascontiguousarray(corners[:, 1]),
        nx=edges[:, 1] / length,
        ny=-edges[:, 0] / length,
        corner_from=np.cumsum([0, *(len(piece) for piece in flat)]).astype(np.int64),
        piece_from=np.cumsum([0, *(len(row) for row in rows)]).astype(np.int64),
        radius=np.array([max((float(np.hypot(*piece.T).max()) for piece in row), default=0.0) for row in rows]),
    )


def _floor(kinds: Kinds, kind: np.ndarray[tuple[int], np.dtype[np.int64]], rows: int) -> Floor:
    """Room for every part, for one to try with, for pockets and holes; the last two stand."""
    parts = len(kind)
    pieces = np.diff(kinds.piece_from)
    corners = np.array([kinds.corner_from[b] - kinds.corner_from[a] for a, b in pairwise(kinds.piece_from)])
    slots: list[int] = [*kind.tolist(), ANY, rows - 2, rows - 1]
    room = [(pieces.max(), corners.max()) if k == ANY else (pieces[k], corners[k]) for k in slots]
    piece_from = np.cumsum([0, *(p for p, _ in room)]).astype(np.int64)
    corner_at = np.cumsum([0, *(c for _, c in room)]).astype(np.int64)
    corner_from = np.zeros(piece_from[-1], np.int64)
    for slot in range(len(slots)):
        corner_from[piece_from[slot] : piece_from[slot + 1]] = corner_at[slot]
    floor = Floor(
        kind=np.full(len(slots), -1, np.int64),
        pose=np.zeros((len(slots), 4)),
        x=np.zeros(corner_at[-1]),
        y=np.zeros(corner_at[-1]),
        nx=np.zeros(corner_at[-1]),
        ny=np.zeros(corner_at[-1]),
        nd=np.zeros(corner_at[-1]),
        box=np.zeros((int(piece_from[-1]), 4)),
        whole=np.full((len(slots), 4), np.nan),
        corner_from=corner_from,
        corners=np.zeros(piece_from[-1], np.int64),
        piece_from=piece_from[:-1].copy(),
        piece_to=piece_from[:-1].copy(),
        active=np.zeros(parts, np.bool_),
    )
    for slot in (parts + 1, parts + 2):
        if room[slot][0]:
            stand(kinds, floor, slot, slots[slot], 0.0, 0.0, 1.0, 0.0)
    return floor


def _bounds(hull: Polygon, wanted: NestWanted) -> Bounds:
    corners = convex_pieces(hull)[0]
    edges = np.roll(corners, -1, axis=0) - corners
    length = np.hypot(edges[:, 0], edges[:, 1])
    nx, ny = edges[:, 1] / length, -edges[:, 0] / length
    return Bounds(
        nx=np.append(nx, 1.0),
        ny=np.append(ny, 0.0),
        d=np.append(nx * corners[:, 0] + ny * corners[:, 1], FAR),
        line_clear=np.append(np.full(len(corners), wanted.margin_mm), 0.0),
        gap=float(wanted.gap_mm),
        margin=float(wanted.margin_mm),
        hole_clear=float(wanted.hole_clear_mm),
    )
