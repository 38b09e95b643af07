"""Recesses turned into a face: a ring-shaped groove with walls on both sides, or a sunk middle too shallow for a wall.

The line of the profile, one radius a place, cannot show them; what tells one is a square face with material standing
round it beyond its own level.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from steadyrest.part.features.cut import Cut
from steadyrest.part.features.draft import Draft, exact, feature_of
from steadyrest.part.features.profile import Piece
from steadyrest.part.features.turned import SquareFace, best_radius_mm, plane_u_mm, reach
from steadyrest.part.patch import Patch
from steadyrest.shop.figure import because
from steadyrest.shop.part import Recess

LEAST_ROUND = 0.5  # of the whole ring that a floor must fill
LEAST_WALL_U_MM = 0.05  # of a wall that only two edges tell; judgement
LEAST_MM = 0.1  # of depth, in a scan: less is a face that is not quite flat


@dataclass(frozen=True, slots=True)
class Sunk:
    """A recess. floor: its face. mouth_mm: along the axis, mouth_u_mm one sigma. inner_mm, outer_mm: radii of its
    walls, u_mm of either; inner 0, or a bore's, where no wall stands there. closed: whether one does. walls: their
    surfaces. inner_round_mm, outer_round_mm: radius of a wall that rounds over into the mouth's face, else 0.
    """

    floor: SquareFace
    mouth_mm: float
    mouth_u_mm: float
    inner_mm: float
    outer_mm: float
    u_mm: float
    closed: bool
    walls: tuple[Patch, ...]
    inner_round_mm: float = 0.0
    outer_round_mm: float = 0.0

    @property
    def depth_mm(self) -> float:
        return abs(self.mouth_mm - self.floor.at_mm)

    @property
    def tag(self) -> str:
        return f"recess {self.floor.patch.id}"


def recesses_of(cut: Cut, faces: Sequence[SquareFace]) -> list[Sunk]:
    """The recesses of a turned part.

    Args:
        cut: all that is known of the part. faces: those square to the axis that no cut explains.
    Returns: one for each floor, in order along the axis.
    """
    return [sunk for face in faces if (sunk := recess_at(cut, face)) is not None]


def recess_at(cut: Cut, floor: SquareFace) -> Sunk | None:
    """The recess of which a face is the floor, or None."""
    tolerance = cut.slack.distance_mm + cut.slack.rounding_mm
    if floor.patch.area_mm2 < LEAST_ROUND * math.pi * (floor.outer_mm**2 - floor.inner_mm**2):
        return None
    least = max(LEAST_MM, 4 * cut.graph.noise_mm) if cut.graph.scan else 1e-6
    end = cut.line.outside[-1].high.at_mm if floor.sense > 0 else cut.line.outside[0].low.at_mm
    beyond = [f for f in cut.faces if f.sense == floor.sense and floor.sense * (f.at_mm - floor.at_mm) > least]
    round_it = [f for f in beyond if f.inner_mm > floor.outer_mm - tolerance]
    rim_face = min(round_it, key=lambda f: abs(f.at_mm - floor.at_mm), default=None)
    mouth = end if rim_face is None else rim_face.at_mm
    mouth_u = cut.slack.ragged_mm / 4 if rim_face is None else plane_u_mm(cut.graph, rim_face.patch)
    if floor.sense * (mouth - floor.at_mm) <= least:
        return None
    if faced(cut, floor, mouth, tolerance):
        return None
    middle = (floor.at_mm + mouth) / 2
    outside, bore = radius_at(cut.line.outside, middle), radius_at(cut.line.inside, middle)
    if outside is None or outside < floor.outer_mm + tolerance / 2 or (bore or 0.0) > floor.outer_mm - tolerance:
        return None
    within = [f for f in beyond if 0 < f.outer_mm < floor.inner_mm + tolerance]
    closed = bool(within) or (bore is not None and bore < floor.inner_mm - tolerance)
    rim = min((f.inner_mm for f in round_it), default=floor.outer_mm)
    outer, outer_u, outer_wall = wall_at(cut, floor.outer_mm, rim, middle, looks_in=True)
    over = round_wall_mm(cut, floor, floor.outer_mm, mouth)
    if not closed:
        return Sunk(floor, mouth, mouth_u, bore or 0.0, outer, outer_u, False, outer_wall, 0.0, over)
    core = max((f.outer_mm for f in within), default=floor.inner_mm)
    inner, inner_u, inner_wall = wall_at(cut, floor.inner_mm, core, middle, looks_in=False)
    both, u_mm = (*outer_wall, *inner_wall), max(outer_u, inner_u)
    rounded = round_wall_mm(cut, floor, floor.inner_mm, mouth)
    return Sunk(floor, mouth, mouth_u, inner, outer, u_mm, True, both, rounded, over)


def faced(cut: Cut, floor: SquareFace, mouth_mm: float, tolerance: float) -> bool:
    """Whether a face looks back at a floor on the way to its mouth: that is a groove in a bore, and no way out."""
    low, high = sorted((floor.at_mm, mouth_mm))
    return any(
        f.sense == -floor.sense
        and low < f.at_mm < high
        and f.inner_mm < floor.outer_mm - tolerance
        and f.outer_mm > floor.inner_mm + tolerance
        for f in cut.faces
    )


def radius_at(pieces: Sequence[Piece], along_mm: float) -> float | None:
    """The line's radius at a place, None where it has none."""
    for piece in pieces:
        if piece.low.at_mm <= along_mm <= piece.high.at_mm:
            if piece.ring is not None:
                return piece.ring.radius_at(along_mm)
            return float(
                np.interp(along_mm, (piece.low.at_mm, piece.high.at_mm), (piece.low_radius_mm, piece.high_radius_mm))
            )
    return None


