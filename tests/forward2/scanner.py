"""The scanner: wear put on the part, then what a scan makes of it: film, noise, drift, bridges, spikes, thinner meshes.

Orders of size are those of hand-held structured-light scanners; common practice, no source.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numba import njit

from .bodies import END
from .drawing import Drawing, Truth
from .sight import bridge, links, stations, views
from .skin import skin


@dataclass(slots=True)
class Scan:
    """What the file holds, corners (n, 3) and triangles (m, 3), and what only the judge knows."""

    points: np.ndarray
    triangles: np.ndarray
    invented: np.ndarray
    normals: np.ndarray
    turn: np.ndarray
    shift: np.ndarray
    noise_mm: float
    film_mm: float


@njit(cache=True, nogil=True)
def _lattice(points, scale, salt):
    """Smooth random values (n,) at points: random numbers on a lattice of pitch `scale`, blended."""
    out = np.empty(points.shape[0])
    for p in range(points.shape[0]):
        total = 0.0
        q = points[p] / scale
        b = np.floor(q)
        t = q - b
        t = t * t * (3 - 2 * t)
        for c in range(8):
            w, h = 1.0, np.uint64(salt)
            for d in range(3):
                bit = (c >> d) & 1
                w *= t[d] if bit else 1 - t[d]
                h = (h ^ np.uint64(np.int64(b[d]) + bit + 100003)) * np.uint64(0x9E3779B97F4A7C15)
                h ^= h >> np.uint64(29)
            total += w * (float(h & np.uint64(0xFFFFF)) / 524287.5 - 1.0)
        out[p] = total
    return out


def ripple(points: np.ndarray, scale: float, rng: np.random.Generator) -> np.ndarray:
    """Correlated noise (n,) of unit spread with a correlation length near `scale` mm."""
    values = _lattice(np.ascontiguousarray(points), scale, int(rng.integers(1, 2**31)))
    return (values - values.mean()) / max(float(values.std()), 1e-9)


def wear_at(truth: Truth, points: np.ndarray, rng: np.random.Generator) -> np.ndarray:
    """Depth lost (n,) at points on a worn seat, mm; minus where weld stands proud."""
    wear = truth.wear
    assert wear is not None
    axis = truth.axis
    x = np.cross(axis, [0.3, 0.5, 0.81])
    x /= np.linalg.norm(x)
    off = points - truth.at
    along = (off @ axis) / truth.half_length_mm / 2 + 0.5
    angle = np.arctan2(off @ np.cross(axis, x), off @ x) - wear.middle_rad
    angle = np.abs((angle + np.pi) % (2 * np.pi) - np.pi)
    if wear.arc_rad > 2 * np.pi:
        around = np.ones(len(points))
    else:
        around = np.sqrt(np.clip(np.cos(angle / wear.arc_rad * np.pi), 0, 1)) * (angle < wear.arc_rad / 2)
    soft = 0.8 / (2 * truth.half_length_mm)
    length = np.clip((along - wear.low_share) / soft, 0, 1) * np.clip((wear.high_share - along) / soft, 0, 1)
    rough = 1 + 0.12 * ripple(points, 3.0, rng)
    if wear.lumps:
        rough = np.clip(0.7 + 0.35 * ripple(points, 4.0, rng), 0.1, 1.4)
    return wear.depth_mm * around * length * rough


def _thin(points, triangles, normals, keep, rng):
    """Merge corners of flat regions into neighbours chosen at random: larger triangles where nothing happens."""
    near = links(triangles, len(points))
    target = _merge(near.indptr, near.indices, points, normals, keep, rng.permutation(len(points)))
    for _ in range(3):
        faces = target[triangles]
        good = (faces[:, 0] != faces[:, 1]) & (faces[:, 1] != faces[:, 2]) & (faces[:, 0] != faces[:, 2])
        cross = np.cross(points[faces[:, 1]] - points[faces[:, 0]], points[faces[:, 2]] - points[faces[:, 0]])
        folded = good & (np.einsum("ij,ij->i", cross, normals[triangles].sum(1)) < 0.3 * np.linalg.norm(cross, axis=1))
        if not folded.any():
            break
        undo = np.isin(target, np.unique(faces[folded]))
        target[undo] = np.flatnonzero(undo)
    faces = target[triangles]
    good = (faces[:, 0] != faces[:, 1]) & (faces[:, 1] != faces[:, 2]) & (faces[:, 0] != faces[:, 2])
    return faces[good]


@njit(cache=True, nogil=True)
def _merge(start, near, points, normals, keep, order):
    n = points.shape[0]
    target = np.full(n, -1)
    for v in order:
        if keep[v] or target[v] >= 0:
            continue
        target[v] = v
        for e in range(start[v], start[v + 1]):
            o = near[e]
            bend = normals[v, 0] * normals[o, 0] + normals[v, 1] * normals[o, 1] + normals[v, 2] * normals[o, 2]
            if target[o] < 0 and not keep[o] and bend > 0.9995:
                target[o] = v
    for v in range(n):
        if target[v] < 0:
            target[v] = v
    return target


def _pose(rng: np.random.Generator) -> np.ndarray:
    q, r = np.linalg.qr(rng.normal(size=(3, 3)))
    q = q * np.sign(np.diag(r))
    return q * np.sign(np.linalg.det(q))


def carried(truth: Truth, corners: np.ndarray, side: np.ndarray) -> float:
    """Size that true corners give by least squares, its centre nearly known, or across its walls, mm; else nan."""
    if len(corners) < 20:
        return np.nan
    off = corners - truth.at
    if truth.kind not in ("shaft", "bore"):
        if truth.kind == "thread":
            return np.nan
        place = off @ side
        middle = (place.max() + place.min()) / 2
        low, high = place[place < middle], place[place >= middle]
        return float(np.median(high) - np.median(low)) if min(len(low), len(high)) > 8 else np.nan
    x = np.cross(truth.axis, [0.3, 0.5, 0.81])
    x /= np.linalg.norm(x)
    u, v = off @ x, off @ np.cross(truth.axis, x)
    r = np.hypot(u, v)
    hold = 0.3 * np.sqrt(len(r))
    rows = np.concatenate([np.stack([np.ones_like(r), u / r, v / r], 1), [[0, hold, 0], [0, 0, hold]]])
    return 2 * float(np.linalg.lstsq(rows, np.append(r, [0, 0]), rcond=None)[0][0])


def scan(drawing: Drawing, rng: np.random.Generator) -> Scan:
    """Scan the part of a drawing; fills in how much of each truth was seen."""
    small = np.linalg.qr(np.eye(3) + 0.08 * rng.normal(size=(3, 3)))[0]
    small *= np.sign(np.diag(small))
    thin = bool(rng.random() < 0.5)
    want = int(np.exp(rng.uniform(np.log(70_000), np.log(280_000))) * (1.8 if thin else 1.0))
    raw = skin(drawing.part, drawing.half_mm, small, want, float(rng.uniform(0.2, 0.6)))
    points, normals, triangles = raw.points @ small, raw.normals @ small, raw.triangles
    shown, owner = points.copy(), raw.owner
    lost = np.zeros(len(points))
    laps = {i: owner == t.step for i, t in enumerate(drawing.truths)}
    for i, truth in enumerate(drawing.truths):
        own = laps[i] & np.isin(raw.face, truth.faces)
        laps[i] = own
        if truth.wear and own.any():
            lost[own] = wear_at(truth, points[own], rng)
            shown[own] -= normals[own] * lost[own, None]
    near = links(triangles, len(points))
    rim = np.asarray(near @ normals) / np.maximum(np.asarray(near.sum(1)), 1)
    sharp = np.linalg.norm(rim, axis=1) < 0.93
    for spot in rng.choice(np.flatnonzero(sharp), min(int(rng.integers(0, 5)), int(sharp.sum())), replace=False):
        d = np.linalg.norm(points - points[spot], axis=1)
        shown += normals * (rng.uniform(0.1, 0.4) * np.exp(-((d / rng.uniform(0.6, 1.5)) ** 2)))[:, None]
    seen_by = views(shown, triangles, normals, stations(rng), float(np.radians(rng.uniform(14, 24))), rng)
    quality = seen_by.sum(0)
    narrow = float(rng.uniform(2.0, 4.0))
    blind = quality < 0.45
    for truth in drawing.truths:
        if truth.kind == "bore" and truth.made_mm < narrow:
            blind |= owner == truth.step
    share = np.asarray(near @ blind.astype(np.float32)) / np.maximum(np.asarray(near.sum(1)).ravel(), 1)
    blind = share > 0.5
    if rng.random() < 0.35:
        for spot in rng.integers(0, len(points), int(rng.integers(3, 9))):
            blind |= np.linalg.norm(points - points[spot], axis=1) < rng.uniform(1.5, 3.2)
    for spot in rng.integers(0, len(points), int(rng.integers(0, 3))):
        blind |= np.linalg.norm(points - points[spot], axis=1) < rng.uniform(0.8, 4.0)
    fills = float(rng.choice([0.0, 4.0, 8.0, 16.0]))
    film = float(rng.triangular(5, 7, 20)) / 1000 if rng.random() < 0.7 else 0.0
    noise = float(rng.uniform(0.02, 0.06))
    worse = np.clip(1.4 / np.sqrt(np.maximum(quality, 0.4)), 0.7, 2.2)
    worse /= np.sqrt(np.mean(worse[~blind] ** 2))
    rough = 0.62 * ripple(points, 2.6, rng) + 0.6 * ripple(points, 0.9, rng) + 0.5 * rng.normal(size=len(points))
    shown += normals * (film * (1 + 0.3 * ripple(points, 9.0, rng)) + noise * worse * rough)[:, None]
    shares = seen_by / np.maximum(quality, 1e-6)
    shown += shares.T @ rng.normal(0, 0.007, (len(seen_by), 3))
    stray = rng.random(len(points)) < 2e-5 * rng.integers(0, 6)
    shown[stray] += normals[stray] * rng.uniform(0.2, 1.5, (int(stray.sum()), 1))
    shown, invented = bridge(shown, near, blind, fills)
    gone = blind & ~invented
    for i, truth in enumerate(drawing.truths):
        truth.seen = float((~blind[laps[i]]).mean()) if laps[i].any() else 0.0
    # Slow drift: a scale and a bend of about two parts in ten thousand of the part's length.
    reach = float(np.abs(points).max())
    along = points @ (axis := np.eye(3)[np.argmax(drawing.half_mm)])
    side = np.cross(axis, rng.normal(size=3))
    side /= np.linalg.norm(side)
    shown = shown * (1 + rng.normal(0, 1e-4)) + np.outer((along / reach) ** 2, side) * rng.normal(0, 1e-4) * reach
    for i, truth in enumerate(drawing.truths):
        side = truth.axis if truth.kind == "groove" else drawing.part.frames[truth.step][0][1]
        truth.carried_mm = carried(truth, shown[laps[i] & ~blind & ~sharp & (np.abs(lost) < 0.01)], side)
    triangles = triangles[~gone[triangles].any(1)]
    if thin:
        triangles = _thin(shown, triangles, normals, sharp | gone, rng)
    used, inverse = np.unique(triangles, return_inverse=True)
    turn, shift = _pose(rng), rng.normal(0, 60, 3)
    return Scan(
        shown[used] @ turn.T + shift, inverse.reshape(-1, 3).astype(np.int32), invented[used], normals[used] @ turn.T,
        turn, shift, noise, film,
    )  # fmt: skip


def write_ply(path, points: np.ndarray, triangles: np.ndarray) -> None:
    """Binary little-endian PLY, corners in single precision as scanners write them."""
    head = (
        f"ply\nformat binary_little_endian 1.0\nelement vertex {len(points)}\n"
        "property float x\nproperty float y\nproperty float z\n"
        f"element face {len(triangles)}\nproperty list uchar int vertex_indices\nend_header\n"
    )
    rows = np.empty(len(triangles), dtype=[("n", "u1"), ("v", "<i4", 3)])
    rows["n"], rows["v"] = 3, triangles
    with open(path, "wb") as out:
        out.write(head.encode())
        out.write(np.ascontiguousarray(points, "<f4").tobytes())
        out.write(rows.tobytes())


__all__ = ["END", "Scan", "scan", "write_ply"]
