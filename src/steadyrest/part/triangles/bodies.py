"""Several bodies in one mesh: which triangles belong to which, so that one can be read alone.

A body is a closed surface with whatever hollow lies inside it. What is a hundredth of the largest or less is dust of
the scanner's, unless it has triangles enough to be a part of its own, a stud in a table; and an open surface is a piece
of something that was not seen whole: neither is a body.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import numpy.typing as npt

from steadyrest.part.triangles.mesh import Mesh, cleaned
from steadyrest.shop.part import Body
from steadyrest.trouble import BadInput

FloatArray = npt.NDArray[np.float64]
DUST, DUST_FACES = 0.01, 1000  # of the largest one's surface; from so many triangles it is no dust
MOST = 200  # shells; a mesh of more is torn, not an assembly


def bodies_of(mesh: Mesh) -> tuple[Body, ...]:
    """The bodies of a mesh, in the file's order.

    Args:
        mesh: cleaned.
    Returns: numbered from 1; none where there is one only, or where the surface is torn into more than 200.
    """
    return tuple(body for body, _ in _split(mesh))


def one_body(mesh: Mesh, number: int, name: str) -> Mesh:
    """One body of a mesh as a mesh of its own.

    Args:
        mesh: cleaned.
        number: from 1, as `bodies_of` counts.
        name: the file's, for messages.
    Returns: its triangles alone, with what reading the file mended and lost.
    Raises: BadInput: there is no such body.
    """
    found = _split(mesh)
    if not found:
        if number == 1:
            return mesh
        raise no_such_body(name, number, 1)
    if not 1 <= number <= len(found):
        raise no_such_body(name, number, len(found))
    used, corners = np.unique(mesh.faces[found[number - 1][1]], return_inverse=True)
    alone = cleaned(mesh.vertices[used], corners.reshape(-1, 3), where=name, unit=mesh.unit)
    return replace(alone, repaired=(*mesh.repaired, *alone.repaired), lost=(*mesh.lost, *alone.lost))


def no_such_body(name: str, number: int, there: int) -> BadInput:
    """The one line for a body that the file does not hold."""
    holds = "one body only" if there == 1 else f"{there} bodies"
    return BadInput(where=name, what=f"there is no body {number}: it holds {holds}.", do=f"Give 1 to {there}.")


def _split(mesh: Mesh) -> list[tuple[Body, npt.NDArray[np.bool_]]]:
    """Each body with its triangles."""
    if not 1 < mesh.shells <= MOST:
        return []
    from scipy.sparse import coo_array  # late, as in all that a solid is read with: it never asks this
    from scipy.sparse.csgraph import connected_components

    face, edge = np.nonzero(mesh.beside >= 0)
    joined = coo_array((np.ones(len(face)), (face, mesh.beside[face, edge])), shape=(len(mesh.faces),) * 2)
    count, shell = connected_components(joined, directed=False)
    middle = mesh.vertices.mean(axis=0)
    a, b, c = (mesh.vertices[mesh.faces[:, k]] - middle for k in range(3))
    sixth = np.einsum("ij,ij->i", a, np.cross(b, c)) / 6
    volume = np.bincount(shell, sixth, count)
    area = np.bincount(shell, np.linalg.norm(np.cross(b - a, c - a), axis=1) / 2, count)
    low = np.array([mesh.vertices[mesh.faces[shell == k]].min(axis=(0, 1)) for k in range(count)])
    high = np.array([mesh.vertices[mesh.faces[shell == k]].max(axis=(0, 1)) for k in range(count)])
    is_open = np.bincount(shell, (mesh.beside == -1).any(axis=1), count) > 0
    large = (area > DUST * area.max()) | (np.bincount(shell, minlength=count) >= DUST_FACES)
    outer = np.flatnonzero((volume > 0) & ~is_open & large)
    owner = np.arange(count)
    for hollow in np.flatnonzero((volume < 0) & ~is_open):
        around = [k for k in outer if (low[k] <= low[hollow]).all() and (high[k] >= high[hollow]).all()]
        if around:
            owner[hollow] = min(around, key=lambda k: float(volume[k]))
    if len(outer) < 2:
        return []
    found = list[tuple[Body, npt.NDArray[np.bool_]]]()
    for number, k in enumerate(outer.tolist(), start=1):
        x, y, z = (high[k] - low[k]).tolist()
        own = owner == k
        found.append((Body(number, (x, y, z), float(volume[own].sum())), own[shell]))
    return found
