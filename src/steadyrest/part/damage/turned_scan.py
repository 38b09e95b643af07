"""A scanned turned part seen from its axis: what every look for damage starts from."""

from __future__ import annotations

from dataclasses import dataclass
from math import tan

import numpy as np
import numpy.typing as npt

from steadyrest.part.fit.solve import across
from steadyrest.part.patch import Patch, PatchGraph
from steadyrest.part.segment.axis import turned_axis
from steadyrest.part.segment.skin import skin_of
from steadyrest.part.triangles.mesh import Mesh
from steadyrest.shop.part import Vec3

FloatArray = npt.NDArray[np.float64]

PARALLEL = 0.995  # cosine between a stretch's own axis and the part's
BENT_SHARE = 0.8  # of the surface not square to an axis that must be turned about it where no stretch was found
OFF_AXIS = 0.1  # of the radius: how far a bent stretch may lie off the axis and still be one


@dataclass(frozen=True, slots=True)
class Round:
    """A stretch of the outside: a cylinder, or a taper where the slope is not 0.

    from_mm, to_mm: along the axis. radius_mm: at from_mm, before wear. slope: radius by length. u_mm: of the radius.
    u_slope: of the slope. worn_mm: from and to of its worn part, or None.
    """

    from_mm: float
    to_mm: float
    radius_mm: float
    slope: float
    u_mm: float
    u_slope: float
    worn_mm: tuple[float, float] | None

    def radius_at(self, along_mm: float) -> float:
        """The radius of its line at a place along the axis, its ends passed or not."""
        return self.radius_mm + self.slope * (along_mm - self.from_mm)


@dataclass(frozen=True, slots=True)
class TurnedScan:
    """A scan about its axis.

    origin, ahead, u, v: (3,) a point of the axis, its direction, two square to it (u, v, ahead right-handed).
    along, x, y: (n,) of every corner, along from the origin. out, up: (n,) parts of the normal off and along the axis.
    areas: (n,) surface a corner stands for. spacing_mm: typical edge. rounds: outside stretches, by place.
    """

    mesh: Mesh
    origin: FloatArray
    ahead: FloatArray
    u: FloatArray
    v: FloatArray
    along: FloatArray
    x: FloatArray
    y: FloatArray
    out: FloatArray
    up: FloatArray
    areas: FloatArray
    spacing_mm: float
    noise_mm: float
    correlation_mm: float
    rounds: tuple[Round, ...]

    @property
    def radius(self) -> FloatArray:
        return np.hypot(self.x, self.y)

    @property
    def reach_mm(self) -> tuple[float, float]:
        """First and last place along the axis where there is surface."""
        return float(self.along.min()), float(self.along.max())


def turned_scan(mesh: Mesh, graph: PatchGraph) -> TurnedScan | None:
    """A scan about the axis that its turned surface shares.

    Args:
        mesh: cleaned, in mm. graph: of this mesh.
    Returns: the scan; None if the part is not turned, or is a model: exact surface has no noise and no damage.
    """
    if not graph.scan or graph.noise_mm <= 0:
        return None
    axis = graph.axis or _bent_axis(mesh)
    if axis is None:
        return None
    origin, ahead = np.array(axis[0]), np.array(axis[1])
    u, v = across(ahead)
    q = mesh.vertices - origin
    x, y = q @ u, q @ v
    normals, areas, spacing = _normals(mesh)
    away = np.maximum(np.hypot(x, y), 1e-9)
    out = ((normals @ u) * x + (normals @ v) * y) / away
    rounds = sorted(filter(None, (_round(p, origin, ahead) for p in graph.patches)), key=lambda r: r.from_mm)
    return TurnedScan(
        mesh=mesh, origin=origin, ahead=ahead, u=u, v=v, along=q @ ahead, x=x, y=y, out=out, up=normals @ ahead,
        areas=areas, spacing_mm=spacing, noise_mm=graph.noise_mm, correlation_mm=graph.correlation_mm,
        rounds=tuple(rounds),
    )  # fmt: skip


def _bent_axis(mesh: Mesh) -> tuple[Vec3, Vec3] | None:
    """The axis that the normals of most of the surface meet, though no stretch was found round it: it may be bent."""
    found = turned_axis(skin_of(mesh))
    if found is None or found.share < BENT_SHARE:
        return None
    (a, b, c), (d, e, f) = found.point.tolist(), found.direction.tolist()
    return (a, b, c), (d, e, f)


def _normals(mesh: Mesh) -> tuple[FloatArray, FloatArray, float]:
    """Unit normals and areas of the corners, and the typical edge."""
    a, b, c = (mesh.vertices[mesh.faces[:, k]] for k in range(3))
    facing = np.cross(b - a, c - a)
    size = np.linalg.norm(facing, axis=1)
    n = len(mesh.vertices)
    total, areas = np.zeros((n, 3)), np.zeros(n)
    for k in range(3):
        for j in range(3):
            total[:, j] += np.bincount(mesh.faces[:, k], weights=facing[:, j], minlength=n)
        areas += np.bincount(mesh.faces[:, k], weights=size / 6, minlength=n)
    length = np.maximum(np.linalg.norm(total, axis=1), 1e-300)
    return total / length[:, None], areas, float(np.median(np.linalg.norm(b - a, axis=1)))


def _round(patch: Patch, origin: FloatArray, ahead: FloatArray) -> Round | None:
    """A patch as an outside stretch about the axis, if it is one."""
    if patch.inside or patch.kind not in ("cylinder", "cone"):
        return None
    own = np.array(patch.axis)
    turn = float(own @ ahead)
    q = np.array(patch.point) - origin
    place = float(q @ ahead)
    off = float(np.linalg.norm(q - place * ahead))
    ends = sorted(place + float(np.sign(turn)) * end for end in patch.along_mm)
    if abs(turn) < PARALLEL or ends[1] <= ends[0]:
        return None
    if patch.kind == "cone":
        slope = float(np.sign(turn)) * tan(patch.half_angle_rad)
        first = abs(slope * (ends[0] - place))
        if off > OFF_AXIS * max(first, abs(slope * (ends[1] - place))):
            return None
        return Round(ends[0], ends[1], first, slope, patch.u_radius_mm, patch.u_axis_rad, None)
    if off > OFF_AXIS * patch.radius_mm:
        return None
    worn = patch.wear_along_mm if patch.wear_mm else None
    where: tuple[float, float] | None = None
    if worn is not None:
        low, high = sorted(place + float(np.sign(turn)) * end for end in worn)
        where = (low, high)
    radius = patch.unworn_mm or patch.radius_mm
    return Round(ends[0], ends[1], radius, 0.0, max(patch.u_unworn_mm, patch.u_radius_mm), 0.0, where)
