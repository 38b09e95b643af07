"""Arcs in a turned scan's half section: balls and domes (about a point of the axis), rounded corners, grooves, rims.

Two cells of an arc propose its middle, where their normals meet; a ball needs one cell: its middle lies on the axis.
The cells that hang together on the circle judge; the best arc is sharpened by least squares. It must beat two straight
lines: a sharp corner that the scanner rounded is none.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
from numba import njit

from steadyrest.part.segment.turned_scan.section import Section

FloatArray = npt.NDArray[np.float64]
IntArray = npt.NDArray[np.int64]
BoolArray = npt.NDArray[np.bool_]

NEAR = 3.0  # sigmas of a cell: how far off the circle it may lie
LOOSE = 0.02  # of a cell's width, besides
LEANS_COS = 0.966  # between a cell's normal and the circle's
LEAST_SPACINGS, LEAST_MM = 2.0, 0.4  # a smaller arc is an edge broken by hand, as a scan shows it
LARGEST = 6.0  # of the part's largest radius
LEAST_CELLS = 5
LEAST_TURN = np.radians(35.0)
DOME_SAGITTA = 12.0  # sigmas: a cap over the axis may turn less, if it stands out so far
PARTNERS = (3.0, 6.0, 12.0, 25.0, 50.0)  # cells apart that propose together
STRAIGHT_TURN = 0.12  # rad: less between two normals proposes nothing
STEPS = 6
MISFIT = 1.8  # rms in sigmas of an arc that is believed
MOST = 40
MOST_PAIRS = 2500  # at one distance
SHARED = 1.5  # of chi-square may be what cells have in common
ARC_COSTS, LINES_COST = 3.0, 5.0  # numbers that each has to choose


@dataclass(frozen=True, slots=True)
class Bow:
    """An arc of the section. middle: (2,) along, radius; on the axis for a ball. radius_mm: of the arc.

    hollow: material lies outside of it. cells: its cells, in order round the middle. from_rad, to_rad: the turn, as
    angles about the middle from the direction along the axis.
    """

    middle: FloatArray
    radius_mm: float
    hollow: bool
    ball: bool
    cells: IntArray
    from_rad: float
    to_rad: float

    @property
    def turn_rad(self) -> float:
        return self.to_rad - self.from_rad


def bows_of(section: Section, *, spacing_mm: float, largest_mm: float) -> list[Bow]:
    """Every arc of a half section, the best explained first.

    Args:
        section: the cells. spacing_mm: of the mesh. largest_mm: radius of the part.
    Returns: arcs, none of which shares a cell.
    """
    found: list[Bow] = []
    least, most = LEAST_SPACINGS * spacing_mm + LEAST_MM, LARGEST * largest_mm
    if len(section.at) < LEAST_CELLS:
        return found
    free = np.ones(len(section.at), dtype=np.bool_)
    seeds, middles = _proposals(section, least, most)
    if not len(seeds):
        return found
    allowed = NEAR * section.sigma_mm + LOOSE * section.step_mm
    arrays = (section.at, section.normal, allowed, section.start, section.near)
    scores = _scores(seeds, middles, *arrays, free, LEANS_COS)
    for _ in range(MOST):
        best = int(np.argmax(scores))
        if scores[best] < 0.5 * LEAST_CELLS:
            break
        on = _support(int(seeds[best]), middles[best], *arrays, free, LEANS_COS)
        bow = _sharpened(section, middles[best], on, free, allowed, (least, most))
        if bow is None:
            scores[best] = 0.0
            continue
        found.append(bow)
        free[bow.cells] = False
        scores[~free[seeds]] = 0.0
        again = np.flatnonzero(scores > 0)
        scores[again] = _scores(seeds[again], middles[again], *arrays, free, LEANS_COS)
    return found


def _proposals(section: Section, least_mm: float, most_mm: float) -> tuple[IntArray, FloatArray]:
    """Cells, and the middle that each proposes: with a partner at some distance, and on the axis by itself."""
    at, normal = section.at, section.normal
    seeds, middles = list[IntArray](), list[FloatArray]()
    out = np.flatnonzero(np.abs(normal[:, 1]) > 0.03)
    reach = at[out, 1] / normal[out, 1]
    seeds.append(out)
    middles.append(np.stack((at[out, 0] - reach * normal[out, 0], np.zeros(len(out))), axis=1))
    apart = np.linalg.norm(at[:, None] - at[None], axis=2) / section.step_mm if len(at) < 4000 else None
    if apart is not None:
        for cells in PARTNERS:
            i, j = np.nonzero((apart > 0.8 * cells) & (apart < 1.2 * cells))
            few = slice(None, None, max(1, len(i) // MOST_PAIRS))
            i, j = i[few], j[few]
            turn = normal[i] - normal[j]
            size = np.einsum("ij,ij->i", turn, turn)
            fine = size > STRAIGHT_TURN**2
            i, j, turn, size = i[fine], j[fine], turn[fine], size[fine]
            t = -np.einsum("ij,ij->i", at[i] - at[j], turn) / size
            seeds.append(i)
            middles.append((at[i] + at[j] + t[:, None] * (normal[i] + normal[j])) / 2)
    seed, middle = np.concatenate(seeds), np.concatenate(middles)
    radius = np.linalg.norm(at[seed] - middle, axis=1)
    fine = (radius > least_mm) & (radius < most_mm)
    return seed[fine].astype(np.int64), middle[fine]


@njit(cache=True)
def _support(  # pragma: no cover
    seed: int, middle: FloatArray, at: FloatArray, normal: FloatArray, allowed: FloatArray, start: IntArray,
    near: IntArray, free: BoolArray, leans: float,
) -> IntArray:  # fmt: skip
    """Cells that hang together with a seed on the circle about a middle through it."""
    radius = np.hypot(at[seed, 0] - middle[0], at[seed, 1] - middle[1])
    sense = (
        1.0 if (at[seed, 0] - middle[0]) * normal[seed, 0] + (at[seed, 1] - middle[1]) * normal[seed, 1] > 0 else -1.0
    )
    marked = np.zeros(len(at), np.bool_)
    stack = np.empty(len(at), np.int64)
    out = np.empty(len(at), np.int64)
    stack[0], top, count = seed, 1, 0
    marked[seed] = True
    while top > 0:
        top -= 1
        k = stack[top]
        x, y = at[k, 0] - middle[0], at[k, 1] - middle[1]
        far = np.hypot(x, y)
        if abs(far - radius) > allowed[k] or sense * (x * normal[k, 0] + y * normal[k, 1]) < leans * far:
            continue
        out[count] = k
        count += 1
        for j in near[start[k] : start[k + 1]]:
            if free[j] and not marked[j]:
                marked[j] = True
                stack[top] = j
                top += 1
    return out[:count].copy()


@njit(cache=True)
def _scores(  # pragma: no cover
    seeds: IntArray, middles: FloatArray, at: FloatArray, normal: FloatArray, allowed: FloatArray, start: IntArray,
    near: IntArray, free: BoolArray, leans: float,
) -> FloatArray:  # fmt: skip
    out = np.zeros(len(seeds))
    for k in range(len(seeds)):
        if not free[seeds[k]]:
            continue
        on = _support(seeds[k], middles[k], at, normal, allowed, start, near, free, leans)
        radius = np.hypot(at[seeds[k], 0] - middles[k, 0], at[seeds[k], 1] - middles[k, 1])
        for i in on:
            off = (np.hypot(at[i, 0] - middles[k, 0], at[i, 1] - middles[k, 1]) - radius) / allowed[i]
            out[k] += 1 - off * off
    return out


def _sharpened(
    section: Section, middle: FloatArray, on: IntArray, free: BoolArray, allowed: FloatArray,
    limits_mm: tuple[float, float],
) -> Bow | None:  # fmt: skip
    """The arc of least squares through its cells, grown again as it sharpens; None where it is not believed."""
    radius, ball, sense = 0.0, False, 1.0
    for _ in range(5):
        if len(on) < LEAST_CELLS:
            return None
        middle, radius, ball = _fitted(section, on, middle)
        if not limits_mm[0] < radius < limits_mm[1]:
            return None
        away = section.at - middle
        far = np.hypot(away[:, 0], away[:, 1])
        lean = np.einsum("ij,ij->i", away, section.normal) / np.maximum(far, 1e-9)
        sense = float(np.sign(np.median(lean[on])))
        lies = free & (np.abs(far - radius) < allowed) & (sense * lean > LEANS_COS)
        grown = _together(section, lies, on)
        if len(grown) == len(on) and (grown == np.sort(on)).all():
            break
        on = grown
    off = (np.hypot(*(section.at[on] - middle).T) - radius) / section.sigma_mm[on]
    if len(on) < LEAST_CELLS or float(np.sqrt(np.mean(off * off))) > MISFIT:
        return None
    angle = np.arctan2(section.at[on, 1] - middle[1], section.at[on, 0] - middle[0])
    angle = _unbroken(angle)
    on, angle = on[np.argsort(angle)], np.sort(angle)
    half = section.step_mm / (2 * radius)
    bow = Bow(middle, radius, sense < 0, ball, on, float(angle[0] - half), float(angle[-1] + half))
    return bow if _turns_enough(section, bow) and _beats_two_lines(section, bow) else None


def _fitted(section: Section, on: IntArray, middle: FloatArray) -> tuple[FloatArray, float, bool]:
    """Middle and radius by weighted least squares; on the axis, if that explains the cells as well."""
    at, w = section.at[on], 1 / np.square(section.sigma_mm[on])
    loose, ball = _circle(at, w, middle), _ball(at, w, middle)
    costs = [float(w @ np.square(np.hypot(*(at - m).T) - r)) for m, r in (loose, ball)]
    # Neighbouring cells are not quite their own: a gain counts less than it says.
    if costs[1] < SHARED * costs[0] + np.log(len(on)) + 4:
        return *ball, True
    return *loose, False


def _circle(at: FloatArray, w: FloatArray, middle: FloatArray) -> tuple[FloatArray, float]:
    """The circle of least weighted squared distance near a start."""
    root = np.sqrt(w)
    radius = float(w @ np.hypot(*(at - middle).T)) / float(w.sum())
    for _ in range(STEPS):
        away = at - middle
        far = np.maximum(np.hypot(away[:, 0], away[:, 1]), 1e-9)
        slopes = np.stack((-away[:, 0] / far, -away[:, 1] / far, -np.ones_like(far)), axis=1) * root[:, None]
        change = np.linalg.lstsq(slopes, -(far - radius) * root, rcond=None)[0]
        middle, radius = middle + change[:2], radius + float(change[2])
    return middle, radius


def _ball(at: FloatArray, w: FloatArray, middle: FloatArray) -> tuple[FloatArray, float]:
    """The same about a point of the axis."""
    root = np.sqrt(w)
    place, radius = float(middle[0]), float(w @ np.hypot(at[:, 0] - middle[0], at[:, 1])) / float(w.sum())
    for _ in range(STEPS):
        far = np.maximum(np.hypot(at[:, 0] - place, at[:, 1]), 1e-9)
        slopes = np.stack((-(at[:, 0] - place) / far, -np.ones_like(far)), axis=1) * root[:, None]
        change = np.linalg.lstsq(slopes, -(far - radius) * root, rcond=None)[0]
        place, radius = place + float(change[0]), radius + float(change[1])
    return np.array([place, 0.0]), radius


def _together(section: Section, lies: BoolArray, on: IntArray) -> IntArray:
    """The cells that lie on the arc and hang together with those known."""
    seen = np.zeros(len(lies), dtype=np.bool_)
    stack = [int(k) for k in on if lies[k]]
    seen[stack] = True
    while stack:
        k = stack.pop()
        for j in section.near[section.start[k] : section.start[k + 1]].tolist():
            if lies[j] and not seen[j]:
                seen[j] = True
                stack.append(j)
    return np.flatnonzero(seen)


def _unbroken(angle: FloatArray) -> FloatArray:
    """Angles without the jump at pi, where the largest gap lies elsewhere."""
    ordered = np.sort(angle)
    gaps = np.diff(ordered, append=ordered[0] + 2 * np.pi)
    cut = ordered[(int(np.argmax(gaps)) + 1) % len(ordered)]
    return np.where(angle < cut - 1e-12, angle + 2 * np.pi, angle)


def _turns_enough(section: Section, bow: Bow) -> bool:
    if bow.turn_rad > LEAST_TURN:
        return True
    sagitta = bow.radius_mm * (1 - np.cos(bow.turn_rad / (1 if bow.ball else 2)))
    on_axis = bow.ball and float(section.at[bow.cells, 1].min()) < 0.35 * float(section.at[bow.cells, 1].max())
    return on_axis and sagitta > DOME_SAGITTA * float(np.median(section.sigma_mm[bow.cells]))


def _beats_two_lines(section: Section, bow: Bow) -> bool:
    """Whether an arc explains its cells better than the two best lines do, in order round its middle."""
    at, sigma = section.at[bow.cells], section.sigma_mm[bow.cells]
    arc = float(np.sum(np.square((np.hypot(*(at - bow.middle).T) - bow.radius_mm) / sigma)))
    lines = min(
        (_line_cost(at[:k], sigma[:k]) + _line_cost(at[k:], sigma[k:]) for k in range(2, len(at) - 1)),
        default=np.inf,
    )
    costs = np.log(len(at))
    return arc + ARC_COSTS * costs < lines + LINES_COST * costs


def _line_cost(at: FloatArray, sigma: FloatArray) -> float:
    w = 1 / np.square(sigma)
    q = at - (w @ at) / w.sum()
    return float(np.linalg.eigvalsh((q * w[:, None]).T @ q)[0])
