"""What a machinist calls an arc of a turned part's line: a ball, a dome, a radiused groove, a full radius."""

from __future__ import annotations

import math
from itertools import pairwise

from steadyrest.part.features.cut import Cut
from steadyrest.part.features.draft import exact, feature_of
from steadyrest.part.features.profile import Piece
from steadyrest.shop.figure import Reason, because
from steadyrest.shop.part import Feature, FeatureKind, Size, Stretch

CHORD_RAD = math.radians(6.0)  # what each short taper of an arc's profile turns
FEWEST_CHORDS = 4
LEAST_MM = 1e-6
OVER = 0.05  # of its radius: how far a ball goes beyond its middle to be measured over it
LEAST_DEPTH = 0.25  # of its radius: a shallower groove is the run-out of a corner


def arc_feature(cut: Cut, piece: Piece, before: Piece | None, after: Piece | None) -> Feature:
    """An arc of the line as a feature.

    Args:
        cut: all that is known of the part. piece: the arc. before, after: what touches it in the line.
    Returns: the feature, its radius (a ball's diameter, where it can be taken over the ball) first.
    """
    assert piece.ring is not None
    assert piece.ring.arc is not None
    arc, main = piece.ring.arc, piece.ring.main
    low, high = piece.low.at_mm, piece.high.at_mm
    radius = exact("radius_mm", arc.radius_mm, main.u_radius_mm)
    kind: FeatureKind
    sizes: list[Size]
    if main.kind == "sphere":
        # Over a ball that stands out on both sides of its middle, a gauge takes the diameter.
        over = not arc.inner and min(arc.at_mm - low, high - arc.at_mm) > OVER * arc.radius_mm
        kind, why = "sphere", because("features.ball" if over else "features.dome_ball")
        sizes = [exact("diameter_mm", 2 * arc.radius_mm, 2 * main.u_radius_mm)] if over else [radius]
    elif main.minor_mm > main.radius_mm + 1e-9:
        kind, why, sizes = "free", because("features.dome"), [radius]
    elif is_radiused_groove(piece, before, after):
        assert before is not None
        assert after is not None
        floor = arc.off_mm + (-1 if arc.sags else 1) * arc.radius_mm
        sides = (before.high_radius_mm, after.low_radius_mm)
        depth = abs(floor - (max(sides) if arc.inner else min(sides)))
        u_mm = math.hypot(main.u_radius_mm, main.u_unworn_mm)
        kind, why = "groove", because("features.radiused")
        sizes = [
            exact("width_mm", high - low, piece.length_u_mm),
            exact("diameter_mm", 2 * floor, 2 * u_mm),
            exact("depth_mm", depth, u_mm),
            radius,
        ]
    else:
        kind, why, sizes = "fillet", because("features.full_radius"), [radius]
    reasons: tuple[Reason, ...] = (why,)
    return feature_of(
        kind,
        piece.ring.patches,
        sizes,
        axis=cut.frame.axis,
        at_mm=cut.frame.at((low + high) / 2),
        frame=cut.frame,
        along_mm=(low, high),
        inside=arc.inner if main.kind == "sphere" else main.inside,
        why=reasons,
    )


def is_radiused_groove(piece: Piece, before: Piece | None, after: Piece | None) -> bool:
    """Whether an arc is a groove of its own shape between two neighbours that both stand over its floor."""
    arc = piece.ring.arc if piece.ring is not None else None
    if arc is None or before is None or after is None or arc.sags == arc.inner:
        return False
    floor = arc.off_mm + (-1 if arc.sags else 1) * arc.radius_mm
    depths = [(floor - side) if arc.inner else (side - floor) for side in (before.high_radius_mm, after.low_radius_mm)]
    return min(depths) > LEAST_DEPTH * arc.radius_mm


def chords(piece: Piece, name: str | None) -> list[Stretch]:
    """An arc of the line as a row of short tapers that lie on it: all who read a profile can.

    Args:
        piece: the arc. name: id of its feature.
    Returns: stretches from end to end; off the arc by less than a two-hundredth of its radius.
    """
    assert piece.ring is not None
    assert piece.ring.arc is not None
    arc, low, high = piece.ring.arc, piece.low.at_mm, piece.high.at_mm
    turn = arc.turn_rad(low, high)
    many = max(FEWEST_CHORDS, math.ceil(turn / CHORD_RAD))
    first = math.acos(min(1.0, max(-1.0, (low - arc.at_mm) / arc.radius_mm)))
    between = [arc.at_mm + arc.radius_mm * math.cos(first - turn * k / many) for k in range(1, many)]
    places = sorted({low, high, *(x for x in (*between, arc.at_mm) if low + LEAST_MM < x < high - LEAST_MM)})
    return [Stretch(a, b, 2 * arc.radius_at(a), 2 * arc.radius_at(b), name) for a, b in pairwise(places)]
