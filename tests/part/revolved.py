"""Scans of turned parts made by closed form: a line drawn beside an axis, spun, its points moved by noise.

Shares nothing with what reads them. The line is given corner by corner and arc by arc; points stand on it in rings of
about one spacing, rings joined by triangles; noise is a smooth field (a sum of waves of random direction) and a little
of each point's own, both along the surface's normal. Corners may be rounded as a scanner rounds them.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import numpy.typing as npt

from steadyrest.part.triangles.mesh import Mesh, cleaned

FloatArray = npt.NDArray[np.float64]
WAVES = 100


def arc(middle: tuple[float, float], radius: float, start_deg: float, end_deg: float, count: int = 400) -> FloatArray:
    """Points (along, radius) of a circle about a middle, by angles from the direction along the axis."""
    turn = np.radians(np.linspace(start_deg, end_deg, count))
    return np.stack((middle[0] + radius * np.cos(turn), middle[1] + radius * np.sin(turn)), axis=1)


def line(*pieces: npt.ArrayLike) -> FloatArray:
    """One line of corners (along, radius) and arcs, in order, material on its right: up the axis, outside."""
    return np.concatenate([np.atleast_2d(np.asarray(piece, dtype=np.float64)) for piece in pieces])


def spun(
    drawn: FloatArray, *, step_mm: float, noise_mm: float, seed: int, correlation_mm: float = 1.0,
    softness_mm: float = 0.0, shape: Callable[[FloatArray, FloatArray, FloatArray], FloatArray] | None = None,
    closed: bool = False,
) -> tuple[FloatArray, npt.NDArray[np.int64]]:  # fmt: skip
    """Vertices and triangles of a line spun about z, tilted and moved to no special place.

    Args:
        drawn: (k, 2) along, radius. step_mm: between points. noise_mm: 1 sigma, half of it shared by neighbours.
        seed: of the noise. correlation_mm: how far it hangs together. softness_mm: what a scanner's smoothing does to
        corners, 1 sigma. shape: what is added along the radius, from (along, radius, angle). closed: the line returns
        to its start (a bored part); else it begins and ends on the axis.
    """
    rng = np.random.default_rng(seed)
    if closed:
        drawn = np.concatenate((drawn, drawn[:1]))
    long = np.concatenate(([0.0], np.cumsum(np.hypot(*np.diff(drawn, axis=0).T))))
    fine = np.linspace(0, long[-1], max(int(long[-1] / (0.1 * step_mm)), 10))
    z, r = np.interp(fine, long, drawn[:, 0]), np.interp(fine, long, drawn[:, 1])
    if softness_mm > 0:
        reach = np.arange(-40, 41) * (fine[1] - fine[0])
        weights = np.exp(-0.5 * (reach / softness_mm) ** 2)
        weights /= weights.sum()
        mode = "wrap" if closed else "reflect"
        z = np.convolve(np.pad(z, 40, mode=mode), weights, "valid")
        r = np.convolve(np.pad(r, 40, mode=mode) if closed else np.pad(r, 40, mode="reflect", reflect_type="odd"),
                        weights, "valid")  # fmt: skip
        if not closed:
            z[[0, -1]], r[[0, -1]] = drawn[[0, -1], 0], drawn[[0, -1], 1]
    rings = np.linspace(0, fine[-1], max(int(fine[-1] / (0.87 * step_mm)), 6) + 1)
    rings = rings[:-1] if closed else rings
    z, r = np.interp(rings, fine, z), np.interp(rings, fine, r)
    counts = [1 if radius < 1e-9 else max(6, round(2 * np.pi * radius / step_mm)) for radius in r]
    first = np.concatenate(([0], np.cumsum(counts)))
    along, angle, radius = np.empty(first[-1]), np.empty(first[-1]), np.empty(first[-1])
    for k, count in enumerate(counts):
        own = slice(first[k], first[k + 1])
        along[own], radius[own] = z[k], r[k]
        angle[own] = (np.arange(count) + rng.random()) / count * 2 * np.pi
    jitter = 0.2 * step_mm
    inner = radius > 2 * step_mm
    angle[inner] += jitter * rng.uniform(-1, 1, inner.sum()) / radius[inner]
    if shape is not None:
        radius = radius + shape(along, radius, angle)
    faces: list[tuple[int, int, int]] = []
    pairs = [(k, k + 1) for k in range(len(counts) - 1)] + ([(len(counts) - 1, 0)] if closed else [])
    for a, b in pairs:
        faces += _between(angle, first, a, b)
    points = np.stack((radius * np.cos(angle), radius * np.sin(angle), along), axis=1)
    triangles = np.array(faces, dtype=np.int64)
    points += _noise(points, triangles, rng, noise_mm, correlation_mm)
    tilt = np.linalg.qr(np.array([[0.8, 0.3, 0.5], [-0.2, 0.9, 0.1], [0.55, 0.2, -0.8]]))[0]
    tilt = tilt if np.linalg.det(tilt) > 0 else -tilt
    return points @ tilt.T + np.array([13.0, -7.0, 21.0]), triangles


def mesh_of(drawn: FloatArray, **settings: object) -> Mesh:
    """The same as a mesh that can be read."""
    points, triangles = spun(drawn, **settings)  # pyright: ignore[reportArgumentType]
    return cleaned(points, triangles, where="spun")


def _between(angle: FloatArray, first: npt.NDArray[np.int64], a: int, b: int) -> list[tuple[int, int, int]]:
    """Triangles between two rings, walking round both at once; normals look to the left of the line's way."""
    one = first[a] + np.argsort(angle[first[a] : first[a + 1]] % (2 * np.pi))
    two = first[b] + np.argsort(angle[first[b] : first[b + 1]] % (2 * np.pi))
    if len(one) == 1:
        return [(int(one[0]), int(two[(j + 1) % len(two)]), int(two[j])) for j in range(len(two))]
    if len(two) == 1:
        return [(int(two[0]), int(one[i]), int(one[(i + 1) % len(one)])) for i in range(len(one))]
    turn_one, turn_two = angle[one] % (2 * np.pi), angle[two] % (2 * np.pi)
    out: list[tuple[int, int, int]] = []
    i = j = 0
    while i < len(one) or j < len(two):
        next_one = turn_one[(i + 1) % len(one)] + (2 * np.pi if i + 1 >= len(one) else 0.0)
        next_two = turn_two[(j + 1) % len(two)] + (2 * np.pi if j + 1 >= len(two) else 0.0)
        if j >= len(two) or (i < len(one) and next_one <= next_two):
            out.append((int(one[i % len(one)]), int(one[(i + 1) % len(one)]), int(two[j % len(two)])))
            i += 1
        else:
            out.append((int(one[i % len(one)]), int(two[(j + 1) % len(two)]), int(two[j % len(two)])))
            j += 1
    return out


def _noise(
    points: FloatArray, triangles: npt.NDArray[np.int64], rng: np.random.Generator, noise_mm: float,
    correlation_mm: float,
) -> FloatArray:  # fmt: skip
    a, b, c = (points[triangles[:, k]] for k in range(3))
    flat = np.cross(b - a, c - a)
    normals = np.zeros_like(points)
    for k in range(3):
        np.add.at(normals, triangles[:, k], flat)
    normals /= np.maximum(np.linalg.norm(normals, axis=1), 1e-12)[:, None]
    waves = rng.normal(0, 1 / correlation_mm, (WAVES, 3))
    phase = rng.uniform(0, 2 * np.pi, WAVES)
    field = np.zeros(len(points))
    for k in range(0, len(points), 20_000):
        field[k : k + 20_000] = np.cos(points[k : k + 20_000] @ waves.T + phase).sum(axis=1)
    field *= np.sqrt(2 / WAVES)
    own = rng.normal(0, 1, len(points))
    return normals * (noise_mm * np.sqrt(0.5) * (field + own))[:, None]
