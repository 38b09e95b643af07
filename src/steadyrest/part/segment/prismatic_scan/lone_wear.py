"""A worn bore or pin that stands alone: its level before wear, with its axis left to move.

Alone, wear on one side looks like a shifted centre, and a plain fit hides half of it. So the centre is fitted
together with the wear: the wear is one window, an arc of the turn by a stretch of the length, sunk below the level and
fading towards the ends of its arc. Every window is tried; the one that the evidence speaks for is kept if it beats an
unworn wall by more than so many windows would by luck. What lies outside of it settles level and axis. Where a
window that stands proud explains more, an old weld is there and no wear; or a scanner's skin, and nothing is said.
Not known: the same depth all round and all along leaves nothing unworn, and stays a larger bore.
"""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

from steadyrest.part.wear.worn import Seat, Unworn

FloatArray = npt.NDArray[np.float64]
IntArray = npt.NDArray[np.int64]

ROWS, COLUMNS = 10, 36  # most cells
FEWEST = 24  # cells
LEAST_OUTSIDE = 0.2  # share of the cells that must be left unworn
ARCS = tuple(np.radians((80.0, 120.0, 160.0, 200.0, 240.0, 280.0)))
TURNS = 24
SHORTEST = 0.25  # stretch of the length
DEEPEST_MM = 0.6
LEAST_MM = 0.045  # shallower is drift or film
# Twice the log of the evidence for wear, the windows tried paid for: one lone round in ten is worn (judgement), and it
# must be forty to one that this one is.
SURE = 2 * float(np.log(400.0))
LOOSE = 4.0  # sigmas beyond which a cell counts no more
ODD_SHARE, MISFIT = 0.12, 2.5  # cells that fit no level; scatter of the others, in sigmas
OF_SHAPE = 0.2  # of its depth by which wear may differ from a window's shape
LEAST_SEEN = 0.6  # share of the grid's cells: of a wall seen in part, skin may pass for what wear left
STATION = 0.12  # of the noise: what no averaging takes away
ASTRAY_MM, ASTRAY = 0.08, 0.3  # by which one clamping's rounds stand off one line; of its depth, as the fit goes
OF_DEPTH = 0.05  # of the wear may be in the level
OF_ONE_SIDE = 0.15  # of its depth that wear on one side leaves at least, as scatter, about the best shifted circle
CONTENDERS = 8  # windows, sunk and proud each, that are weighed with their own roughness


def lone_level(
    seat: Seat, beside_mm: tuple[float, float] | None = None, seat_scatter_mm: float | None = None
) -> Unworn | None:
    """The level before wear, or under an earlier repair, of a seat whose axis nothing else places.

    Args:
        seat: its points about a first axis, not more than a tenth or two off.
        beside_mm: where the line of a sound round beside it runs, seen from that axis at the angles 0 and a quarter
            turn; what was made in one clamping with it shares it. None if there is none.
        seat_scatter_mm: how far beyond the noise a fit scatters that holds the seat all round; None if it does not.
    Returns: level and wear, or what stands proud; None where no window is believed.
    Source: own; checked in tests/part/segment/test_lone_wear.py against walls whose wear is known.
    """
    grid = cells_of(seat)
    if grid is None:
        return None
    level, angle, along, sigma, place_in = grid
    length = max(float(np.ptp(along)), 1e-9)
    place = (along - along.min()) / length
    base = np.stack((np.ones_like(level), np.cos(angle), np.sin(angle)), axis=1)
    # Where most of a wall is worn, what is left of it is the odd one out: it must be heard.
    weights = (np.abs(level - np.median(level)) < DEEPEST_MM).astype(np.float64)
    windows = windows_of(angle, place)
    best = best_window(base, level, weights, windows, sigma)
    if best is None:
        return None
    window = windows[:, best]
    found, cost = with_window(base, level, window, sigma)
    if found[3] > 0 and all_round(window):
        window = 1 - window  # nothing is welded or hung all round a stretch: that is what wear left
        found, cost = with_window(base, level, window, sigma)
    depth = -float(found[3])
    tried = 2 * np.log(2 * windows.shape[1])
    gain = without_window(base, level, sigma) - cost
    gain *= apart(level - np.column_stack((base, window)) @ found, place_in)
    least = max(LEAST_MM, 3 * sigma / np.sqrt(max(float(window.sum()), 1.0)))
    if not least < abs(depth) < DEEPEST_MM or gain - tried < SURE:
        return None
    if seat_scatter_mm is not None and not all_round(window) and seat_scatter_mm < OF_ONE_SIDE * abs(depth):
        return None  # what was found lies too evenly for that: a scanner's skin hangs beside it
    if beside_mm is not None and np.hypot(*(seat.sign * found[1:3] - np.array(beside_mm))) > max(
        ASTRAY_MM, ASTRAY * abs(depth)
    ):
        return None  # so much wear would have been made off the line of the round beside it
    return level_outside(seat, base, level, along, window, found, sigma)


