"""What a machinist would name on a flat part: bores, slots, square cut-outs, hexagons, corners, edges over all."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np

from steadyrest.part.features.draft import Draft, exact, named
from steadyrest.part.flat.arcs import arc_features, is_corner
from steadyrest.part.flat.chains import Loop
from steadyrest.part.flat.curve import Curve, Points, box_of, cross, loop_area, polygon
from steadyrest.part.flat.nest import Nested
from steadyrest.part.flat.patterns import RoundHole, bolt_circles
from steadyrest.part.flat.shapes import Shape, shape_of
from steadyrest.part.flat.smooth import minus
from steadyrest.shop.figure import Reason, because
from steadyrest.shop.part import Feature, FeatureKind, Pattern, Size, Vec2, Vec3

UP: Vec3 = (0.0, 0.0, 1.0)
OPPOSITE_RAD = 1e-3


@dataclass(frozen=True, slots=True)
class Named:
    """features: F1, F2, ... larger first. of_loop: for each closed line the ids found on it. patterns: bolt circles."""

    features: tuple[Feature, ...]
    of_loop: tuple[tuple[str, ...], ...]
    patterns: tuple[Pattern, ...]


def features_of(lines: Sequence[Nested], tolerance: float) -> Named:
    """The features of every closed line.

    Args:
        lines: outsides and cut-outs.
        tolerance: of chords for arcs, and for edges that lie over all.
    Returns: features with ids, and which line has which.
    """
    several = sum(not line.inside for line in lines) > 1
    drafts: list[list[Draft]] = []
    for k, line in enumerate(lines):
        why = (because("flat.on_part", part=str(line.body + 1)),) if several else ()
        shape = shape_of(line.loop)
        found = [main_draft(line, shape, k)] if line.inside else list(outside_drafts(line, shape, k, tolerance))
        found.extend(arc_drafts(line, shape, k))
        drafts.append([replace(d, feature=replace(d.feature, why=(*d.feature.why, *why))) for d in found])
    features, ids = named(draft for some in drafts for draft in some)
    of_loop = tuple(tuple(sorted((ids[d.tag] for d in some), key=lambda i: int(i[1:]))) for some in drafts)
    patterns = patterns_of(lines, ids)
    holder = {name: pattern.id for pattern in patterns for name in pattern.features}
    features = tuple(replace(f, pattern=holder.get(f.id)) for f in features)
    return Named(features, of_loop, patterns)


def feature(
    kind: FeatureKind, at: Vec2, sizes: Sequence[Size], *, inside: bool, area: float = 0.0, axis: Vec3 = UP,
    why: tuple[Reason, ...] = (),
) -> Feature:  # fmt: skip
    """A feature of a flat part; a cut-out goes through."""
    return Feature(
        id="", kind=kind, sizes=tuple(sizes), axis=axis, at_mm=(at[0], at[1], 0.0), through=True if inside else None,
        inside=inside, area_mm2=area, why=why,
    )  # fmt: skip


def main_draft(line: Nested, shape: Shape, k: int) -> Draft:
    """The feature that a cut-out is as a whole."""
    area = abs(loop_area(line.loop))
    wide, long = exact("width_mm", shape.width), exact("length_mm", shape.length)
    match shape.kind:
        case "circle":
            made = feature("bore", shape.middle, [round_size(line.loop[0], shape)], inside=True, area=area)
        case "slot":
            made = feature("slot", shape.middle, [wide, long], inside=True, area=area)
        case "rectangle":
            made = feature("pocket", shape.middle, [wide, long], inside=True, area=area, why=(because("flat.square"),))
        case "hexagon":
            made = feature("hexagon", shape.middle, [wide], inside=True, area=area)
        case "free":
            made = free_feature(line, shape)
    return Draft(made, f"line {k}")


def round_size(curve: Curve, shape: Shape) -> Size:
    """A circle's diameter."""
    return exact("diameter_mm", shape.width, 0.0 if curve.made == "drawn" else 1e-4 * shape.width)


def free_feature(line: Nested, shape: Shape) -> Feature:
    """An outline or a cut-out without a simple name, with its box along the drawing's axes."""
    low_x, low_y, high_x, high_y = box_of(line.loop)
    sides = sorted((high_x - low_x, high_y - low_y))
    sizes = [exact("length_mm", sides[1]), exact("width_mm", sides[0])]
    why = because("flat.free_hole" if line.inside else "flat.free_outline", edges=float(len(line.loop)))
    # An outline is pointed at on its longest edge: the middle of its box may be a hole.
    at = shape.middle if line.inside else max(line.loop, key=lambda c: (c.length, c.start)).at(0.5)
    return feature("free", at, sizes, inside=line.inside, area=abs(loop_area(line.loop)), why=(why,))


