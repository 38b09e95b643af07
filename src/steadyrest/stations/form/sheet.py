"""Reading a thickness off a sheet that was drawn over a mould: in a section, or in three dimensions."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
import numpy.typing as npt
from scipy.optimize import brentq
from scipy.spatial import KDTree

from steadyrest.stations.form.bubble import Drawn
from steadyrest.stations.form.trough import Laid

FloatArray = npt.NDArray[np.float64]

AROUND = 24  # triangles that are looked at around a place
ALIKE = 0.7  # cosine: those that lean no further from the nearest one lie on the same face of the mould
SAME = 1e-9


def on_section(laid: Sequence[Laid], section_mm: FloatArray, at_mm: FloatArray) -> tuple[float, float]:
    """The thickness on a section at the place nearest to a point.

    Args:
        laid: from drawn_trough.
        section_mm: (n, 2) its corners.
        at_mm: (2,) the point.
    Returns: thickness, and how far the point is off the section, mm. In a corner where it jumps: the thinner one.
    """
    step = np.diff(section_mm, axis=0)
    size = np.hypot(step[:, 0], step[:, 1])
    foot = np.clip(np.einsum("ij,ij->i", at_mm - section_mm[:-1], step) / size, 0.0, size)
    off = np.hypot(*(section_mm[:-1] + step * (foot / size)[:, None] - at_mm).T)
    k = int(off.argmin())
    s = float(size[:k].sum() + foot[k])
    close = SAME * float(size.sum())
    over = [one for one in laid if one.along_mm[0] - close <= s <= one.along_mm[-1] + close]
    return min(float(np.interp(s, one.along_mm, one.thick_mm)) for one in over), float(off[k])


def on_mould(drawn: Drawn, at_mm: FloatArray) -> tuple[FloatArray, FloatArray]:
    """The thickness of a drawn sheet at the places nearest to some points.

    Args:
        drawn: the sheet.
        at_mm: (k, 3) points on the mould.
    Returns: (k,) thickness and (k,) how far each point is off the sheet, mm. Inside a corner that the sheet still
        bridges, the film is followed on until it would be there.
    """
    area = drawn.area_mm2()
    middle = drawn.corners_mm.mean(axis=1)
    normal = np.cross(drawn.corners_mm[:, 1] - drawn.corners_mm[:, 0], drawn.corners_mm[:, 2] - drawn.corners_mm[:, 0])
    normal /= np.maximum(np.linalg.norm(normal, axis=1), 1e-300)[:, None]
    _, near = KDTree(middle).query(at_mm, min(AROUND, len(middle)))
    thick, off = np.empty(len(at_mm)), np.empty(len(at_mm))
    for i, (point, around) in enumerate(zip(at_mm, np.asarray(near).reshape(len(at_mm), -1), strict=True)):
        gaps = [_gap(point, drawn.corners_mm[k]) for k in around]
        order = int(np.argmin(gaps))
        nearest, off[i] = around[order], gaps[order]
        side = math.sqrt(area[nearest] / (math.sqrt(3) / 4))
        away = ((middle[around] - point) ** 2).sum(axis=1) / side**2
        weight = np.exp(-(away - away.min())) * area[around] * (normal[around] @ normal[nearest] > ALIKE)
        thick[i] = float(weight @ drawn.thick_mm[around] / weight.sum())
        if drawn.power[nearest] > 0:
            share = _closed(off[i] / drawn.radius_mm[nearest], float(drawn.power[nearest]))
            thick[i] = max(drawn.least_mm, thick[i] * share ** drawn.power[nearest])
            off[i] = 0.0
    return thick, off


def _gap(point: FloatArray, corners: FloatArray) -> float:
    """How far a point is from a triangle."""
    a, b, c = corners
    normal = np.cross(b - a, c - a)
    size = float(np.linalg.norm(normal))
    if size > 0:
        normal = normal / size
        inside = all(float(np.cross(q - p, point - p) @ normal) >= 0 for p, q in ((a, b), (b, c), (c, a)))
        if inside:
            return abs(float((point - a) @ normal))
    best = math.inf
    for p, q in ((a, b), (b, c), (c, a)):
        along = q - p
        share = min(1.0, max(0.0, float((point - p) @ along) / max(float(along @ along), 1e-300)))
        best = min(best, float(np.linalg.norm(p + share * along - point)))
    return best


def _closed(gap: float, power: float) -> float:
    """How far, as a share of its radius, a film that closes a corner has still to close until it is at a place.

    gap: between place and film, as a share of the radius. In a corner that turns by w, the film touches each side
    tan(w/2) radii from the corner, and is gap = 1 - sqrt(1 - e^2) off the side at e nearer to the corner than that.
    """
    turn = brentq(lambda w: 2 * math.tan(w / 2) / w - 1 - power, 1e-6, math.pi - 1e-9)
    e = math.sqrt(max(0.0, 2 * gap - gap * gap)) if gap < 1 else 1.0
    return max(0.0, 1 - e / math.tan(float(turn) / 2))  # type: ignore[arg-type]
