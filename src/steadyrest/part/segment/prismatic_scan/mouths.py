"""Where holes open into the flat faces of a scan: the rims that a face leaves free, and what was found to begin there.

A small hole says little about its own direction: a scanner sees a diameter deep into it. The face into which it opens
says it well, and its rim says where the hole is even if nothing of the wall was believed.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from steadyrest.part.fit.flat import Plane, circle_by_algebra
from steadyrest.part.fit.round import Turned
from steadyrest.part.fit.solve import across
from steadyrest.part.segment.found import Found
from steadyrest.part.segment.prismatic_scan.inner import placed_inside
from steadyrest.part.segment.prismatic_scan.regions import Limits
from steadyrest.part.segment.prismatic_scan.settled import is_hollow
from steadyrest.part.segment.prismatic_scan.upright import sectors
from steadyrest.part.segment.skin import Skin

FloatArray = npt.NDArray[np.float64]
IntArray = npt.NDArray[np.int64]
BoolArray = npt.NDArray[np.bool_]

LEAST_FACE = 10.0  # of the least area of a find: smaller planes say too little about a direction
LEAST_RIM = 8  # points
ROUND_RIM, RIM_OFF = 13, 0.12  # of 16 sectors that a rim must fill; rms off its circle, of its radius
AROUND = 12  # of 16 sectors in which a face must go on beside a hole: beside a slot's end it does in half of them
LARGEST = 0.2  # of the part's size: a larger rim is no small hole's
ASKEW = 0.93  # cosine: a half seen hole is found as far askew as that
WITHIN, BESIDE_MM = 0.75, 0.7  # of the radius: nearer to its line no point of the face lies; edges are rounded so far


@dataclass(frozen=True, slots=True)
class Mouth:
    """Where a hole may open. at: (3,) in the face. axis: (3,) unit, out of it. radius_mm: of the rim or the find.

    is_rim: the face itself shows a round rim.
    """

    at: FloatArray
    axis: FloatArray
    radius_mm: float
    is_rim: bool


def faces_of(skin: Skin, found: Sequence[Found], *, limits: Limits) -> list[Found]:
    """The flat faces large enough to know their direction, placed by their inner points, the largest first."""
    least = LEAST_FACE * limits.least_mm2
    flats = [f for f in found if isinstance(f.surface, Plane) and float(skin.areas[f.members].sum()) > least]
    return sorted((placed_inside(skin, f, limits=limits) for f in flats), key=lambda f: -len(f.members))


def mouths_of(skin: Skin, found: Sequence[Found], *, limits: Limits) -> list[Mouth]:
    """Every mouth of a hole in a flat face, those of finds first.

    Args:
        skin: the mesh made ready. found: finds of one scan. limits: what counts.
    Returns: mouths; one hole may have several.
    """
    faces = faces_of(skin, found, limits=limits)
    begun = [mouth for f in found if is_hollow(f) for mouth in [begins_in(skin, f, faces)] if mouth is not None]
    return begun + [mouth for face in faces for mouth in rims_in(skin, face)]


def begins_in(skin: Skin, found: Found, faces: Sequence[Found]) -> Mouth | None:
    """The mouth of a hollow cylinder in the largest face that it opens into, or None."""
    hole = found.surface
    assert isinstance(hole, Turned)
    middle = skin.points[found.members].mean(axis=0)
    for face in faces:
        plane = face.surface
        assert isinstance(plane, Plane)
        lean = float(plane.normal @ hole.axis)
        if abs(lean) < ASKEW:
            continue
        point = hole.point + float((middle - hole.point) @ hole.axis) * hole.axis
        height = (skin.points[found.members] - plane.point) @ plane.normal
        low, high = (float(h) for h in np.quantile(height, (0.02, 0.98)))
        if low > 0 or high < -hole.radius_mm or not goes_round(skin, face, point, hole.radius_mm):
            continue
        at = point - float((point - plane.point) @ plane.normal) * plane.normal
        return Mouth(at, plane.normal, hole.radius_mm, is_rim=False)
    return None


def goes_round(skin: Skin, face: Found, point: FloatArray, radius_mm: float) -> bool:
    """Whether a face goes on round a hole, and not across it."""
    plane = face.surface
    assert isinstance(plane, Plane)
    u, v = across(plane.normal)
    q = skin.points[face.members] - point
    x, y = q @ u, q @ v
    rho = np.hypot(x, y)
    near = rho < 1.3 * radius_mm + 2 * skin.spacing_mm + BESIDE_MM
    within = np.count_nonzero(rho < WITHIN * radius_mm)
    return sectors(x[near], y[near]) >= AROUND and bool(within <= 0.02 * np.count_nonzero(near))


def rims_in(skin: Skin, face: Found) -> list[Mouth]:
    """The round rims that a face leaves free within it."""
    plane = face.surface
    assert isinstance(plane, Plane)
    u, v = across(plane.normal)
    q = skin.points[face.members] - plane.point
    x, y = q @ u, q @ v
    out: list[Mouth] = []
    for rim in borders_of(skin, face.members):
        if len(rim) < LEAST_RIM:
            continue
        r = skin.points[rim] - plane.point
        flat = np.stack((r @ u, r @ v), axis=1)
        circle = circle_by_algebra(flat)
        away = flat - circle.centre
        off = np.hypot(away[:, 0], away[:, 1]) - circle.radius_mm
        if not 1.2 * skin.spacing_mm < circle.radius_mm < LARGEST * skin.size_mm / 2:
            continue
        allowed = RIM_OFF * circle.radius_mm + 0.2 * skin.spacing_mm
        if float(np.sqrt(np.mean(off * off))) > allowed or sectors(away[:, 0], away[:, 1]) < ROUND_RIM:
            continue
        if (np.hypot(x - circle.centre[0], y - circle.centre[1]) < WITHIN * circle.radius_mm).any():
            continue
        out.append(
            Mouth(
                plane.point + circle.centre[0] * u + circle.centre[1] * v, plane.normal, circle.radius_mm, is_rim=True
            )
        )
    return out


def borders_of(skin: Skin, members: IntArray) -> list[IntArray]:
    """Points of a find at its border, those that share a free neighbour together: one loop after another."""
    from scipy.sparse import coo_array
    from scipy.sparse.csgraph import connected_components

    belongs = np.zeros(len(skin.points), dtype=np.bool_)
    belongs[members] = True
    counts = skin.start[members + 1] - skin.start[members]
    first = np.repeat(members, counts)
    steps = np.arange(int(counts.sum())) - np.repeat(np.cumsum(counts) - counts, counts)
    second = skin.near[np.repeat(skin.start[members], counts) + steps].astype(np.int64)
    outward = ~belongs[second]
    first, second = first[outward], second[outward]
    if not len(first):
        return []
    points, place = np.unique(np.concatenate((first, second)), return_inverse=True)
    links = coo_array((np.ones(len(first)), (place[: len(first)], place[len(first) :])), shape=(len(points),) * 2)
    many, loop = connected_components(links, directed=False)
    own = belongs[points]
    return [points[own & (loop == k)] for k in range(many)]
