"""A solid or a scan that is a plate, taken over the cutter: its outline cut, what cannot be cut milled afterwards.

Both large faces stay as the plate comes, or are milled off thicker plate where none is kept so thick. What goes
through and lies on the outline is the cutter's: the rim, holes, windows, corners along the thickness. All else
(pockets, counterbores, slanted edges, holes too small or too fine) is left for the drill and the mill.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from functools import lru_cache
from itertools import pairwise

from shapely.geometry import Point, Polygon

from steadyrest.route.assembly import Job
from steadyrest.route.flat_route import Flats, flat_routes
from steadyrest.route.plate_thickness import stock_mm
from steadyrest.route.turned_cells import as_body
from steadyrest.shop.figure import because
from steadyrest.shop.floor import CutterLimits
from steadyrest.shop.part import Edge, Feature, Flat, Outline, Part, PlateSide, Vec2, Vec3
from steadyrest.shop.same import Same
from steadyrest.shop.work import Undone
from steadyrest.stations import sizes
from steadyrest.stock.sheet_outlines import ring_of
from steadyrest.tables.practice import rule

ALONG = 0.99  # cosine to the thickness
SAME_SHARE, SAME_MM = 0.06, 0.3  # a hole's diameter, and the opening that it is taken for
NEAR_MM = 0.5  # how far a corner may lie off the outline it belongs to, beside its own radius
ROUND_SHARE = 0.01  # of the area by which a round rim may differ from its circle


@dataclass(frozen=True, slots=True)
class Openings:
    """A plate's outline with its openings as polygons, the outside first. across_mm: how wide each is."""

    side: PlateSide
    rings: tuple[Polygon, ...]
    across_mm: tuple[float, ...]

    def at(self, point_mm: Vec3) -> Point:
        """A point of the file's frame as the plate is looked at."""
        u, v, _ = (sum(a * b for a, b in zip(way, point_mm, strict=True)) for way in self.side.frame)
        return Point(u, v)


def from_plate(job: Job) -> Flats | None:
    """The routes of a part that is a plate, over the cutters.

    Args:
        job: of a part that is no flat drawing.
    Returns: routes and refusals; None where it is no plate, or the floor has no cutter.
    """
    side = job.part.plate_side
    if side is None or not any(isinstance(machine.limits, CutterLimits) for machine in job.shop.machines):
        return None
    thick = stock_mm(job.part, side, job.shop)
    if thick is None:
        return Flats((), (Undone("plate", None, (), (because("route.no_plate_so_thick", has_mm=side.thickness_mm),)),))
    part = as_cut(job.part, side, thick)
    found = flat_routes(replace(job, part=part))
    # What speaks against the way before what speaks against a piece.
    return Flats(found.routes, tuple(sorted(found.refused, key=lambda no: no.station == "stock")))


def as_cut(part: Part, side: PlateSide, thickness_mm: float) -> Part:
    """The part as the cutter knows parts: outlines with its features on them, and cells for what is milled after.

    Args:
        part: with its plate side.
        side: that.
        thickness_mm: of the plate it is cut from.
    Returns: a part with flat outlines, its features unchanged but for those that go through.
    """
    return _as_cut(Same(part), Same(side), thickness_mm)


@lru_cache(maxsize=8)  # the lot, and each other lot that is priced beside it
def _as_cut(of: Same[Part], seen_as: Same[PlateSide], thickness_mm: float) -> Part:
    part, side = of.it, seen_as.it
    body = part if part.grid is not None or part.profile is None else as_body(part)[0]
    rings = tuple(Polygon(ring_of(outline.edges)) for outline in side.flat.outlines)
    seen = Openings(side, rings, tuple(map(_across, rings)))
    on: dict[int, list[Feature]] = {}
    for feature in part.features:
        k = outline_of(feature, seen, part, faced=thickness_mm >= side.thickness_mm + rule("plate_skin_mm"))
        if k is not None:
            on.setdefault(k, []).append(feature)
    outlines = tuple(with_features(outline, on.get(k, []), seen) for k, outline in enumerate(side.flat.outlines))
    through = {feature.id for some in on.values() for feature in some if feature.kind == "bore"}
    x0, y0, x1, y1 = seen.rings[0].bounds
    return replace(
        part,
        profile=None,
        axisymmetric=False,
        flat=Flat(outlines, side.flat.area, side.flat.cut_length),
        size_mm=(x1 - x0, y1 - y0, thickness_mm),
        features=tuple(replace(f, through=True) if f.id in through else f for f in part.features),
        frame=body.frame,
        grid=body.grid,
    )


