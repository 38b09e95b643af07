"""A mesh made from a solid: few exact triangles, whose corners lie on the true surfaces and whose faces are chords.

A *flat* is a set of triangles in one plane: a true plane, or one strip of something round. Strips follow one another
over *soft* edges. Cylinders and cones first (strips.py), then what stands about their axes (balls.py), then what an
exporter's errors hide (rough_rounds.py), then planes.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import numpy.typing as npt

from steadyrest.part.patch import Patch, PatchGraph
from steadyrest.part.segment import box
from steadyrest.part.segment.exact_mesh import coaxial
from steadyrest.part.segment.exact_mesh.balls import add_rings_and_balls
from steadyrest.part.segment.exact_mesh.flats import Flats, flats_of
from steadyrest.part.segment.exact_mesh.rough_rounds import add_whole_pieces
from steadyrest.part.segment.exact_mesh.strips import LEAST_STRIPS, SURE_STRIPS, add_strips
from steadyrest.part.segment.found import Found
from steadyrest.part.segment.joints import joints_of
from steadyrest.part.segment.noise import first_noise
from steadyrest.part.segment.patches import Scan, free_patch, patch_of, plane_through
from steadyrest.part.segment.skin import Skin
from steadyrest.part.triangles.bodies import bodies_of
from steadyrest.part.triangles.mesh import Mesh

IntArray = npt.NDArray[np.int64]

COPLANAR_SHARE = 0.3  # of the area that lies beside something coplanar: a scan has next to none
TOLERANCE = 4e-6  # of the size, for corners that should lie on a surface exactly; rounding of the file comes on top
PLANE_RATIO = 8.0  # a flat so much larger than the strips beside it is a plane
MOST_LONE = 2000  # planes of one triangle each; more are a crumpled skin, such as a thread cut into coarse triangles


def looks_made(skin: Skin) -> bool:
    """Whether a mesh was made from a solid rather than scanned.

    Args:
        skin: the mesh made ready.
    Returns: true if much of it is coplanar with its neighbour, or if it is smoother than any scanner.
    """
    beside = np.zeros(len(skin.facets), dtype=np.bool_)
    for k in range(3):
        other = skin.beside[:, k]
        fine = np.flatnonzero(other >= 0)
        cosine = np.einsum("ij,ij->i", skin.facet_normals[fine], skin.facet_normals[other[fine]])
        beside[fine[cosine > 1 - 5e-7]] = True
    total = float(skin.facet_areas.sum())
    if total > 0 and float(skin.facet_areas[beside].sum()) > COPLANAR_SHARE * total:
        return True
    return first_noise(skin) < 1e-4 * skin.spacing_mm


def graph_of(mesh: Mesh, skin: Skin, at: Callable[[str, float], None]) -> PatchGraph:
    """The patch graph of a mesh made from a solid.

    Args:
        mesh: cleaned. skin: made ready. at: told the stage, stops the work.
    Returns: the graph; its noise is nought.
    """
    tolerance = tolerance_of(skin)
    flats = flats_of(skin, tolerance)
    at("round surfaces", 0.4)
    found, whose = round_surfaces(skin, flats, tolerance, at)
    at("planes", 0.75)
    label = _with_planes(skin, flats, found, whose)
    found, label = coaxial.merged(skin, found, label, tolerance)
    found, label = coaxial.rings_of_cones(skin, found, label, tolerance)
    axis, share = coaxial.common_axis(skin, found, label)
    if axis is not None:
        found = [coaxial.aligned(f, axis, tolerance) for f in found]
    at("joints", 0.9)
    scan = Scan(skin, 0.0, 0.0, axis)
    patches: list[Patch] = [
        patch_of(number, one, np.flatnonzero(label == number), scan=scan) for number, one in enumerate(found)
    ]
    for piece in _free_pieces(skin, label):
        label[piece] = len(patches)
        patches.append(free_patch(len(patches), piece, skin))
    surfaces = (*found, *(None for _ in range(len(patches) - len(found))))
    joints = joints_of(skin, label.astype(np.int32), surfaces, least_mm=1e-4 * skin.size_mm)
    return PatchGraph(
        patches=tuple(patches), joints=joints, scan=True, box_mm=box.corners(skin.points),
        area_mm2=float(skin.facet_areas.sum()), volume_mm3=mesh.volume,
        solids=max(1, len(bodies_of(mesh))) if mesh.volume is not None else None,
        axis=(box.vec(axis.point), box.vec(axis.direction)) if axis else None, turned_share=share if axis else 0.0,
    )  # fmt: skip


def tolerance_of(skin: Skin) -> float:
    """How far a corner of an exact mesh may lie off its surface: its size, and the digits that the file kept.

    Args:
        skin: the mesh made ready.
    Returns: tolerance in the file's unit.
    """
    some = skin.points[:: max(1, len(skin.points) // 3000)].reshape(-1)
    largest = float(np.abs(some).max())
    quantum = 6e-8 * largest  # single precision
    for digits in range(1, 7):
        scaled = some * 10.0**digits
        if np.abs(scaled - np.round(scaled)).max() < 1e-7 * largest * 10.0**digits:
            quantum = max(quantum, 0.5 * 10.0**-digits)
            break
    return min(TOLERANCE * skin.size_mm + 2 * quantum, 1e-4 * skin.size_mm)


def round_surfaces(
    skin: Skin, flats: Flats, tolerance: float, at: Callable[[str, float], None]
) -> tuple[list[Found], IntArray]:
    """Cylinders, cones, spheres and rings among the flats.

    Args:
        skin: made ready. flats: its coplanar pieces. tolerance: how far corners may lie off. at: told the stage.
    Returns: finds; (flats,) which find each flat belongs to, -1 for none.
    """
    whose = np.full(len(flats.area), -1, dtype=np.int64)
    found: list[Found] = []
    at("round surfaces", 0.45)
    add_strips(skin, flats, found, whose, tolerance, SURE_STRIPS)
    at("rings", 0.55)
    add_rings_and_balls(skin, flats, found, whose, tolerance)
    at("small round surfaces", 0.65)
    add_whole_pieces(skin, flats, found, whose)
    add_strips(skin, flats, found, whose, tolerance, LEAST_STRIPS)
    return found, whose


def _with_planes(skin: Skin, flats: Flats, found: list[Found], whose: IntArray) -> IntArray:
    """Flats that are planes become finds; returns the find of each facet, -1 for none."""
    least_mm2 = 1e-6 * skin.size_mm**2
    lone = np.bincount(flats.label, minlength=len(flats.area)) == 1
    crumpled = np.count_nonzero(lone & (whose < 0) & (np.diff(flats.next_start) == 0)) > MOST_LONE

    def become_plane(k: int) -> None:
        members = flats.corners_of([k])
        whose[k] = len(found)
        found.append(Found(plane_through(skin.points[members], flats.normal[k]), members))

    order = [k for k in np.argsort(-flats.area, kind="stable").tolist() if not (crumpled and lone[k])]
    for k in order:
        rivals = [flats.area[j] for j in flats.soft(k) if whose[j] < 0]
        if whose[k] < 0 and flats.area[k] >= least_mm2 and flats.area[k] >= PLANE_RATIO * max(rivals, default=0.0):
            become_plane(k)
    # What hangs between planes only now has no soft neighbours left over: it gets a second hearing.
    for k in order:
        free = [j for j in flats.soft(k) if whose[j] < 0]
        if whose[k] < 0 and not free and flats.area[k] > least_mm2:
            become_plane(k)
    return whose[flats.label]


def _free_pieces(skin: Skin, label: IntArray) -> list[IntArray]:
    from scipy.sparse import coo_array
    from scipy.sparse.csgraph import connected_components

    loose = np.flatnonzero(label < 0)
    if not len(loose):
        return []
    place = np.full(len(label), -1, dtype=np.int64)
    place[loose] = np.arange(len(loose))
    f, k = np.nonzero(skin.beside[loose] >= 0)
    g = place[skin.beside[loose][f, k]]
    f, g = f[g >= 0], g[g >= 0]
    count, piece = connected_components(coo_array((np.ones(len(f)), (f, g)), shape=(len(loose),) * 2), directed=False)
    area = np.bincount(piece, weights=skin.facet_areas[loose], minlength=count)
    total = float(skin.facet_areas.sum())
    return [loose[piece == k] for k in np.argsort(-area, kind="stable")[:500] if area[k] > 1e-7 * total]
