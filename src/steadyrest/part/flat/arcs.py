"""What single arcs of an outline are: rounded corners, open slots, most of a bore (with a key's groove), or just round.

Lines run with the material on their left: a turn to the left is an outer edge, to the right an inner one.
"""

from __future__ import annotations

import math
from collections.abc import Iterator

from steadyrest.part.features.draft import exact
from steadyrest.part.flat.chains import Loop
from steadyrest.part.flat.curve import Curve, cross
from steadyrest.part.flat.shapes import smooth_at
from steadyrest.part.flat.smooth import bend_between
from steadyrest.shop.figure import Reason, because
from steadyrest.shop.part import Feature, FeatureKind, Size, Vec2

LEAST_CORNER_RAD = 0.09
CORNER_RAD = math.pi + 0.02  # an arc that turns farther is no corner
HOLE_RAD = math.radians(190)
HALF_RAD = 0.02
PARALLEL = 2e-3
SQUARE_RAD = 5e-3
Named = tuple[str, Feature, str | None]


def arc_features(loop: Loop) -> Iterator[Named]:
    """The features of a closed line's arcs, as (tag within the line, feature, tag of the one that carries it).

    Args:
        loop: with the material on its left; neither a circle nor a slot as a whole.
    Returns: one for each arc, and the groove of a key in what is left of a bore.
    """
    for j, curve in enumerate(loop):
        if curve.centre is None or curve.closed or abs(curve.turn_rad) < LEAST_CORNER_RAD:
            continue
        inner = curve.turn_rad < 0
        radius = exact("radius_mm", curve.radius)
        if abs(curve.turn_rad) >= HOLE_RAD:
            kind: FeatureKind = "bore" if inner else "shaft"
            size = exact("diameter_mm", 2 * curve.radius)
            share = math.degrees(abs(curve.turn_rad))
            yield (
                f"arc {j}",
                made(kind, curve.centre, [size], inner, because("flat.most_of_a_circle", turn_deg=share)),
                None,
            )
            groove = key_groove(loop, j) if inner else None
            if groove is not None:
                yield f"groove {j}", groove, f"arc {j}"
        elif inner and is_slot_end(loop, j):
            walls = (loop[j - 1], loop[(j + 1) % len(loop)])
            long = min(w.length for w in walls) + curve.radius
            sizes = [exact("width_mm", 2 * curve.radius), exact("length_mm", long)]
            yield f"arc {j}", made("slot", curve.centre, sizes, True, because("flat.open_slot")), None
        elif is_corner(loop, j):
            key = "features.fillet_corner" if inner else "features.fillet_edge"
            yield f"arc {j}", made("fillet", curve.at(0.5), [radius], inner, because(key)), None
        else:
            key = "flat.hollow_edge" if inner else "flat.round_edge"
            yield f"arc {j}", made("free", curve.at(0.5), [radius], inner, because(key)), None


def made(kind: FeatureKind, at: Vec2, sizes: list[Size], inside: bool, why: Reason) -> Feature:
    """A feature of one arc."""
    through = True if kind in ("bore", "slot", "keyway") else None
    return Feature(
        id="", kind=kind, sizes=tuple(sizes), axis=(0.0, 0.0, 1.0), at_mm=(at[0], at[1], 0.0), through=through,
        inside=inside, why=(why,),
    )  # fmt: skip


def is_corner(loop: Loop, j: int) -> bool:
    """Whether an arc rounds a corner: it runs smoothly into both neighbours, and is no edge between two corners."""
    curve = loop[j]
    if curve.centre is None or curve.closed or not LEAST_CORNER_RAD <= abs(curve.turn_rad) < CORNER_RAD:
        return False
    beside = (loop[j - 1], loop[(j + 1) % len(loop)])
    between_corners = all(b.centre is not None and b.radius < curve.radius for b in beside)
    return smooth_at(loop, j) and not between_corners


def is_slot_end(loop: Loop, j: int) -> bool:
    """Whether an arc is the half round end of a slot that is open at its other end."""
    before, after = loop[j - 1], loop[(j + 1) % len(loop)]
    straight = before.centre is None and after.centre is None
    if min(before.length, after.length) < loop[j].radius:  # a round end of something wide, not of a slot
        return False
    half = abs(abs(loop[j].turn_rad) - math.pi) < HALF_RAD
    return straight and half and smooth_at(loop, j)


def key_groove(loop: Loop, j: int) -> Feature | None:
    """The groove of a key in a bore: two walls and a floor square to them, where the bore's circle is left open."""
    bore = loop[j]
    if len(loop) != 4 or bore.centre is None:
        return None
    first, floor, last = (loop[(j + k) % 4] for k in (1, 2, 3))
    if any(c.centre is not None for c in (first, floor, last)):
        return None
    if not (square(first, floor) and square(floor, last)) or abs(first.length - last.length) > PARALLEL * bore.radius:
        return None
    along = first.heading(0.0)
    middle = floor.at(0.5)
    off = cross(along, (middle[0] - bore.centre[0], middle[1] - bore.centre[1]))
    reach = along[0] * (middle[0] - bore.centre[0]) + along[1] * (middle[1] - bore.centre[1])
    # Cut out of the bore's wall and in its middle; the depth counts from the wall at the key's centre line.
    if abs(off) > PARALLEL * bore.radius or reach <= bore.radius:
        return None
    sizes = [exact("width_mm", floor.length), exact("depth_mm", reach - bore.radius)]
    return made("keyway", middle, sizes, True, because("flat.key_groove"))


def square(a: Curve, b: Curve) -> bool:
    """Whether the way turns by a right angle, either way."""
    return abs(abs(bend_between(a, b)) - math.pi / 2) < SQUARE_RAD
