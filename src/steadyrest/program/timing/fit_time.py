"""A machine's constants from programs that were really timed: acceleration, corner rule, tool change.

Three constants from few times: two of them are hard to tell apart on few programs (short moves lose time either way),
so each begins at a belief and moves as far as the times ask it to (least squares in logarithms, the beliefs being rows
of it). The answer says how much of each constant the times decided, and how much is still belief.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from steadyrest.program.run import FloatArray, Run
from steadyrest.program.timing.machine_time import MachineTiming, run_time
from steadyrest.tables.practice import rule

NAMES = ("accel_mm_s2", "corner_mm", "tool_change_s")
# How far a computed time is off even with the right constants, as a share: what this model leaves out.
OFF = 0.01


@dataclass(frozen=True, slots=True)
class Fitted:
    """A machine's constants, and how sure they are.

    timing: the constants. told: by name, the share (0 to 1) of each that the times decided; the rest is belief.
    off: by program, computed over actual less 1, with these constants.
    """

    timing: MachineTiming
    told: tuple[tuple[str, float], ...]
    off: tuple[float, ...]


def fit_time(timed: Sequence[tuple[Run, float]], before: MachineTiming) -> Fitted:
    """The constants that explain the times best, not far from what is believed.

    Args:
        timed: runs and the seconds they really took; at least one, > 0.
        before: what is believed: rapid speeds are kept; acceleration, corner and tool change are fitted. A corner of
            None begins at the usual one.
    Returns: constants, and how far the times decided them.
    Raises: ValueError: no run, or a time that is not above 0.
    Source: Gauss-Newton on log times with log-normal beliefs (maximum a posteriori).
    """
    from scipy.optimize import least_squares  # late: the command's help must not wait for SciPy

    if not timed or any(not seconds > 0 for _, seconds in timed):
        raise ValueError("fit_time: no run, or a time that is not above 0")
    believed = np.array([before.accel_mm_s2, before.corner_mm or rule("corner_mm"), max(before.tool_change_s, 1.0)])
    factors = np.log([rule("accel_factor"), rule("corner_factor"), rule("tool_change_factor")])

    def constants(moved: FloatArray) -> MachineTiming:
        accel, corner, change = (float(x) for x in believed * np.exp(moved * factors))
        return replace(before, accel_mm_s2=accel, corner_mm=corner, tool_change_s=change)

    def off(moved: FloatArray) -> FloatArray:
        timing = constants(moved)
        return np.array([math.log(run_time(run, timing).total_s / seconds) for run, seconds in timed])

    def rows(moved: FloatArray) -> FloatArray:
        return np.concatenate((off(moved) / OFF, moved))

    best = least_squares(rows, np.zeros(3), diff_step=1e-3, x_scale=1.0)
    slope = np.asarray(best.jac)
    spread = np.linalg.inv(slope.T @ slope)  # one sigma of belief is 1: what is left of it after the times
    told = tuple((name, float(1 - math.sqrt(spread[k, k]))) for k, name in enumerate(NAMES))
    return Fitted(constants(best.x), told, tuple(float(math.expm1(x)) for x in off(best.x)))