def level_outside(
    seat: Seat, base: FloatArray, level: FloatArray, along: FloatArray, window: FloatArray, found: FloatArray,
    sigma: float,
) -> Unworn | None:  # fmt: skip
    """What a window says of a seat: its level outside of it, and the wear or weld in it; None where it fits badly."""
    depth = -float(found[3])
    full = np.column_stack((base, window))
    rest = np.abs(level - full @ found) / np.hypot(sigma, OF_SHAPE * depth)
    even = rest < LOOSE
    if np.mean(~even) > ODD_SHARE or float(np.sqrt(np.mean(np.square(rest[even])))) > MISFIT:
        return None  # one window does not explain this wall
    spread = np.linalg.pinv(full.T @ full) * sigma**2
    u_mm = float(np.sqrt(spread[0, 0] + (STATION * seat.noise_mm) ** 2 + (OF_DEPTH * depth) ** 2))
    worn = window > 0.1
    where = (float(along[worn].min()), float(along[worn].max()))
    if depth < 0:
        return Unworn(seat.sign * float(found[0]), u_mm, 0.0, proud_mm=-depth, proud_along_mm=where)
    lost = base @ found[:3] - level
    deep = float(np.quantile(lost[window > 0.5], 0.8)) if (window > 0.5).sum() >= 4 else depth
    return Unworn(
        seat.sign * float(found[0]), u_mm, max(depth, min(deep, 1.25 * depth)),
        where, float(worn.mean()),
    )  # fmt: skip


def left_over_mm(seat: Seat) -> float:
    """What the best window leaves of a seat's unevenness about its line, rms over its cells; inf of too few cells."""
    grid = cells_of(seat)
    if grid is None:
        return float(np.inf)
    level, angle, along, sigma, _ = grid
    base = np.stack((np.ones_like(level), np.cos(angle), np.sin(angle)), axis=1)
    windows = windows_of(angle, (along - along.min()) / max(float(np.ptp(along)), 1e-9))
    best = best_window(base, level, np.ones_like(level), windows, sigma)
    full = base if best is None else np.column_stack((base, windows[:, best]))
    rest = level - full @ robust(full, level, sigma)[0]
    return float(np.sqrt(np.mean(np.square(rest))))


