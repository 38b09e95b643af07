"""Volume, centre of mass and inertia of what a closed mesh encloses.

Of unit density: a material makes masses of them. Exact for the mesh; how exact the mesh is, is another matter.
"""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

from steadyrest.part.triangles.mesh import Mesh
from steadyrest.shop.part import MassProperties, Vec3

FloatArray = npt.NDArray[np.float64]


def mass_properties(mesh: Mesh) -> MassProperties | None:
    """What a closed mesh encloses.

    Args:
        mesh: cleaned, in mm.
    Returns: volume, centre, inertia about the centre; None where the surface is open or encloses nothing.
    Source: tetrahedra from one point to each triangle; second moments of a tetrahedron about a corner are
        V/20 (sum a a^T + s s^T) with s the sum of its other corners. Checked in tests/checks/test_mass.py.
    """
    if mesh.volume is None or mesh.volume <= 0:
        return None
    origin = (mesh.vertices.min(axis=0) + mesh.vertices.max(axis=0)) / 2
    a, b, c = (mesh.vertices[mesh.faces[:, k]] - origin for k in range(3))
    sixths = np.einsum("ij,ij->i", a, np.cross(b, c))
    volume = float(sixths.sum()) / 6
    total = a + b + c
    centre = (sixths @ total) / 24 / volume
    second = sum(np.einsum("i,ij,ik->jk", sixths, corner, corner) for corner in (a, b, c, total)) / 120
    second = second - volume * np.outer(centre, centre)
    return MassProperties(volume, vec(centre + origin), inertia_of(second))


def inertia_of(second_mm5: FloatArray) -> tuple[Vec3, Vec3, Vec3]:
    """The inertia tensor from the second moments of volume, both about the same point: trace on the diagonal, less."""
    tensor = np.trace(second_mm5) * np.eye(3) - second_mm5
    return vec(tensor[0]), vec(tensor[1]), vec(tensor[2])


def vec(v: FloatArray) -> Vec3:
    return float(v[0]), float(v[1]), float(v[2])
