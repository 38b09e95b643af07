"""Countersinks of a scan: the angle that a tool has, where the evidence is for it, and the rim that goes with it.

A small countersink shows two or three millimetres of slant between two rounded edges. Freely fitted, its angle is off
by a degree or two, and carried out to the face its rim by a tenth. Countersinks come at few angles: where the middle
of the slant does not speak against one of them (BIC, one number saved), that angle is taken, and only the level of the
slant is left to fit. Not here: turned parts' chamfers and tapers, which are made at any angle.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from steadyrest.part.features.block import Block
from steadyrest.part.features.frame import dot, minus
from steadyrest.part.features.turned import plane_u_mm
from steadyrest.part.patch import Patch

TOOLS_DEG = (60.0, 82.0, 90.0, 100.0, 120.0)  # countersinks and deburring tools; common practice, no source
ROUNDED_MM = 0.5  # of the slant at either end, where the edges that it meets are rounded
LEAST_POINTS = 20
DRIFT_MM = 0.006
TOLD_APART = 3.0  # sigmas by which every other tool must be ruled out
NEAR_DEG = 6.0  # farther off is no tool's


@dataclass(frozen=True, slots=True)
class Sink:
    """A cone as it is said. diameter_mm: at its wide end. depth_mm: along the axis. standard: at a tool's angle.

    u_diameter_mm, u_angle_deg: one sigma of the diameter at the rim and of the whole angle.
    free_diameter_mm: the plain fit's diameter at the rim.
    """

    half_angle_rad: float
    diameter_mm: float
    depth_mm: float
    free_diameter_mm: float
    u_diameter_mm: float
    u_angle_deg: float
    standard: bool


def sink_of(block: Block, cone: Patch, face: Patch | None, rim_mm: float, *, at_hole: bool) -> Sink:
    """A cone's sizes, at a tool's angle where the evidence is for one.

    Args:
        block: the part. cone: its cone. face: the plane in which it opens, None where its surface just ends.
        rim_mm: from the apex to that end, along the axis. at_hole: whether it opens out of a hole.
    Returns: the sizes.
    """
    slope = math.tan(cone.half_angle_rad)
    low, high = cone.along_mm
    u_rim, u_angle = free_u(block, cone)
    plain = Sink(cone.half_angle_rad, 2 * rim_mm * slope, rim_mm - low, 2 * rim_mm * slope, u_rim, u_angle, False)
    if block.graph.noise_mm <= 0 or cone.points is None or not at_hole or low <= 0:
        return plain
    q = cone.points - np.array(cone.point)
    along = q @ np.array(cone.axis)
    radius = np.sqrt(np.maximum(np.einsum("ij,ij->i", q, q) - along * along, 0.0))
    edge = min(ROUNDED_MM * math.cos(cone.half_angle_rad), 0.25 * (high - low))
    off = np.abs(radius - along * slope) * math.cos(cone.half_angle_rad)
    middle = (along > low + edge) & (along < high - edge) & (off < 4 * max(block.graph.noise_mm, cone.rms_mm))
    if np.count_nonzero(middle) < LEAST_POINTS:
        return plain
    t, rho = along[middle], radius[middle]
    heard = max(block.graph.noise_mm, cone.rms_mm) / math.cos(cone.half_angle_rad)
    share = float(t.max() - t.min()) / max(high - low, 1e-9)
    independent = min(
        float(len(t)), max(4.0, share * cone.area_mm2 / (2 * math.pi * max(block.graph.correlation_mm, 0.3) ** 2))
    )
    centre, spread = float(t.mean()), float(t.std())
    if spread < 1e-9:
        return plain
    found = float(np.sum((t - centre) * (rho - rho.mean())) / np.sum(np.square(t - centre)))
    u_level = heard / math.sqrt(independent)
    u_slope = math.hypot(u_level, DRIFT_MM) / spread
    costs = sorted((((found - math.tan(math.radians(deg / 2))) / u_slope) ** 2, deg) for deg in TOOLS_DEG)
    (cost, tool), (second, _) = costs[:2]
    wanted = math.tan(math.radians(tool / 2))
    off_deg = abs(2 * math.degrees(math.atan(found)) - tool)
    if cost > math.log(max(independent, 2.0)) or second < TOLD_APART**2 or off_deg > NEAR_DEG:
        return plain
    level = float(rho.mean()) + wanted * (rim_mm - centre)
    u_face = plane_u_mm(block.graph, face) if face is not None else block.slack.ragged_mm
    u_mm = 2 * math.hypot(u_level, DRIFT_MM, wanted * u_face)
    narrow = float(rho.mean()) + wanted * (low - centre)
    return Sink(
        math.radians(tool / 2), 2 * level, (level - narrow) / wanted, plain.diameter_mm, u_mm,
        min(u_angle, 1.0), True,
    )  # fmt: skip


def free_u(block: Block, cone: Patch) -> tuple[float, float]:
    """One sigma of a scanned cone's diameter at its rim, mm, and of its angle, degrees; 0 for an exact one."""
    if block.graph.noise_mm <= 0:
        return 0.0, 0.0
    slant = (cone.along_mm[1] - cone.along_mm[0]) / math.cos(cone.half_angle_rad)
    tilt = math.sqrt(12) * math.hypot(cone.u_radius_mm, 0.01) / max(slant, 1e-9)
    return 2 * math.hypot(cone.u_radius_mm, tilt * slant / 2, 0.01), 2 * math.degrees(tilt)


def face_of(block: Block, cone: Patch, high_mm: float) -> tuple[Patch | None, float]:
    """The face in which a scanned cone opens, and how far from its apex; where its surface ends if none is near."""
    if block.graph.noise_mm <= 0:
        return None, high_mm
    places = [
        (abs(place - high_mm), place, p)
        for _, p in block.joints_at(cone)
        if p.kind == "plane" and abs(dot(p.axis, cone.axis)) > 0.97
        if abs((place := dot(minus(p.point, cone.point), p.axis) / dot(cone.axis, p.axis)) - high_mm)
        < 2 * block.slack.rounding_mm
    ]
    nearest = min(places, key=lambda found: found[0], default=None)
    return (None, high_mm) if nearest is None else (nearest[2], nearest[1])
