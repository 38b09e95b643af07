"""What a patch stands for: its numbers as fitted freely, and how well its points know each of them.

Numbers of a plane: its shift along the normal and two tilts about its middle. Of a cylinder: two shifts across the
axis, two tilts, the radius. All are changes from the free fit, so the free fit is nought.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
import numpy.typing as npt

from steadyrest.part.fit import solve
from steadyrest.part.fit.round import Turned, turned_slopes
from steadyrest.part.fit.solve import across, unit
from steadyrest.part.patch import Patch, PatchGraph
from steadyrest.part.segment.patches import DRIFT_MM, PULLS, radius_drift_mm
from steadyrest.shop.part import Vec3

FloatArray = npt.NDArray[np.float64]

LEAST_POINTS = 12
CLOSE = 3.0  # sigmas of noise within which a point speaks for its patch


@dataclass(frozen=True, slots=True)
class Standing:
    """A patch by its numbers.

    at: where its numbers begin among all. size: 3 for a plane, 5 for a cylinder. middle: (3,) about which it tilts.
    direction, u, v: (3,) unit, normal or axis and two across it. covariance: (size, size) of its numbers.
    reach_mm: how far its points lie from its middle. independent: how many points that share no noise.
    """

    patch: Patch
    at: int
    size: int
    middle: FloatArray
    direction: FloatArray
    u: FloatArray
    v: FloatArray
    covariance: FloatArray
    reach_mm: float
    independent: float

    @property
    def tilts(self) -> tuple[int, int]:
        """Where its two tilts stand among all numbers."""
        first = self.at + (1 if self.size == 3 else 2)
        return first, first + 1


def standings_of(graph: PatchGraph) -> tuple[Standing, ...]:
    """Every plane and cylinder of a scan that has points enough, in the order of the patches.

    Args:
        graph: a scan's patches with their points.
    Returns: standings, their numbers one after another.
    """
    out: list[Standing] = []
    at = 0
    for patch in graph.patches:
        made = standing_of(graph, patch, at) if patch.kind in ("plane", "cylinder") else None
        if made is not None:
            out.append(made)
            at += made.size
    return tuple(out)


def standing_of(graph: PatchGraph, patch: Patch, at: int) -> Standing | None:
    """One patch by its numbers, or None where too few points lie on it."""
    if patch.points is None or len(patch.points) < LEAST_POINTS or patch.invented > 0.5:
        return None
    direction, point = np.array(patch.axis), np.array(patch.point)
    u, v = across(direction)
    heard = graph.noise_mm
    if patch.kind == "plane":
        off = (patch.points - point) @ direction
        points = patch.points[np.abs(off) < CLOSE * graph.noise_mm]
        if len(points) < LEAST_POINTS:
            return None
        middle = points.mean(axis=0)
        middle -= ((middle - point) @ direction) * direction
        q = points - middle
        slopes = np.stack((np.ones(len(q)), q @ u, q @ v), axis=1)
    else:
        # A scanner sees less well into a hole than onto a face: a wall that fits worse than the noise is known worse.
        surface = Turned(point, direction, patch.radius_mm)
        off = surface.distances(patch.points)
        heard = max(heard, solve.heard(off[np.abs(off) < PULLS * heard], PULLS * heard))
        points = patch.points[np.abs(surface.distances(patch.points)) < CLOSE * heard]
        if len(points) < LEAST_POINTS:
            return None
        middle = point
        slopes = turned_slopes(surface, points)[1][:, :5]
    reach = float(np.quantile(np.linalg.norm(points - middle, axis=1), 0.95))
    independent = max(4.0, min(patch.area_mm2 / (2 * np.pi * max(graph.correlation_mm, 0.3) ** 2), len(points)))
    information = slopes.T @ slopes * (independent / len(points)) / heard**2
    scale = np.sqrt(np.maximum(np.diag(information), 1e-300))
    values, vectors = np.linalg.eigh(information / np.outer(scale, scale))
    covariance = (vectors / np.maximum(values, 1e-9)) @ vectors.T / np.outer(scale, scale)
    if patch.kind == "cylinder" and 4 * patch.u_radius_mm**2 < covariance[4, 4]:
        # Told by the planes to which it is tangent: it does not follow when its own axis is turned.
        covariance[4, :] = covariance[:, 4] = 0.0
        covariance[4, 4] = patch.u_radius_mm**2
    tilt = DRIFT_MM / max(reach, 1e-9)
    rounded = radius_drift_mm(patch.arc_rad)
    drift = [DRIFT_MM, tilt, tilt] if patch.kind == "plane" else [DRIFT_MM, DRIFT_MM, tilt, tilt, rounded]
    covariance += np.diag(np.square(drift))
    return Standing(patch, at, len(drift), middle, direction, u, v, covariance, reach, independent)


def moved(standing: Standing, numbers: FloatArray, u_numbers: FloatArray) -> Patch:
    """The patch after a change of its numbers.

    Args:
        standing: what its numbers mean. numbers: (size,) the change. u_numbers: (size,) one sigma of each afterwards.
    Returns: the patch with its place, direction, radius and how well they are known.
    """
    patch = standing.patch
    if standing.size == 3:
        axis = unit(standing.direction + numbers[1] * standing.u + numbers[2] * standing.v)
        middle = standing.middle - numbers[0] * standing.direction
        point = np.array(patch.point)
        point = point - ((point - middle) @ axis) * axis
        return replace(patch, point=vec(point), axis=vec(axis), u_axis_rad=float(u_numbers[1:3].max()))
    axis = unit(standing.direction + numbers[2] * standing.u + numbers[3] * standing.v)
    point = standing.middle + numbers[0] * standing.u + numbers[1] * standing.v
    change, u_mm = float(numbers[4]), float(u_numbers[4])
    return replace(
        patch, point=vec(point), axis=vec(axis), radius_mm=patch.radius_mm + change,
        unworn_mm=patch.unworn_mm + change if patch.unworn_mm > 0 else 0.0,
        u_radius_mm=min(patch.u_radius_mm, u_mm),
        u_unworn_mm=patch.u_unworn_mm if patch.wear_mm else min(patch.u_unworn_mm, u_mm),
        u_axis_rad=float(u_numbers[2:4].max()),
    )  # fmt: skip


def vec(array: FloatArray) -> Vec3:
    """A (3,) array as three floats."""
    return (float(array[0]), float(array[1]), float(array[2]))
