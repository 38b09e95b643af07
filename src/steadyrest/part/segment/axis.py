"""The axis that the turned surface shares.

Every normal of a surface of revolution meets its axis. In line coordinates that is linear in the axis: with direction d
and moment m = q x d, a normal n at p meets it if d.(p x n) + m.n = 0. Two normals of one cylinder propose an axis; the
whole surface judges; the best is sharpened by weighted least squares. Faces square to the axis are not asked.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from steadyrest.compiled import loop
from steadyrest.part.fit.solve import across, spread, tukey, unit
from steadyrest.part.segment.skin import Skin

FloatArray = npt.NDArray[np.float64]

PAIRS = 1200
JURY = 3000
MISSES = 0.2  # sine between a normal and the plane through the axis, up to which it counts as turned
BENT_MM = 0.008  # a stretch lies so far beside the others by the scan's slow drift; judgement
TOGETHER = 10.0  # points that share one value of the noise, roughly
SETTLING, FEWEST_STRETCHES = 4, 4  # steps before stretches are compared; how many there must be for it
OUT_OF_ROUND = 1.2  # times what most scatter: who scatters more about a middle of its own is worn, and off by as much
ASTRAY = 2.5  # of the usual shift: what lies farther beside is worn, and hardly heard


@dataclass(frozen=True, slots=True)
class Axis:
    """point: (3,). direction: (3,) unit. share: of the surface not square to it, how much is turned round it."""

    point: FloatArray
    direction: FloatArray
    share: float


def turned_axis(skin: Skin) -> Axis | None:
    """The axis round which most of the surface is turned.

    Args:
        skin: the mesh made ready.
    Returns: the axis; None if no two normals agree on any.
    Source: line geometry of surfaces of revolution, Pottmann and Wallner 2001; the voting is ours.
    """
    some = _spread_sample(skin.areas, JURY)
    points, normals = skin.points[some], skin.normals[some]
    middle = points.mean(axis=0)
    scale = skin.size_mm / 2 or 1.0
    points = (points - middle) / scale
    first, second = _pairs(len(some), PAIRS)
    scores, axes = np.zeros(len(first)), np.zeros((len(first), 6))
    _proposals(points, normals, first, second, MISSES, scores, axes)
    best: tuple[float, FloatArray, FloatArray] | None = None
    for k in np.argsort(-scores, kind="stable")[:8]:
        if scores[k] <= 0:
            continue
        d, q = _sharpened(points, normals, axes[k, :3], axes[k, 3:])
        won = float(_score(points, normals, d, q, MISSES / 2))
        if best is None or won > best[0] + 1e-9:
            best = (won, d, q)
    if best is None:
        return None
    _, d, q = best
    where = middle + scale * (q - (q @ d) * d)
    ahead = d if d[int(np.argmax(np.abs(d)))] > 0 else -d  # one of two: the larger component counts up
    return Axis(where, ahead, share_turned(skin, where, ahead))


def share_turned(skin: Skin, point: FloatArray, direction: FloatArray) -> float:
    """Of the surface that is not square to an axis, the share whose normals meet it.

    Args:
        skin: the mesh made ready. point, direction: the axis.
    Returns: 0 to 1.
    """
    missing, along = misses(skin.points, skin.normals, point, direction)
    asked = np.abs(along) < 0.9
    total = float(skin.areas[asked].sum())
    return float(skin.areas[asked & (missing < MISSES)].sum()) / total if total > 0 else 0.0


def misses(
    points: FloatArray, normals: FloatArray, point: FloatArray, direction: FloatArray
) -> tuple[FloatArray, FloatArray]:
    """How far each normal turns out of the plane through the axis, as a sine; and its share along the axis.

    Args:
        points, normals: (n, 3). point, direction: the axis.
    Returns: (n,) sine >= 0; (n,) normal . direction.
    """
    q = points - point
    side = np.cross(direction, q)
    length = np.maximum(np.linalg.norm(side, axis=1), 1e-12)
    return np.abs(np.einsum("ij,ij->i", normals, side)) / length, normals @ direction


def _spread_sample(areas: FloatArray, count: int) -> npt.NDArray[np.int64]:
    """Points picked evenly by area, the same every time."""
    total = np.cumsum(areas)
    at = (np.arange(min(count, len(areas))) + 0.5) / min(count, len(areas)) * total[-1]
    return np.unique(np.searchsorted(total, at).clip(0, len(areas) - 1))


def _pairs(n: int, count: int) -> tuple[npt.NDArray[np.int64], npt.NDArray[np.int64]]:
    """Pairs that look shuffled and are the same every time (a linear congruence)."""
    k = np.arange(count, dtype=np.int64)
    first = (k * 48271 + 11) % n
    second = (first + 1 + (k * 69621 + 7) % max(n - 1, 1)) % n
    # Neighbours in the list are near each other on most meshes: every other pair is taken close by.
    second[::2] = (first[::2] + 1 + k[::2] % 40) % n
    return first, second


def _sharpened(points: FloatArray, normals: FloatArray, d: FloatArray, q: FloatArray) -> tuple[FloatArray, FloatArray]:
    lines = np.concatenate((np.cross(points, normals), normals), axis=1)
    for width in (0.35, 0.3, 0.25, 0.2, 0.15, 0.12, 0.12, 0.12):
        missing, along = misses(points, normals, q, d)
        away = np.linalg.norm(np.cross(points - q, d), axis=1)
        typical = float(np.median(away)) + 1e-12
        w = tukey(missing, width) * (np.abs(along) < 0.95) / (away**2 + (0.2 * typical) ** 2)
        if np.count_nonzero(w) < 12:
            break
        found = np.linalg.eigh((lines * w[:, None]).T @ lines)[1][:, 0]
        size = np.linalg.norm(found[:3])
        if size < 1e-9:
            break
        d, m = found[:3] / size, found[3:] / size
        q = np.cross(d, m)
    return unit(d), q


@loop()
def _score(  # pragma: no cover
    points: FloatArray, normals: FloatArray, d: FloatArray, q: FloatArray, width: float
) -> float:
    total = 0.0
    for i in range(len(points)):
        along = normals[i, 0] * d[0] + normals[i, 1] * d[1] + normals[i, 2] * d[2]
        if abs(along) > 0.9:
            continue
        x, y, z = points[i, 0] - q[0], points[i, 1] - q[1], points[i, 2] - q[2]
        sx, sy, sz = d[1] * z - d[2] * y, d[2] * x - d[0] * z, d[0] * y - d[1] * x
        length = np.sqrt(sx * sx + sy * sy + sz * sz)
        t = abs(normals[i, 0] * sx + normals[i, 1] * sy + normals[i, 2] * sz) / (length + 1e-12)
        if t < width:
            total += 1.0
    return total


@loop()
def _proposals(  # pragma: no cover
    points: FloatArray, normals: FloatArray, first: npt.NDArray[np.int64], second: npt.NDArray[np.int64],
    width: float, scores: FloatArray, axes: FloatArray,
) -> None:  # fmt: skip
    """What each pair of normals proposes: axes (k, 6), direction and point, and how many agree; 0 for no axis."""
    for k in range(len(first)):
        a, b = first[k], second[k]
        d, q = axes[k, :3], axes[k, 3:]
        _square_to(normals[a], normals[b], d)
        size = np.sqrt(_dot(d, d))
        if size < 0.2:
            continue
        for c in range(3):
            d[c] /= size
        # In the plane across d the two normals are lines; where they cross is the axis.
        _square_to(d, normals[b], q)
        gap = 0.0
        for c in range(3):
            gap += (points[b, c] - points[a, c]) * q[c]
        below = _dot(normals[a], q)
        if abs(below) < 0.05:
            continue
        for c in range(3):
            q[c] = points[a, c] + normals[a, c] * (gap / below)
        scores[k] = _score(points, normals, d, q, width)


@loop(inner=True)
def _square_to(a: FloatArray, b: FloatArray, out: FloatArray) -> None:  # pragma: no cover
    out[0], out[1], out[2] = a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]


@loop(inner=True)
def _dot(a: FloatArray, b: FloatArray) -> float:  # pragma: no cover
    return a[0] * b[0] + a[1] * b[1] + a[2] * b[2]


def shared_axis(
    groups: list[FloatArray],
    radii: FloatArray,
    axis: Axis,
    *,
    noise_mm: float,
    rounds: int = 12,
    tapers: FloatArray | None = None,
) -> tuple[Axis, FloatArray]:
    """The axis that several round stretches share, from where their points lie (not their normals).

    Args:
        groups: (n_k, 3) points of each stretch. radii: (k,) a first radius each. axis: a first axis.
        tapers: (k,) radius gained by length along the axis, 0 for a round stretch; None if all are round.
        noise_mm: of one point. Points farther than a few sigma from their stretch's best circle do not count, so worn
            surface does not pull the axis.
        rounds: steps.
    Returns: the axis; (k,) radii.
    """
    point, d = axis.point, axis.direction
    middle = np.concatenate(groups).mean(axis=0)
    point = point + ((middle - point) @ d) * d
    radii = radii.copy()
    gains = np.zeros(len(radii)) if tapers is None else tapers
    trust, beside = np.ones(len(radii)), np.zeros(len(radii))
    ragged, usual_mm = np.zeros(len(radii)), np.inf
    bent = len(groups) >= FEWEST_STRETCHES
    for turn in range(rounds):
        width = noise_mm * max(4.0, 14.0 * 0.7**turn)
        normal, pull = np.zeros((4, 4)), np.zeros(4)
        u, v = across(d)
        for k, points in enumerate(groups):
            q = points - point
            x, y, z = q @ u, q @ v, q @ d
            rho = np.maximum(np.hypot(x, y), 1e-12)
            bare = rho - gains[k] * z
            if turn == 0 and gains[k] != 0:
                radii[k] = float(np.median(bare))
            w = tukey(bare - radii[k], width)
            if w.sum() < 5:
                w = np.ones_like(w) * 1e-3
            slopes = np.stack((-x / rho, -y / rho, -x * (z / rho + gains[k]), -y * (z / rho + gains[k])), axis=1)
            total = w.sum()
            level = float(w @ bare) / total
            slopes -= (w @ slopes) / total
            # However many points it has, a stretch lies beside the axis by what the scan bent there.
            own, tug = (slopes * w[:, None]).T @ slopes, (slopes * w[:, None]).T @ (bare - level)
            ragged[k] = spread(bare - slopes[:, :2] @ np.linalg.lstsq(own[:2, :2], tug[:2], rcond=1e-9)[0])
            off = bent * BENT_MM**2 + max(ragged[k] ** 2 - (OUT_OF_ROUND * usual_mm) ** 2, 0.0)
            worth = 1 / (1 + total * off / max(noise_mm, 1e-6) ** 2 / TOGETHER)
            beside[k] = float(np.linalg.norm(np.linalg.lstsq(own[:2, :2], tug[:2], rcond=1e-9)[0]))
            normal += worth * trust[k] * own
            pull += worth * trust[k] * tug
            radii[k] = level
        usual_mm = max(noise_mm, _usual(ragged, np.array([len(points) for points in groups])))
        if turn >= SETTLING and bent:
            # Worn on one side, a stretch looks shifted: those that agree with one another place the axis.
            usual = max(float(np.median(beside)), BENT_MM)
            trust = 1 / np.square(1 + np.square(beside / (ASTRAY * usual)))
        scale = np.sqrt(np.maximum(np.diag(normal), 1e-300))
        change = -np.linalg.lstsq(normal / np.outer(scale, scale), pull / scale, rcond=1e-9)[0] / scale
        point = point + change[0] * u + change[1] * v
        d = unit(d + change[2] * u + change[3] * v)
    return Axis(point, d, axis.share), radii


def _usual(ragged_mm: FloatArray, many: npt.NDArray[np.int64]) -> float:
    """The scatter that half of all points do not exceed, stretch by stretch."""
    order = np.argsort(ragged_mm)
    half = int(np.searchsorted(np.cumsum(many[order]), many.sum() / 2))
    return float(ragged_mm[order[min(half, len(order) - 1)]])