def outline_of(feature: Feature, seen: Openings, part: Part, *, faced: bool) -> int | None:
    """Which outline a feature lies on, by its place among them; None where the cutter does not make it.

    Args:
        feature: of the part.
        seen: its outlines.
        part: all its faces.
        faced: both large faces are milled.
    Returns: 0 for the rim (and for a face that stays as the plate comes), else an opening.
    """
    along = abs(sum(a * b for a, b in zip(feature.axis, seen.side.frame[2], strict=True)))
    wide = sizes.value_mm(feature, "diameter_mm") or sizes.value_mm(feature, "width_mm") or 0.0
    match feature.kind:
        case "face":
            stays = not faced and along > ALONG and _outermost(feature, seen.side, part)
            return 0 if along < 1.0 - ALONG or stays else None
        case "shaft":
            x0, y0, x1, y1 = seen.rings[0].bounds
            return 0 if along > ALONG and _alike(wide, max(x1 - x0, y1 - y0)) else None
        case "bore":
            return _opening(seen, feature, wide)
        case "slot" | "pocket" | "hexagon" | "keyway":
            found = _opening(seen, feature, wide)
            return found if found is not None else _notch(seen, feature, along)
        case "fillet" | "free":
            return _wall(seen, feature, along)
        case _:
            return None


def _opening(seen: Openings, feature: Feature, wide_mm: float) -> int | None:
    """The opening in whose middle a feature stands, as wide as it is."""
    point = seen.at(feature.at_mm)
    same = (k for k, mm in enumerate(seen.across_mm) if k and _alike(wide_mm, mm) and seen.rings[k].contains(point))
    return next(same, None) if wide_mm else None


def _notch(seen: Openings, feature: Feature, along: float) -> int | None:
    """The outline in which a notch lies that goes through: as long as the plate is thick, on the outline or off it."""
    point = seen.at(feature.at_mm)
    k, off = _nearest(seen, point)
    outside = off <= NEAR_MM or not seen.rings[0].contains(point)
    through = feature.through or any(abs(size.estimate - seen.side.thickness_mm) <= SAME_MM for size in feature.sizes)
    return k if outside and through and (feature.through or along < 1.0 - ALONG) else None


def _wall(seen: Openings, feature: Feature, along: float) -> int | None:
    """The outline of which a corner, or a wall of no plain shape, is a stretch."""
    radius = sizes.value_mm(feature, "radius_mm")
    k, off = _nearest(seen, seen.at(feature.at_mm))
    if along > ALONG and radius:
        return k if off <= NEAR_MM + radius else None
    return k if feature.kind == "free" and along < 1.0 - ALONG and off <= NEAR_MM else None


def _nearest(seen: Openings, point: Point) -> tuple[int, float]:
    """The outline that runs nearest to a point, and how far off."""
    off = [ring.exterior.distance(point) for ring in seen.rings]
    return off.index(min(off)), min(off)


def _outermost(face: Feature, side: PlateSide, part: Part) -> bool:
    """Whether a face across the thickness is one of the two that stay as the plate comes."""
    way = side.frame[2]
    height = sum(a * b for a, b in zip(face.at_mm, way, strict=True))
    others = [sum(a * b for a, b in zip(f.at_mm, way, strict=True)) for f in part.features if f.kind == "face"]
    return min(abs(height - min(others)), abs(height - max(others))) < NEAR_MM / 10.0


def _across(ring: Polygon) -> float:
    """The diameter of a round opening, or the width of a long one."""
    round_mm = math.sqrt(4.0 * ring.area / math.pi)
    box = ring.minimum_rotated_rectangle
    corners = list(box.exterior.coords) if isinstance(box, Polygon) else []
    narrow = min((math.dist(a, b) for a, b in pairwise(corners)), default=round_mm)
    return min(round_mm, narrow)


def _alike(one_mm: float, other_mm: float) -> bool:
    return abs(one_mm - other_mm) <= max(SAME_MM, SAME_SHARE * one_mm)


def with_features(outline: Outline, features: list[Feature], seen: Openings) -> Outline:
    """An outline with its features; the true circle where a round hole, or a round part, is one of them."""
    names = tuple(feature.id for feature in features)
    turned = next((one for one in features if one.kind in ("bore", "shaft")), None)
    diameter = sizes.value_mm(turned, "diameter_mm") if turned is not None else None
    alone = turned is not None and (turned.kind == "bore" or _is_round(outline, diameter or 0.0))
    if turned is None or diameter is None or not alone:
        return replace(outline, features=names)
    return replace(outline, edges=(circle(seen.at(turned.at_mm), diameter, outline.inside),), features=names)


def _is_round(outline: Outline, diameter_mm: float) -> bool:
    area = Polygon(ring_of(outline.edges)).area
    return abs(area - math.pi * diameter_mm**2 / 4.0) < ROUND_SHARE * area


def circle(centre: Point, diameter_mm: float, inside: bool) -> Edge:
    """A whole circle, material on its left: an outside to the left, a cut-out to the right."""
    start: Vec2 = (centre.x + diameter_mm / 2.0, centre.y)
    return Edge(start, start, (centre.x, centre.y), -2.0 * math.pi if inside else 2.0 * math.pi)
