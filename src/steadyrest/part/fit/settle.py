"""The iteration of solve.py written out for cylinders, cones and balls: most fits of a scan are of a few dozen points.

There a step over arrays takes ten times as long to set up as to reckon. The same steps, damped the same way, in one
loop. Checked against `solve.solved` in tests/part/fit/test_settle.py.
"""

from __future__ import annotations

from math import cos, sin, sqrt

import numpy as np
import numpy.typing as npt

from steadyrest.compiled import loop

FloatArray = npt.NDArray[np.float64]

CYLINDER, CONE, BALL = 5, 6, 4  # how many changes each has
ALL_ALIKE = np.empty(0)
LEAST_PIVOT = 1e-14  # of a matrix of ones on its diagonal: less is rounding


def settled(points: FloatArray, state: FloatArray, many: int, weights: FloatArray | None, rounds: int) -> FloatArray:
    """The surface of least (weighted) sum of squared distances near a start.

    Args:
        points: (n, 3). state: (8,) point, axis, radius and half angle; of a ball its centre, nothing, its radius.
        many: CYLINDER, CONE or BALL. weights: (n,) >= 0, or None for all alike. rounds: most steps taken.
    Returns: (8,) the state where no change improves it, or the best after `rounds`.
    Source: damped Gauss-Newton, Levenberg 1944, Marquardt 1963.
    """
    # One kind of array for the loop, or it is compiled once for each: rows in order, open to writing.
    at = np.require(points, np.float64, ("C", "W"))
    w = ALL_ALIKE if weights is None else np.require(weights, np.float64, ("C", "W"))
    out = np.array(state, dtype=np.float64)
    # Few points are fitted to the last digit; of many, the last digits mean nothing and cost time.
    tight = 1e-15 if len(at) < 1000 else 1e-9
    _settle(at, w, out, np.empty(8), np.empty((2, 6, 7)), np.empty((7, 7)), np.empty(6), many, rounds, tight)
    return out


@loop(inner=True)
def _frame(state: FloatArray, frame: FloatArray) -> None:  # pragma: no cover
    """Two unit vectors across an axis, as `solve.across` has them."""
    x, y, z = state[3], state[4], state[5]
    if abs(x) <= abs(y) and abs(x) <= abs(z):
        p, q, r = 0.0, z, -y
    elif abs(y) <= abs(z):
        p, q, r = -z, 0.0, x
    else:
        p, q, r = y, -x, 0.0
    length = sqrt(p * p + q * q + r * r)
    p, q, r = p / length, q / length, r / length
    frame[0], frame[1], frame[2] = p, q, r
    frame[3], frame[4], frame[5] = y * r - z * q, z * p - x * r, x * q - y * p


@loop(inner=True)
def _look(
    points: FloatArray, weights: FloatArray, state: FloatArray, sums: FloatArray, frame: FloatArray, many: int
) -> float:  # pragma: no cover
    """Sum of squares at a state; into sums (k, k + 1) the normal matrix and the pull beside it."""
    for i in range(many):
        for j in range(i, many + 1):
            sums[i, j] = 0.0
    if many != 4:
        _frame(state, frame)
    co, si = cos(state[7]), sin(state[7])
    total = 0.0
    s5 = 0.0
    for n in range(len(points)):
        px, py, pz = points[n, 0] - state[0], points[n, 1] - state[1], points[n, 2] - state[2]
        w = weights[n] if len(weights) else 1.0
        if many == 4:
            rho = max(sqrt(px * px + py * py + pz * pz), 1e-300)
            off = rho - state[6]
            s0, s1, s2, s3, s4 = -px / rho, -py / rho, -pz / rho, -1.0, 0.0
        else:
            x = px * frame[0] + py * frame[1] + pz * frame[2]
            y = px * frame[3] + py * frame[4] + pz * frame[5]
            z = px * state[3] + py * state[4] + pz * state[5]
            rho = max(sqrt(x * x + y * y), 1e-300)
            lean = z * co / rho + si
            off = (rho - state[6]) * co - z * si
            s0, s1, s2, s3, s4 = -x / rho * co, -y / rho * co, -x * lean, -y * lean, -1.0
            s5 = -(rho - state[6]) * si - z * co
        total += w * off * off
        s = (s0, s1, s2, s3, s4, s5)
        for i in range(many):
            pulled = w * s[i]
            for j in range(i, many):
                sums[i, j] += pulled * s[j]
            sums[i, many] += pulled * off
    return total


@loop(inner=True)
def _change(
    sums: FloatArray, work: FloatArray, change: FloatArray, damping: float, many: int
) -> bool:  # pragma: no cover
    """The damped step from the sums, each change in its own scale; false where the points do not settle it."""
    for i in range(many):
        work[i, 6] = sqrt(max(sums[i, i], 1e-300))
    for i in range(many):
        for j in range(i + 1):
            value = sums[j, i] / (work[i, 6] * work[j, 6])
            if i == j:
                value += damping
            for k in range(j):
                value -= work[i, k] * work[j, k]
            if i == j:
                if not value > LEAST_PIVOT:
                    return False
                work[i, i] = sqrt(value)
            else:
                work[i, j] = value / work[j, j]
    for i in range(many):
        value = -sums[i, many] / work[i, 6]
        for k in range(i):
            value -= work[i, k] * change[k]
        change[i] = value / work[i, i]
    for i in range(many - 1, -1, -1):
        value = change[i]
        for k in range(i + 1, many):
            value -= work[k, i] * change[k]
        change[i] = value / work[i, i]
    for i in range(many):
        change[i] /= work[i, 6]
    return True


@loop(inner=True)
def _moved(
    state: FloatArray, change: FloatArray, there: FloatArray, frame: FloatArray, many: int
) -> None:  # pragma: no cover
    """The state after a change: a shift along u and v, a tilt toward them, the radius, the half angle."""
    for k in range(8):
        there[k] = state[k]
    if many == 4:
        for k in range(3):
            there[k] += change[k]
        there[6] += change[3]
        return
    _frame(state, frame)
    for k in range(3):
        there[k] += change[0] * frame[k] + change[1] * frame[3 + k]
        there[3 + k] += change[2] * frame[k] + change[3] * frame[3 + k]
    length = sqrt(there[3] * there[3] + there[4] * there[4] + there[5] * there[5])
    for k in range(3):
        there[3 + k] /= length
    there[6] += change[4] / cos(state[7])
    if many == 6:
        there[7] += change[5]


@loop()
def _settle(
    points: FloatArray, weights: FloatArray, state: FloatArray, there: FloatArray, sums: FloatArray, work: FloatArray,
    change: FloatArray, many: int, rounds: int, tight: float,
) -> None:  # fmt: skip  # pragma: no cover
    """Steps from a state until none improves it; into the state."""
    frame = work[6]
    here = 0
    total = _look(points, weights, state, sums[0], frame, many)
    damping = 1e-9
    for _ in range(rounds):
        fine = _change(sums[here], work, change, damping, many)
        reached = np.inf
        if fine:
            _moved(state, change, there, frame, many)
            reached = _look(points, weights, there, sums[1 - here], frame, many)
        if reached <= total * (1 + 1e-12):
            most = 0.0
            for k in range(many):
                most = max(most, abs(change[k]) * sqrt(max(sums[here, k, k], 1e-300)))
            still = most <= tight * sqrt(total + len(points) * 1e-30) * sqrt(float(len(points)))
            for k in range(8):
                state[k] = there[k]
            here = 1 - here
            total = reached
            damping = max(damping / 10, 1e-12)
            if still:
                break
        else:
            damping = max(damping * 30, 1e-6)
            if damping > 1e8:
                break
