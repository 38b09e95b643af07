"""Parts and plate as the grids and points that the quick search works on."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np
from shapely.geometry import Polygon
from shapely.ops import unary_union

from steadyrest.stock.nesting.feel import Forms, Room, Stand, Whole
from steadyrest.stock.nesting.field import Field, Floats, cell_for, edges, field, points, room_field
from steadyrest.stock.nesting.floor import Ground
from steadyrest.stock.nesting.pieces import polygon, polygons

FAR = 1e12
SLACK = 0.03  # of a cell: so much the grids may be off


@dataclass(frozen=True, slots=True)
class Table:
    """Grids and points of every kind, room, and where the parts stand. base: (parts,) the unmirrored kind of each;
    spare: mm that the grids take off every clearance; reach: mm by which the exact repair may move a part at a time.
    """

    forms: Forms
    room: Room
    stand: Stand
    base: Whole
    spare: float
    reach: float

    def twin(self) -> Table:
        """The same parts on a table of their own. Returns: grids shared, places and limit line not."""
        at = self.stand
        stand = Stand(
            kind=at.kind.copy(), pose=at.pose.copy(), spin=at.spin.copy(), points=at.points.copy(), at=at.at,
            box=at.box.copy(), on=at.on.copy(), trial=at.trial.copy(), sink=at.sink.copy(),
        )  # fmt: skip
        room = self.room._replace(line=self.room.line.copy(), box=self.room.box.copy())
        return replace(self, stand=stand, room=room)


def table(ground: Ground) -> Table:
    """The same nest, to be searched quickly: poses are those of the ground.

    Args:
        ground: parts and plate, exact.
    Returns: nothing standing yet.
    """
    wanted = ground.wanted
    shapes = list[Polygon]()
    for k, part in enumerate(wanted.parts):
        for m, side in enumerate((1.0, -1.0)):
            cx, cy = ground.centres[2 * k + m]
            shapes.append(
                polygon(
                    [(side * x - cx, y - cy) for x, y in part.outline_mm],
                    [[(side * x - cx, y - cy) for x, y in ring] for ring in part.holes_mm],
                )
            )
    cells = [cell_for(shape) for shape in shapes]
    spare = SLACK * float(np.median(cells))
    thin = [_thinned(shape, 0.1 * cell) for shape, cell in zip(shapes, cells, strict=True)]
    grids, feels = list[Field](), list[tuple[Floats, Floats, int]]()
    for k, (shape, cell) in enumerate(zip(thin, cells, strict=True)):
        if k % 2 and not wanted.may_mirror:
            grids.append(grids[-1])
            feels.append(feels[-1])
            continue
        x0, y0, x1, y1 = shape.bounds
        by = max(wanted.gap_mm, wanted.margin_mm, wanted.hole_clear_mm) + 1.5 * cell
        grids.append(field(shape, (x0 - by, y0 - by, x1 + by, y1 + by), cell))
        feels.append(points(shape, grids[-1]))
    lines = [edges(shape) for shape in thin]
    base = np.array([2 * k for k, part in enumerate(wanted.parts) for _ in range(part.count)], np.int64)
    forms = _forms(grids, feels, lines, thin)
    many = np.diff(forms.first[:, 0])
    at = np.cumsum([0, *np.maximum(many[base], many[base + 1]).tolist()]).astype(np.int64)
    parts = len(base)
    stand = Stand(
        kind=base.copy(), pose=np.zeros((parts, 4)), spin=np.tile((1.0, 0.0), (parts, 1)),
        points=np.zeros((at[-1] + many.max(), 2)),
        at=at, box=np.zeros((parts, 4)), on=np.zeros(parts, np.bool_), trial=np.zeros(4), sink=np.zeros(3),
    )  # fmt: skip
    cell = float(np.median(cells))
    return Table(forms, _room(ground, cell, spare, float(np.median(feels[0][1]))), stand, base, spare, cell)


def _thinned(shape: Polygon, by: float) -> Polygon:
    found = polygons(shape.simplify(by))
    return found[0] if len(found) == 1 and found[0].is_valid else shape


def _forms(
    grids: list[Field], feels: list[tuple[Floats, Floats, int]], lines: list[tuple[Floats, ...]], shapes: list[Polygon]
) -> Forms:
    counts = np.array(
        [(len(at), len(line[0]), grid.depth.size) for (at, _, _), line, grid in zip(feels, lines, grids, strict=True)]
    )
    first = np.zeros((len(grids) + 1, 6), np.int64)
    first[1:, :3] = np.cumsum(counts, axis=0)
    first[:-1, 3] = [grid.depth.shape[1] for grid in grids]
    first[:-1, 4] = [grid.depth.shape[0] for grid in grids]
    first[:-1, 5] = [edge for _, _, edge in feels]
    radius = [max(math.hypot(x, y) for x, y in shape.exterior.coords) for shape in shapes]
    return Forms(
        points=np.concatenate([_within_first(*feel) for feel in feels]),
        depth=np.concatenate([grid.depth.ravel() for grid in grids]),
        size=np.array([(grid.x0, grid.y0, 1 / grid.cell, r) for grid, r in zip(grids, radius, strict=True)]),
        first=first,
        edges=np.concatenate([_with_way(line) for line in lines]),
    )


def _within_first(at: Floats, stands: Floats, on_edge: int) -> Floats:
    """Points with their lengths, those within first: where a part stands far too deep, they tell it soonest."""
    return np.roll(np.column_stack((at, stands)), -on_edge, axis=0)


def _with_way(line: tuple[Floats, ...]) -> Floats:
    ax, ay, bx, by = line
    return np.column_stack([ax, ay, bx, by, np.arctan2(by - ay, bx - ax)])


def _room(ground: Ground, cell: float, spare: float, stands: float) -> Room:
    wanted = ground.wanted
    holes = unary_union(ground.holes)
    grid = room_field(ground.plate, holes, wanted.margin_mm - spare, wanted.hole_clear_mm - spare, cell)
    outer = _with_way(edges(_thinned(ground.plate, 0.1 * cell)))
    ax, ay, bx, by = edges(holes)
    # A hole's room lies outside of it: its edges run the other way.
    inner = _with_way((bx, by, ax, ay))
    clear = np.repeat([wanted.margin_mm, wanted.hole_clear_mm], [len(outer), len(inner)])
    return Room(
        depth=grid.depth,
        at=np.array([grid.x0, grid.y0, 1 / grid.cell]),
        line=np.array([1.0, 0.0, FAR]),
        edges=np.column_stack([np.concatenate([outer, inner]), clear]),
        posts=_posts(outer, inner, clear - spare, stands),
        gap=wanted.gap_mm - spare,
        box=ground.room.copy(),
    )


def _posts(outer: Floats, inner: Floats, clear: Floats, stands: float) -> Floats:
    """Corners at which plate or hole points into the room."""
    at = np.concatenate([outer, inner])
    found = list[tuple[float, float, float, float]]()
    ends = {(edge[2], edge[3]): edge for edge in at.tolist()}
    for edge, kept in zip(at.tolist(), clear.tolist(), strict=True):
        before = ends.get((edge[0], edge[1]))
        if before is None:
            continue
        ux, uy, vx, vy = before[2] - before[0], before[3] - before[1], edge[2] - edge[0], edge[3] - edge[1]
        if ux * vy - uy * vx < 0:
            found.append((edge[0], edge[1], stands, kept))
    # Columns as the points of a part have them: x, y, the length each stands for; then what is kept clear.
    return np.array(found, np.float64).reshape(-1, 4)
