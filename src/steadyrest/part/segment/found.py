"""What a finder hands on: a surface and the points that lie on it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from steadyrest.part.fit.flat import Plane
from steadyrest.part.fit.round import Ring, Sphere, Turned

Surface = Plane | Turned | Sphere | Ring
FloatArray = npt.NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Found:
    """A surface found on the mesh.

    surface: the plain fit. members: (k,) indices of its points. inside: material lies outside of it.
    coaxial: it is turned round the part's axis. level_mm: radius seen from that axis where coaxial, else 0.
    part_seen: much of it was not seen, so that no wear can be told on it.
    tangent: (3,) how its middle moves as its radius grows, where it is a round between two planes; else None.
    lobes: how often it rises and falls round that axis, fluted or knurled; 1 where it is too fine to be counted, 0 for
    a plain surface. crest_mm: radius over what rises, where lobes stand straight and were counted.
    """

    surface: Surface
    members: npt.NDArray[np.int64]
    inside: bool = False
    coaxial: bool = False
    level_mm: float = 0.0
    lobes: int = 0
    crest_mm: float = 0.0
    part_seen: bool = False
    tangent: FloatArray | None = None


def outward(surface: Surface, inside: bool, points: FloatArray) -> FloatArray:
    """Unit normals of a surface beside given points, out of the material.

    Args:
        surface: plane, cylinder, cone, sphere or ring. inside: whether material lies outside of it. points: (n, 3).
    Returns: (n, 3).
    """
    match surface:
        case Plane():
            return np.broadcast_to(surface.normal, points.shape)
        case Turned():
            q = points - surface.point
            away = q - np.outer(q @ surface.axis, surface.axis)
            away /= np.maximum(np.linalg.norm(away, axis=1), 1e-12)[:, None]
            out = away * np.cos(surface.half_angle_rad) - surface.axis * np.sin(surface.half_angle_rad)
        case Sphere():
            out = points - surface.centre
        case Ring():
            q = points - surface.centre
            away = q - np.outer(q @ surface.axis, surface.axis)
            away /= np.maximum(np.linalg.norm(away, axis=1), 1e-12)[:, None]
            out = q - away * surface.radius_mm
    out = out / np.maximum(np.linalg.norm(out, axis=1), 1e-12)[:, None]
    return -out if inside else out
