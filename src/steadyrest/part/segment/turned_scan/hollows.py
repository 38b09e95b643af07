"""Hollows that ran into a seat all round, told from grooves: the same level on both sides, a shallow way down between.

A tool leaves walls; what runs on a seat leaves a way down that an edge of the mesh follows.
"""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

from steadyrest.part.segment.skin import Skin
from steadyrest.part.segment.turned_scan.profile import Band, Rim

FloatArray = npt.NDArray[np.float64]
IntArray = npt.NDArray[np.int64]

SHALLOW = 0.45  # slope up to which the way down from unworn to worn surface goes
STEEP = 0.8  # slope of a hollow's sides from which they are a tool's
STEEPER = 0.8  # quantile of the edges over the way down that is heard: a wall's edges lie across it at any slant
LEAST_EDGES = 12
NO_NECK_MM = 0.3  # nobody turns a neck this shallow; common practice, no source
LEAST_HOLLOW_MM = 4.0  # narrower may be the groove of a small ring
WEAR_MOST = 0.06  # of the radius: deeper than that it is another surface


def hollows_filled(bands: list[Band], rim: Rim, skin: Skin, *, noise_mm: float) -> list[Band]:
    """Seats that are worn all round somewhere made one: same level on both sides, and a shallow way down between.

    A groove has steep walls and stays; a seat that runs into a shoulder on one side may be a true step and stays too.

    Args:
        bands: stretches of the profile. rim: all points about the axis. skin: the mesh. noise_mm: 1 sigma.
    Returns: the stretches.
    """
    spacing_mm = skin.spacing_mm
    out: list[Band] = []
    under = [b for b in bands if any(_covers(a, b) for a in bands)]
    for band in sorted((b for b in bands if b not in under), key=lambda b: (-b.sign, b.from_mm)):
        out.append(band)
        for k in range(len(out) - 2, -1, -1):
            first, between = out[k], out[k + 1 : -1]
            if first.slope != 0 or band.slope != 0 or first.sign != band.sign:
                continue
            level = (first.radius_mm + band.radius_mm) / 2
            if abs(first.radius_mm - band.radius_mm) > 3 * noise_mm or not between:
                if 0 < first.sign * (band.radius_mm - first.radius_mm) < WEAR_MOST * level:
                    continue  # lower: it may be the bottom of a hollow that ends here
                break
            depths = [first.sign * (level - b.radius_mm) for b in between]
            whole = all(b.from_mm - a.to_mm < 4 * spacing_mm for a, b in zip(out[k:-1], out[k + 1 :], strict=True))
            bounded = whole and all(-2 * noise_mm < d < WEAR_MOST * level for d in depths)
            if bounded and way_is_shallow(first, between, band, rim, skin):
                a, b = first.to_mm - first.from_mm, band.to_mm - band.from_mm
                radius = (a * first.radius_mm + b * band.radius_mm) / (a + b)
                out[k:] = [Band(first.sign, first.from_mm, band.to_mm, radius, 0.0)]
            break
    return out + under


def _covers(a: Band, b: Band) -> bool:
    """Whether a stretch lies over another along all its length: that is then the floor of a cut in it."""
    return (
        a.sign == b.sign and a.from_mm <= b.from_mm and b.to_mm <= a.to_mm
        and a.sign * (a.radius_mm - b.radius_mm) > 0
    )  # fmt: skip


def way_is_shallow(first: Band, between: list[Band], last: Band, rim: Rim, skin: Skin) -> bool:
    """Whether a hollow's sides slope as wear's do and no tool's would.

    Tapered pieces on the way tell at once. Where the mesh is too coarse to show any, the edges over the way down do:
    those over a wall stand steep however coarse the mesh is.

    Args:
        first, last: the stretches of one level. between: what lies lower between them. rim, skin: the mesh.
    Returns: True for wear.
    """
    if any(b.slope != 0 for b in between):
        return all(abs(b.slope) < SHALLOW for b in between)
    level = (first.radius_mm + last.radius_mm) / 2
    depth = max(first.sign * (level - b.radius_mm) for b in between)
    wide = between[-1].to_mm - between[0].from_mm
    if wide < max(LEAST_HOLLOW_MM, 4 * skin.spacing_mm):
        return False
    if depth < NO_NECK_MM:
        return True
    below = first.sign * (level - rim.radius)
    slopes = [slope_at(end, below, depth, rim, skin) for end in (first.to_mm, last.from_mm)]
    told = [slope for slope in slopes if slope is not None]
    return not told or float(np.mean(told)) < STEEP


def slope_at(end_mm: float, below: FloatArray, depth: float, rim: Rim, skin: Skin) -> float | None:
    """How steep the mesh's edges over one side of a hollow stand: fall by length along the axis.

    Args:
        end_mm: where the unworn level ends. below: (n,) of each point under it. depth: of the hollow.
        rim, skin: the mesh.
    Returns: the steeper of those edges; None where too few cross.
    """
    near = np.flatnonzero((np.abs(rim.along - end_mm) < 2.5 * skin.spacing_mm) & (below < depth / 2))
    counts = skin.start[near + 1] - skin.start[near]
    first = np.repeat(near, counts)
    steps = np.arange(int(counts.sum())) - np.repeat(np.cumsum(counts) - counts, counts)
    second = skin.near[np.repeat(skin.start[near], counts) + steps].astype(np.int64)
    crosses = below[second] > depth / 2
    first, second = first[crosses], second[crosses]
    if len(first) < LEAST_EDGES:
        return None
    long = np.maximum(np.abs(rim.along[second] - rim.along[first]), 1e-6)
    return float(np.quantile((below[second] - below[first]) / long, STEEPER))
