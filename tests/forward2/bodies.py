"""Bodies: a part as a sequence of analytic solids added and cut, and the signed distance to it (mm, minus inside).

Every solid is a lower bound of its distance, so a value larger than a block's half diagonal proves the block empty.
Edges are rounded by a smooth maximum: a scanner never sees a sharp one.
"""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
from numba import njit

CYLINDER, CONE, BOX, RING, VEE, FILLET, CHAMFER, THREAD, HEXAGON, SPHERE = range(10)
LATERAL, END, WALL_Y, CORNER = range(4)


@dataclass(slots=True)
class Part:
    """A part under construction: what each step adds or cuts, in the part's own frame."""

    kinds: list[int] = field(default_factory=list)
    cuts: list[bool] = field(default_factory=list)
    sizes: list[tuple[float, ...]] = field(default_factory=list)
    frames: list[tuple[np.ndarray, np.ndarray]] = field(default_factory=list)

    def step(self, kind: int, sizes: tuple[float, ...], *, cut: bool = False, at=(0, 0, 0), axis=(0, 0, 1), x=None):
        """Append a solid and return its number."""
        self.kinds.append(kind)
        self.cuts.append(cut)
        self.sizes.append(tuple(map(float, sizes)) + (0.0,) * (6 - len(sizes)))
        self.frames.append((frame(axis, x), np.asarray(at, float)))
        return len(self.kinds) - 1

    def packed(self, turn: np.ndarray) -> tuple[np.ndarray, ...]:
        """Arrays for the compiled distance, with the whole part turned by `turn` (3, 3)."""
        rows = np.array([r @ turn.T for r, _ in self.frames])
        origins = np.array([turn @ o for _, o in self.frames])
        return np.array(self.kinds), np.array(self.cuts), np.array(self.sizes), rows, origins


def frame(axis, x=None) -> np.ndarray:
    """Rows are the local x, y, z directions; z along `axis`, x as near `x` as it can be."""
    z = np.asarray(axis, float) / np.linalg.norm(axis)
    guess = np.asarray(x, float) if x is not None else (np.eye(3)[0] if abs(z[0]) < 0.8 else np.eye(3)[1])
    x = guess - z * (guess @ z)
    x /= np.linalg.norm(x)
    return np.array([x, np.cross(z, x), z])


@njit(cache=True, nogil=True)
def _smooth_max(a, b, k):
    h = max(k - abs(a - b), 0.0) / k
    return max(a, b) + 0.25 * h * h * k


@njit(cache=True, nogil=True)
def _solid(kind, s, x, y, z, k):
    rho = np.sqrt(x * x + y * y)
    if kind == 0:  # radius, z0, z1
        a, b = rho - s[0], abs(z - 0.5 * (s[1] + s[2])) - 0.5 * (s[2] - s[1])
        return _smooth_max(a, b, k), (0 if a > b else 1)
    if kind == 1:  # r0, z0, r1, z1
        slope = (s[2] - s[0]) / (s[3] - s[1])
        a = (rho - s[0] - slope * (z - s[1])) / np.sqrt(1.0 + slope * slope)
        b = abs(z - 0.5 * (s[1] + s[3])) - 0.5 * (s[3] - s[1])
        return _smooth_max(a, b, k), (0 if a > b else 1)
    if kind == 2:  # half x, half y, z0, z1, corner radius
        qx, qy = abs(x) - s[0] + s[4], abs(y) - s[1] + s[4]
        a = np.sqrt(max(qx, 0.0) ** 2 + max(qy, 0.0) ** 2) + min(max(qx, qy), 0.0) - s[4]
        b = abs(z - 0.5 * (s[2] + s[3])) - 0.5 * (s[3] - s[2])
        side = 3 if (qx > 0 and qy > 0) else (0 if qx > qy else 2)
        return _smooth_max(a, b, k), (side if a > b else 1)
    if kind == 3:  # floor radius, middle z, half width: everything outside the floor
        a, b = s[0] - rho, abs(z - s[1]) - s[2]
        return _smooth_max(a, b, k), (0 if a > b else 1)
    if kind == 4:  # floor radius, middle z, half floor width, half angle
        a = s[0] - rho
        b = (abs(z - s[1]) - s[2] - (rho - s[0]) * np.tan(s[3])) * np.cos(s[3])
        return _smooth_max(a, b, k), (0 if a > b else 1)
    if kind == 5:  # shaft radius, shoulder z, fillet radius, side
        u, v, r = rho - s[0], (z - s[1]) * s[3], s[2]
        ring = r - np.sqrt((u - r) ** 2 + (v - r) ** 2)
        return max(max(u - r, v - r), max(ring, max(-u - 0.5 * r, -v - 0.5 * r))), 3
    if kind == 6:  # edge radius, edge z, leg, side: cuts the corner of a shaft's end
        leg = (rho - s[0] + s[2] + (z - s[1]) * s[3]) * 0.7071067811865476
        return max(-leg, -((z - s[1]) * s[3] + 1.5 * s[2])), 3
    if kind == 7:  # major radius, pitch, z0, z1
        turn = z / s[1] - np.arctan2(y, x) / (2 * np.pi)
        wave = abs(turn - np.floor(turn) - 0.5) * 2
        depth = 0.6134 * s[1] * min(max(wave * 1.375 - 0.1875, 0.0), 1.0)
        a, b = (rho - s[0] + depth) * 0.55, abs(z - 0.5 * (s[2] + s[3])) - 0.5 * (s[3] - s[2])
        return max(a, b), (0 if a > b else 1)
    if kind == 8:  # half across flats, z0, z1, number of flats
        step = 2 * np.pi / s[3]
        t = np.arctan2(y, x)
        t = t - step * np.round(t / step)
        a, b = rho * np.cos(t) - s[0], abs(z - 0.5 * (s[1] + s[2])) - 0.5 * (s[2] - s[1])
        return _smooth_max(a, b, k), (0 if a > b else 1)
    return np.sqrt(x * x + y * y + z * z) - s[0], 0


@njit(cache=True, nogil=True)
def distance(kinds, cuts, sizes, rows, origins, px, py, pz, k):
    """Signed distance at one point, the step whose surface is nearest there, and which of its faces."""
    f, owner, face = 1e9, 0, 0
    for i in range(kinds.size):
        dx, dy, dz = px - origins[i, 0], py - origins[i, 1], pz - origins[i, 2]
        r = rows[i]
        x = r[0, 0] * dx + r[0, 1] * dy + r[0, 2] * dz
        y = r[1, 0] * dx + r[1, 1] * dy + r[1, 2] * dz
        z = r[2, 0] * dx + r[2, 1] * dy + r[2, 2] * dz
        g, side = _solid(kinds[i], sizes[i], x, y, z, k)
        if cuts[i]:
            if -g > f:
                owner, face = i, side
            f = _smooth_max(f, -g, k)
        else:
            if g < f:
                owner, face = i, side
            f = -_smooth_max(-f, -g, k)
    return f, owner, face