def cells_of(seat: Seat) -> tuple[FloatArray, FloatArray, FloatArray, float, IntArray] | None:
    """Means over a grid: (n,) outward level, angle, along; one sigma of a mean; (n, 2) row and column of each."""
    low, high = float(seat.along.min()), float(seat.along.max())
    radius = float(np.median(seat.radius))
    size = max(2.2 * seat.correlation_mm, 1e-6)
    columns = int(np.clip(2 * np.pi * radius / size, 12, COLUMNS))
    rows = int(np.clip((high - low) / size, 1, ROWS))
    row = np.minimum(((seat.along - low) / max(high - low, 1e-9) * rows).astype(np.int64), rows - 1)
    column = ((seat.angle / (2 * np.pi) + 0.5) * columns).astype(np.int64) % columns
    key = row * columns + column
    count = np.bincount(key, minlength=rows * columns)
    full = np.flatnonzero(count >= max(3.0, 0.25 * float(np.median(count[count > 0]))))
    if len(full) < max(FEWEST, LEAST_SEEN * rows * columns):
        return None
    order = np.argsort(key, kind="stable")
    ends = np.searchsorted(key[order], np.arange(rows * columns + 1))
    value = seat.sign * seat.radius
    level = np.array([np.median(value[order[ends[k] : ends[k + 1]]]) for k in full])
    along = np.bincount(key, weights=seat.along, minlength=rows * columns)[full] / count[full]
    angle = (full % columns + 0.5) / columns * 2 * np.pi - np.pi
    rows_columns = np.stack((full // columns, full % columns), axis=1)
    return level, angle, along, scatter_of(level, full, columns, seat.noise_mm), rows_columns


def apart(rest: FloatArray, place: IntArray) -> float:
    """What share of the cells speaks for itself: the noise's slow part makes neighbours say one thing together.

    Args:
        rest: (n,) what a fit leaves at each cell. place: (n, 2) row and column of it; the last column meets the first.
    Returns: 0 to 1.
    Source: cells of lag-one correlation r are worth (1 - r)/(1 + r) of so many free ones (Bayley and Hammersley 1946),
        taken once along and once round.
    """
    rows, columns = (int(n) + 1 for n in place.max(axis=0))
    grid = np.full((rows + 1, columns), np.nan)
    grid[place[:, 0], place[:, 1]] = np.clip(rest, *(LOOSE * float(np.median(np.abs(rest))) * np.array([-1.5, 1.5])))
    out = 1.0
    for step in ((-1, 0), (0, -1)):
        both = grid * np.roll(grid, step, axis=(0, 1))
        there = np.isfinite(both)
        if np.count_nonzero(there) >= 12:
            alike = float(both[there].mean()) / max(float(np.nanmean(np.square(grid))), 1e-18)
            out *= (1 - alike) / (1 + alike) if 0 < alike < 1 else 1.0
    return out


def scatter_of(level: FloatArray, full: IntArray, columns: int, noise_mm: float) -> float:
    """One sigma of a cell as the cells themselves tell it: from the steps between neighbours, which wear hardly has."""
    grid = np.full(int(full.max()) + 1 + columns, np.nan)
    grid[full] = level
    across = grid[(full // columns) * columns + (full + 1) % columns] - level
    steps = across[np.isfinite(across)]
    heard = 1.4826 * float(np.median(np.abs(steps))) / np.sqrt(2) if len(steps) >= 12 else 0.4 * noise_mm
    return max(heard * 1.2, STATION * noise_mm)  # neighbours still share a little


def windows_of(angle: FloatArray, place: FloatArray) -> FloatArray:
    """(n, windows) share of the full depth at each cell: arcs that fade to their ends, and all round, by stretches."""
    arcs = [np.ones_like(angle)]
    for arc in ARCS:
        for middle in np.arange(TURNS) * 2 * np.pi / TURNS:
            off = np.abs((angle - middle + np.pi) % (2 * np.pi) - np.pi)
            arcs.append(np.where(off < arc / 2, np.sqrt(np.maximum(np.cos(off / arc * np.pi), 0.0)), 0.0))
    rows = np.unique(np.round(place * ROWS)) / ROWS
    marks = (-1.0, *(float(m) for m in (rows[1:] + rows[:-1]) / 2), 2.0)
    stretches = [
        ((place > a) & (place < b)).astype(np.float64)
        for i, a in enumerate(marks)
        for b in marks[i + 1 :]
        if min(b, 1.0) - max(a, 0.0) > SHORTEST
    ]
    out = [arc * stretch for arc in arcs for stretch in stretches]
    kept = [w for w in out if np.count_nonzero(w > 0.3) >= 4 and np.mean(w < 0.05) > LEAST_OUTSIDE]
    return np.stack(kept, axis=1) if kept else np.zeros((len(angle), 0))


def best_window(
    base: FloatArray, level: FloatArray, weights: FloatArray, windows: FloatArray, sigma: float
) -> int | None:
    """The window that, sunk below the level or standing proud, explains most, the rest fitted with it.

    Those that take most of the misfit away are weighed again, each with what wear or weld of its depth may be rough.
    Source: the gain of one more column is its part square to the others: (w.r)^2 / w.w, after both lost theirs.
    """
    if not windows.shape[1]:
        return None
    scale = np.sqrt(weights)
    q = np.linalg.qr(base * scale[:, None])[0]
    rest = level * scale
    rest = rest - q @ (q.T @ rest)
    square = windows * scale[:, None]
    square = square - q @ (q.T @ square)
    size = np.einsum("ij,ij->j", square, square)
    along = square.T @ rest
    gain = np.where(size > 1e-6, along * along / np.maximum(size, 1e-6), 0.0)
    if gain.max() <= 0:
        return None
    contenders = [
        int(k)
        for side in (along < 0, along > 0)
        for k in np.argsort(-np.where(side, gain, 0.0), kind="stable")[:CONTENDERS]
        if side[k]
    ]
    return min(contenders, key=lambda k: with_window(base, level, windows[:, k], sigma)[1])


def all_round(window: FloatArray) -> bool:
    """Whether a window is a stretch of the length and no arc: all of its cells are equally deep."""
    return bool(np.all((window == 0) | (window == 1)))


def with_window(base: FloatArray, level: FloatArray, window: FloatArray, sigma: float) -> tuple[FloatArray, float]:
    """Level, centre and depth with this window, and what it leaves: twice the log of how unlikely, up to a constant."""
    full = np.column_stack((base, window))
    found, _ = robust(full, level, sigma)
    rough = 1 + np.square(OF_SHAPE * found[3] * window / sigma)
    cost = np.minimum(np.square((level - full @ found) / sigma) / rough, LOOSE**2) + np.log(rough)
    return found, float(np.sum(cost))


def without_window(base: FloatArray, level: FloatArray, sigma: float) -> float:
    """What an unworn wall leaves, as `with_window`; the window's own parameter paid for."""
    found, _ = robust(base, level, sigma)
    cost = np.minimum(np.square((level - base @ found) / sigma), LOOSE**2)
    return float(np.sum(cost)) - float(np.log(len(level)))


def robust(left: FloatArray, right: FloatArray, sigma: float) -> tuple[FloatArray, FloatArray]:
    """Least squares with what lies far off counted no more: the solution and the (n,) weights."""
    weights = np.ones(len(right))
    found = np.zeros(left.shape[1])
    for _ in range(6):
        found = np.linalg.lstsq(left * weights[:, None], right * weights, rcond=None)[0].astype(np.float64)
        off = np.abs(right - left @ found)
        width = LOOSE * max(sigma, 1.4826 * float(np.median(off)))
        weights = (off < width).astype(np.float64)
    return found, weights
