"""A hand-held scan of a worn part: true surface, triangles, what was seen, noise.

    vertices, faces = scan(stage_lift_shaft(), ScanSettings(), seed=7)
    write_ply(Path("lift_shaft.ply"), vertices, faces)

The scanner's error is stated, so that what a reader finds can be judged: see ScanSettings.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import radians
from typing import Literal

import numpy as np
import numpy.typing as npt
from scipy import sparse

from steadyrest.demo.scanning.nets import surface_net
from steadyrest.demo.scanning.noise import neighbours_of, slow_drift, surface_noise
from steadyrest.demo.scanning.ply import write_ply
from steadyrest.demo.scanning.sight import bridged, even_out, looks, seen_vertices
from steadyrest.demo.scanning.stage_lift import stage_lift_shaft
from steadyrest.demo.scanning.true_body import Distance, body_distance, on_break
from steadyrest.demo.scanning.true_part import TruePart, TrueSize, truth

__all__ = [
    "Pose", "ScanSettings", "TruePart", "TrueSize", "pose_of", "scan", "stage_lift_shaft", "truth", "write_ply",
]  # fmt: skip

Floats = npt.NDArray[np.float64]
Faces = npt.NDArray[np.int32]
Blind = Literal["holes", "bridged", "all seen"]

PROBE_MM = 0.02
EYES_APART_RAD = radians(18.0)
UNFOLDING = 6


@dataclass(frozen=True, slots=True)
class ScanSettings:
    """How the scan is taken.

    voxel_mm: grid of the fused mesh; triangles number about 3 areas / voxel^2: for the lift's shaft 150,000 at 0.82,
        half a million at 0.45.
    noise_mm: one sigma along the normal; correlation_mm: how far it hangs together.
    drift_mm: one sigma per component of the slow error along the part, of waves from drift_wave_mm up.
    scale_error: relative, the same everywhere.
    film_mm: thickness of the matting spray, uneven by a third of itself.
    blind: what becomes of surface nobody saw: a hole, a skin stretched over it, or all of it was in view.
    dropouts: round spots lost to glare or dirt, of radii between dropout_mm.
    looks: how many places the scanner looked from; steepest_rad: farthest that it still reads from square.
    posed: lay the part down at random, askew to every axis.
    """

    voxel_mm: float = 0.82
    noise_mm: float = 0.03
    correlation_mm: float = 0.8
    drift_mm: float = 0.01
    drift_wave_mm: float = 120.0
    scale_error: float = 1e-4
    film_mm: float = 0.0
    blind: Blind = "holes"
    dropouts: int = 0
    dropout_mm: tuple[float, float] = (2.0, 6.0)
    looks: int = 40
    steepest_rad: float = radians(70.0)
    posed: bool = True


@dataclass(frozen=True, slots=True)
class Pose:
    """Where the part lay: a point of the scan is turn @ point of the part + shift."""

    turn: Floats
    shift: Floats

    def back(self, points: Floats) -> Floats:
        """Points (n, 3) of the scan in the part's own frame."""
        return (points - self.shift) @ self.turn


def pose_of(part: TruePart, settings: ScanSettings, seed: int) -> Pose:
    """How a part lies in the scan of this seed; the part's middle stays within a part's length of the origin."""
    middle = np.array([0.0, 0.0, part.length_mm / 2])
    if not settings.posed:
        return Pose(np.eye(3), np.zeros(3))
    rng = np.random.default_rng([seed, 1])
    a, b, c, d = (q := rng.standard_normal(4)) / np.linalg.norm(q)
    turn = np.array(
        [
            [a * a + b * b - c * c - d * d, 2 * (b * c - a * d), 2 * (b * d + a * c)],
            [2 * (b * c + a * d), a * a - b * b + c * c - d * d, 2 * (c * d - a * b)],
            [2 * (b * d - a * c), 2 * (c * d + a * b), a * a - b * b - c * c + d * d],
        ]
    )
    return Pose(turn, rng.uniform(-0.5, 0.5, 3) * part.length_mm - turn @ middle)


def scan(part: TruePart, settings: ScanSettings, seed: int) -> tuple[Floats, Faces]:
    """The mesh that a hand-held scanner would deliver of a worn part.

    Args:
        part: as drawn and as worn.
        settings: how it is scanned.
        seed: same part, settings and seed give the same mesh, bit for bit on one machine.
    Returns: vertices (n, 3) mm, in the scanner's frame; faces (m, 3), outward.
    Raises: ValueError: nothing was seen at all.
    """
    rng = np.random.default_rng([seed, 2])
    distance = body_distance(part)
    points, faces, normals = _true_mesh(part, distance, settings, seed=seed, rng=rng)
    neighbours = neighbours_of(faces, len(points))
    points, normals = _unfolded(points, normals, faces, neighbours, distance, settings.voxel_mm)
    seen = _seen(part, settings, points, normals, neighbours, rng)
    off = settings.noise_mm * surface_noise(points, neighbours, correlation_mm=settings.correlation_mm, rng=rng)
    if settings.film_mm > 0.0:
        uneven = surface_noise(points, neighbours, correlation_mm=3 * settings.correlation_mm, rng=rng)
        off = off + settings.film_mm * np.maximum(1 + uneven / 3, 0.0)
    measured = points + off[:, None] * normals
    if settings.drift_mm > 0.0:
        measured = measured + settings.drift_mm * slow_drift(points, wave_mm=settings.drift_wave_mm, rng=rng)
    if settings.blind == "bridged":
        measured = bridged(measured, seen, neighbours)
    else:
        measured, faces = _only(measured, faces, seen)
    pose = pose_of(part, settings, seed)
    return (1 + settings.scale_error) * measured @ pose.turn.T + pose.shift, faces.astype(np.int32)


