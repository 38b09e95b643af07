"""Faces of a turned scan: planes square to its axis."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import numpy.typing as npt

from steadyrest.part.fit import flat
from steadyrest.part.fit.solve import tukey
from steadyrest.part.segment.axis import Axis
from steadyrest.part.segment.found import Found
from steadyrest.part.segment.prismatic_scan.bulge import BULGE, NO_ROUND, bend_radius_of, bulge_of
from steadyrest.part.segment.skin import Skin
from steadyrest.part.segment.turned_scan.profile import Rim

FloatArray = npt.NDArray[np.float64]
IntArray = npt.NDArray[np.int64]
BoolArray = npt.NDArray[np.bool_]

OF_A_FACE = 0.25  # of the face beside it: what lies lower and is smaller is its edge


def faces_square(skin: Skin, rim: Rim, free: BoolArray, axis: Axis, *, noise_mm: float) -> list[Found]:
    """Faces square to the axis: places along it where much surface looks the same way along.

    Args:
        skin: the mesh made ready. rim: its points about the axis. free: (n,) points that belong to nothing yet.
        axis: of the part. noise_mm: 1 sigma.
    Returns: planes, all coaxial.
    """
    found = list[Found]()
    for sign in (1, -1):
        chosen = np.flatnonzero(free & (sign * rim.up > 0.9))
        if len(chosen) < 12:
            continue
        width = max(noise_mm, 0.2 * skin.spacing_mm)
        low = float(rim.along[chosen].min())
        place = ((rim.along[chosen] - low) / width).astype(np.int64)
        heap = np.bincount(place, weights=skin.areas[chosen])
        smooth = np.convolve(heap, np.ones(5), mode="same")
        left = np.ones(len(chosen), dtype=np.bool_)
        steps = np.arange(len(smooth))
        while True:
            peak = int(np.argmax(smooth))
            if smooth[peak] < 25 * skin.spacing_mm**2:
                break
            near = left & (np.abs(place - peak) <= 3)
            # Close beside a face lie its own rounded edges; a shallow recess's floor is as large as a face.
            beside = np.abs(steps - peak) <= 5
            smooth[(np.abs(steps - peak) <= 3) | (beside & (smooth < OF_A_FACE * smooth[peak]))] = 0
            if near.sum() < 12:
                continue
            height = float(np.median(rim.along[chosen[near]]))
            near = left & (np.abs(rim.along[chosen] - height) < 4 * noise_mm + 0.1 * skin.spacing_mm)
            left &= ~near
            found += _rings(skin, rim, chosen[near], axis, sign=sign, noise_mm=noise_mm)
    return found


def _rings(skin: Skin, rim: Rim, members: IntArray, axis: Axis, *, sign: int, noise_mm: float) -> list[Found]:
    """Points of one height parted where the radius has a gap, each fitted as a plane that looks along the axis."""
    order = members[np.argsort(rim.radius[members], kind="stable")]
    steps = np.flatnonzero(np.diff(rim.radius[order]) > 3 * skin.spacing_mm) + 1
    found = list[Found]()
    for ring in np.split(order, steps):
        if len(ring) < 12 or float(skin.areas[ring].sum()) < 12 * skin.spacing_mm**2:
            continue
        radius = float(rim.radius[ring].mean())
        sectors = np.bincount(((rim.angle[ring] / (2 * np.pi) + 0.5) * 24).astype(np.int64) % 24, minlength=24)
        if np.count_nonzero(sectors) < 8 and radius > 3 * skin.spacing_mm:
            continue
        points = skin.points[ring]
        plane = flat.plane(points, tukey(_off(points, axis), 6 * _off_spread(points, axis)))
        normal = plane.normal if plane.normal @ axis.direction * sign > 0 else -plane.normal
        seen = _seen_flat(points, normal)
        if bulge_of(seen) > BULGE * noise_mm and bend_radius_of(seen) < NO_ROUND * skin.size_mm:
            continue  # a strip of a cross hole's wall
        found.append(Found(replace(plane, normal=normal), ring, coaxial=True))
    return found


def _seen_flat(points: FloatArray, normal: FloatArray) -> FloatArray:
    """Points along and across their own spread in a plane, and off it."""
    some = points[:: max(1, len(points) // 2000)]
    some = some - some.mean(axis=0)
    off = some @ normal
    _, _, turn = np.linalg.svd(some - np.outer(off, normal), full_matrices=False)
    return np.stack((some @ turn[0], some @ turn[1], off), axis=1)


def _off(points: FloatArray, axis: Axis) -> FloatArray:
    along = (points - axis.point) @ axis.direction
    return along - np.median(along)


def _off_spread(points: FloatArray, axis: Axis) -> float:
    return float(1.5 * np.median(np.abs(_off(points, axis)))) + 1e-9