def outside_drafts(line: Nested, shape: Shape, k: int, tolerance: float) -> Iterator[Draft]:
    """The features that an outside is: a disc, a hexagon, edges that face each other, or a free outline."""
    area = abs(loop_area(line.loop))
    if shape.kind == "circle":
        yield Draft(
            feature("shaft", shape.middle, [round_size(line.loop[0], shape)], inside=False, area=area), f"line {k}"
        )
        return
    if shape.kind == "hexagon":
        yield Draft(
            feature("hexagon", shape.middle, [exact("width_mm", shape.width)], inside=False, area=area), f"line {k}"
        )
        return
    pairs = list(faces_over_all(line.loop, tolerance))
    for i, (edge, across) in enumerate(pairs):
        ux, uy = edge.heading(0.0)
        made = feature(
            "face", edge.at(0.5), [exact("length_mm", across)], inside=False, area=area, axis=(uy, -ux, 0.0),
            why=(because("flat.across"),),
        )  # fmt: skip
        yield Draft(made, f"face {k}.{i}")
    straight = sum(c.centre is None for c in line.loop)
    corners = sum(is_corner(line.loop, j) for j in range(len(line.loop)))
    told = 2 * len(pairs) == straight and straight + corners == len(line.loop)
    if not told:
        yield Draft(free_feature(line, shape), f"line {k}")


def faces_over_all(loop: Loop, tolerance: float) -> Iterator[tuple[Curve, float]]:
    """Straight edges between which the whole outline lies, in pairs: the first edge and the distance."""
    points = hull(polygon(loop, tolerance / 4))
    outer = [c for c in loop if c.centre is None and c.made != "chord" and bounds(c, points, tolerance)]
    told: list[Vec2] = []
    for i, a in enumerate(outer):
        u = a.heading(0.0)
        for b in outer[i + 1 :]:
            v = b.heading(0.0)
            opposite = abs(cross(u, v)) <= OPPOSITE_RAD and u[0] * v[0] + u[1] * v[1] < 0
            # An edge in pieces, with a notch between them, is still one edge.
            if opposite and all(abs(cross(u, other)) > OPPOSITE_RAD for other in told):
                told.append(u)
                yield a, abs(cross(u, (b.at(0.5)[0] - a.start[0], b.at(0.5)[1] - a.start[1])))


def hull(points: Points) -> Points:
    """(k, 2) the corners of (n, 2) points' convex hull, to the left (Andrew's monotone chain, from memory)."""
    ordered = sorted({(float(x), float(y)) for x, y in points})
    sides: list[list[Vec2]] = []
    for way in (ordered, ordered[::-1]):
        side: list[Vec2] = []
        for p in way:
            while len(side) > 1 and cross(minus(side[-1], side[-2]), minus(p, side[-1])) <= 0:
                side.pop()
            side.append(p)
        sides.append(side[:-1])
    return np.array([*sides[0], *sides[1]])


def bounds(edge: Curve, points: Points, tolerance: float) -> bool:
    """Whether all of an outline lies on the left of one of its edges."""
    ux, uy = edge.heading(0.0)
    off = ux * (points[:, 1] - edge.start[1]) - uy * (points[:, 0] - edge.start[0])
    return bool(off.min() > -tolerance)


def arc_drafts(line: Nested, shape: Shape, k: int) -> Iterator[Draft]:
    """The features of single arcs, where the line is no circle or slot as a whole."""
    if shape.kind == "circle" or (shape.kind == "slot" and line.inside):
        return
    for tag, made, on in arc_features(line.loop):
        yield Draft(made, f"{tag} {k}", on=f"{on} {k}" if on is not None else f"line {k}")


def patterns_of(lines: Sequence[Nested], ids: dict[str, str]) -> tuple[Pattern, ...]:
    """Bolt circles of each body, round its own circles and the middle of the holes."""
    found: list[Pattern] = []
    for body in sorted({line.body for line in lines}):
        rounds = [(k, shape_of(line.loop)) for k, line in enumerate(lines) if line.body == body and len(line.loop) == 1]
        holes = [RoundHole(ids[f"line {k}"], s.middle, s.width) for k, s in rounds if lines[k].inside]
        centres = [(s.middle, s.width) for _, s in sorted(rounds, key=lambda r: (-r[1].width, r[1].middle))]
        found.extend(bolt_circles(holes, centres))
    return tuple(replace(pattern, id=f"P{i}") for i, pattern in enumerate(found, 1))