def _true_mesh(
    part: TruePart, distance: Distance, settings: ScanSettings, *, seed: int, rng: np.random.Generator
) -> tuple[Floats, npt.NDArray[np.int64], Floats]:
    """Vertices on the true surface in the part's frame, faces, and outward unit normals."""
    turn = pose_of(part, settings, seed).turn
    middle = np.array([0.0, 0.0, part.length_mm / 2])

    def in_grid(points: Floats, reach_mm: float) -> Floats:
        return distance(points @ turn + middle, reach_mm)

    half = np.array([part.largest_mm, part.largest_mm, part.length_mm]) / 2 + settings.voxel_mm
    reach = np.abs(turn) @ half
    vertices, faces = surface_net(in_grid, (reach[0], reach[1], reach[2]), settings.voxel_mm)
    points = vertices @ turn + middle
    points, normals = _onto(points, distance, settings.voxel_mm)
    sideways = rng.uniform(-0.18, 0.18, points.shape) * settings.voxel_mm
    sideways -= np.sum(sideways * normals, axis=1, keepdims=True) * normals
    points, normals = _onto(points + sideways, distance, settings.voxel_mm)
    return points, faces, normals


def _unfolded(
    points: Floats,
    normals: Floats,
    faces: npt.NDArray[np.int64],
    neighbours: sparse.csr_array,
    distance: Distance,
    voxel_mm: float,
) -> tuple[Floats, Floats]:
    """Points and normals without triangles folded over at sharp edges.

    Their corners are drawn to the middle of their neighbours and put back on the surface; those still folded after some
    rounds stay drawn, which blunts an inner corner a little, as fusing does.
    """
    count = np.asarray(neighbours.sum(axis=1))[:, None]
    points, normals = points.copy(), normals.copy()
    for k in range(UNFOLDING):
        a, b, c = (points[faces[:, corner]] for corner in range(3))
        facing = np.cross(b - a, c - a)
        around = np.zeros_like(points)
        for corner in range(3):
            np.add.at(around, faces[:, corner], facing)
        folded = np.unique(faces[np.einsum("ij,ij->i", facing, around[faces].sum(axis=1)) <= 0.0])
        if not len(folded):
            break
        points[folded] = (neighbours[folded] @ points) / count[folded]
        if k < UNFOLDING - 2:
            points[folded], normals[folded] = _onto(points[folded], distance, voxel_mm)
    return points, normals


def _seen(
    part: TruePart,
    settings: ScanSettings,
    points: Floats,
    normals: Floats,
    neighbours: sparse.csr_array,
    rng: np.random.Generator,
) -> npt.NDArray[np.bool_]:
    """Which vertices were scanned: in view, not under glare, and not on a break that was left out."""
    seen = np.ones(len(points), dtype=np.bool_)
    if settings.blind != "all seen":
        pairs = looks(settings.looks, EYES_APART_RAD, rng)
        seen = seen_vertices(points, normals, pairs, voxel_mm=settings.voxel_mm, steepest_rad=settings.steepest_rad)
        seen = even_out(seen, neighbours)
        if part.fracture and not part.fracture.seen:
            seen &= ~on_break(part.fracture, points, settings.voxel_mm / 4)
    for spot in points[rng.integers(0, len(points), settings.dropouts)]:
        seen &= np.linalg.norm(points - spot, axis=1) > rng.uniform(*settings.dropout_mm)
    return seen


def _onto(points: Floats, distance: Distance, voxel_mm: float) -> tuple[Floats, Floats]:
    """Points (n, 3) moved onto the surface along its normal, and those normals."""
    corners = PROBE_MM * np.array([[1.0, 1.0, 1.0], [1.0, -1.0, -1.0], [-1.0, 1.0, -1.0], [-1.0, -1.0, 1.0]])
    values = np.stack([distance(points + corner, 2 * voxel_mm) for corner in corners], axis=1)
    slope = values @ corners / (4 * PROBE_MM**2)
    square = np.maximum(np.sum(slope**2, axis=1, keepdims=True), 0.05)
    step = values.mean(axis=1, keepdims=True) / square
    return points - np.clip(step, -0.6 * voxel_mm, 0.6 * voxel_mm) * slope, slope / np.sqrt(square)


def _only(
    points: Floats, faces: npt.NDArray[np.int64], seen: npt.NDArray[np.bool_]
) -> tuple[Floats, npt.NDArray[np.int64]]:
    """The mesh without unseen vertices and the triangles that need them."""
    kept = faces[seen[faces].all(axis=1)]
    if not len(kept):
        raise ValueError("nothing of the part was seen")
    used, renumbered = np.unique(kept, return_inverse=True)
    return points[used], renumbered.reshape(-1, 3)