def wall_at(
    cut: Cut, at_floor_mm: float, at_rim_mm: float, along_mm: float, *, looks_in: bool
) -> tuple[float, float, tuple[Patch, ...]]:
    """A wall's radius, one sigma of it and its surface: of a cylinder there, else half way between floor and rim."""
    tolerance = cut.slack.distance_mm + cut.slack.rounding_mm
    for patch in cut.graph.patches:
        if patch.kind != "cylinder" or patch.inside != looks_in or not cut.is_coaxial(patch):
            continue
        low, high = reach(patch, cut.frame, cut.slack)
        if low <= along_mm <= high and abs(best_radius_mm(patch) - at_floor_mm) < tolerance:
            return best_radius_mm(patch), max(patch.u_unworn_mm, patch.u_radius_mm), (patch,)
    if cut.graph.noise_mm <= 0:
        return at_floor_mm, 0.0, ()
    u_mm = max(abs(at_rim_mm - at_floor_mm) / 6, LEAST_WALL_U_MM)
    return (at_floor_mm + at_rim_mm) / 2, u_mm, ()


def round_wall_mm(cut: Cut, floor: SquareFace, at_floor_mm: float, mouth_mm: float) -> float:
    """The radius of a rounded rim that comes down to a floor as its wall; 0 where none does. Exact parts only."""
    tolerance = cut.slack.distance_mm
    if cut.graph.noise_mm > 0:
        return 0.0
    for patch in cut.graph.patches:
        if patch.kind != "torus" or not cut.is_coaxial(patch):
            continue
        centre = cut.frame.along_of(patch.point)
        at_floor = math.hypot(at_floor_mm - patch.radius_mm, floor.at_mm - centre)
        at_mouth = centre + floor.sense * patch.minor_mm
        if abs(at_floor - patch.minor_mm) < tolerance and abs(at_mouth - mouth_mm) < tolerance:
            return patch.minor_mm
    return 0.0


def recess_drafts(cut: Cut, sunk: Sequence[Sunk]) -> Iterator[Draft]:
    """Recesses as features: a groove where it has two walls, else a shallow bore; its floor is part of it."""
    for one in sunk:
        low, high = sorted((one.floor.at_mm, one.mouth_mm))
        depth = exact("depth_mm", one.depth_mm, math.hypot(plane_u_mm(cut.graph, one.floor.patch), one.mouth_u_mm))
        over = exact("diameter_mm", 2 * one.outer_mm, 2 * one.u_mm)
        wide = exact("width_mm", one.outer_mm - one.inner_mm, math.sqrt(2) * one.u_mm)
        patches = (one.floor.patch, *one.walls)
        feature = feature_of(
            "groove" if one.closed else "bore",
            patches,
            [wide, over, depth] if one.closed else [over, depth],
            axis=one.floor.patch.axis,
            at_mm=cut.frame.at((low + high) / 2),
            frame=cut.frame,
            along_mm=(low, high),
            through=None if one.closed else False,
            inside=True,
            why=(because("features.face_groove" if one.closed else "features.face_recess"),),
        )
        yield Draft(feature, one.tag, explains=frozenset(p.id for p in patches))


def profile_recess(one: Sunk, name: str | None) -> Recess:
    """A recess as the profile keeps it. name: id of its feature."""
    low, high = sorted((one.floor.at_mm, one.mouth_mm))
    inner, outer = 2 * one.inner_mm, 2 * one.outer_mm
    return Recess(low, high, inner, outer, one.floor.sense > 0, name, one.inner_round_mm, one.outer_round_mm)
