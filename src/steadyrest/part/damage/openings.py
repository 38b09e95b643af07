"""Where a scan's surface is open: each hole in it by place, size and shape.

A hole in a scan is surface that nobody saw. It may be a crack, a piece that is gone, or a place where the scanner could
not look; the scan does not tell which, and this does not pretend to.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np
import numpy.typing as npt

from steadyrest.part.triangles.mesh import Mesh
from steadyrest.shop.figure import Reason, because
from steadyrest.shop.part import Vec3

FloatArray = npt.NDArray[np.float64]
OpeningShape = Literal["slit", "hole", "end"]

SLIT = 0.2  # breadth by length from which an opening is no slit
END_SHARE = 0.6  # of the part's breadth there that an opening at an end spans
SMALLEST = 4.0  # edges: what is smaller is a missing triangle or two


@dataclass(frozen=True, slots=True)
class Opening:
    """One open edge loop.

    at_mm: its middle, in the file's frame. length_mm, breadth_mm: along its own directions. edge_mm: round it.
    shape: "end" where it spans an end of the part, "slit" where it is long and narrow, else "hole".
    loop: (k,) corners of the mesh, in order, read-only.
    """

    at_mm: Vec3
    length_mm: float
    breadth_mm: float
    edge_mm: float
    shape: OpeningShape
    loop: npt.NDArray[np.int64]
    why: Reason
    ask: Reason


def openings_of(mesh: Mesh, axis: tuple[Vec3, Vec3] | None) -> tuple[Opening, ...]:
    """Every opening worth a look, the longest first.

    Args:
        mesh: cleaned, in mm. axis: of a turned part (point, direction), or None.
    Returns: the openings; those of a few edges are left out.
    """
    loops = _loops(mesh)
    if not loops:
        return ()
    edge = np.concatenate([_edges(mesh, loop) for loop in loops])
    least = SMALLEST * float(np.median(edge))
    found = [_opening(mesh, loop, axis) for loop in loops]
    return tuple(sorted((o for o in found if o.length_mm > least), key=lambda o: (-o.length_mm, int(o.loop[0]))))


def _loops(mesh: Mesh) -> list[npt.NDArray[np.int64]]:
    """Open edges chained end to end; where several meet at a corner, any chain through it is as good."""
    face, k = np.nonzero(mesh.beside == -1)
    first, last = mesh.faces[face, k].astype(np.int64), mesh.faces[face, (k + 1) % 3].astype(np.int64)
    after: dict[int, list[int]] = {}
    for a, b in zip(first.tolist(), last.tolist(), strict=True):
        after.setdefault(a, []).append(b)
    loops = list[npt.NDArray[np.int64]]()
    for start in first.tolist():
        if not after.get(start):
            continue
        loop, here = [start], start
        while after.get(here):
            here = after[here].pop()
            if here == start:
                break
            loop.append(here)
        loops.append(np.array(loop, dtype=np.int64))
    return loops


def _edges(mesh: Mesh, loop: npt.NDArray[np.int64]) -> FloatArray:
    points = mesh.vertices[loop]
    return np.linalg.norm(points - np.roll(points, -1, axis=0), axis=1)


def _opening(mesh: Mesh, loop: npt.NDArray[np.int64], axis: tuple[Vec3, Vec3] | None) -> Opening:
    points = mesh.vertices[loop]
    middle = points.mean(axis=0)
    q = points - middle
    directions = np.linalg.svd(q, full_matrices=False)[2] if len(loop) >= 3 else np.eye(3)
    spans = np.sort(np.ptp(q @ directions.T, axis=0))[::-1]
    length, breadth = float(spans[0]), float(spans[1])
    shape: OpeningShape = "slit" if breadth < SLIT * length else "hole"
    if axis is not None and _at_end(mesh, points, axis):
        shape = "end"
    loop.setflags(write=False)
    place = (float(middle[0]), float(middle[1]), float(middle[2]))
    why, ask = {
        "end": (because("damage.open_end", length_mm=round(length, 1)), because("damage.ask_end")),
        "slit": (
            because("damage.open_slit", length_mm=round(length, 1), breadth_mm=round(breadth, 1)),
            because("damage.ask_crack"),
        ),
        "hole": (
            because("damage.open_hole", length_mm=round(length, 1), breadth_mm=round(breadth, 1)),
            because("damage.ask_missing"),
        ),
    }[shape]
    return Opening(
        at_mm=place, length_mm=length, breadth_mm=breadth, edge_mm=float(_edges(mesh, loop).sum()), shape=shape,
        loop=loop, why=why, ask=ask,
    )  # fmt: skip


def _at_end(mesh: Mesh, points: FloatArray, axis: tuple[Vec3, Vec3]) -> bool:
    """Whether an opening goes round the axis at one end of a part."""
    origin, ahead = np.array(axis[0]), np.array(axis[1])
    q = points - origin
    flat = q - np.outer(q @ ahead, ahead)
    breadth = float(np.linalg.norm(flat, axis=1).mean())
    all_along = (mesh.vertices - origin) @ ahead
    low, high = float(all_along.min()), float(all_along.max())
    place = float((q @ ahead).mean())
    by_end = min(place - low, high - place) < max(0.1 * (high - low), breadth)
    near = np.abs(all_along - place) < max(breadth, 1e-9)
    away = mesh.vertices[near] - origin
    away = away - np.outer(away @ ahead, ahead)
    widest = float(np.quantile(np.linalg.norm(away, axis=1), 0.9)) if len(away) else 0.0
    round_it = float(np.linalg.norm(flat.mean(axis=0))) < 0.4 * breadth
    return by_end and round_it and breadth > END_SHARE * widest
