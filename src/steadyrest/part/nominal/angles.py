"""Angles are named one by one: a chamfer's 45 degrees says nothing about the next one."""

from __future__ import annotations

from math import exp, hypot, pi, sqrt

from steadyrest.part.nominal.choice import AS_MEASURED
from steadyrest.part.nominal.habits import grid_weights, habits
from steadyrest.part.nominal.unknowns import modelled
from steadyrest.shop.figure import because
from steadyrest.shop.part import Nominal, Part, Size

EXACT_DEG = 1e-4
MESH_DEG = 0.05
REACH_DEG = 3.0


def named_angle(part: Part, size: Size) -> Nominal:
    """The angle that the drawing would have shown, in degrees.

    Args:
        part: for how it was read.
        size: the angle, with its estimate and sigma in degrees.
    Returns: the nominal; source "round angle" or "as measured" ("as modelled" in a solid).
    """
    habit = habits().angle
    if modelled(part):
        rounding = EXACT_DEG if part.kind != "scan" else MESH_DEG
        near = grid_weights(habit, low_mm=size.estimate - rounding, high_mm=size.estimate + rounding, size_mm=180.0)
        value = max(near, key=lambda angle: near[angle]) if near else size.estimate
        source = "round angle" if near else "as modelled" if part.kind != "scan" else AS_MEASURED
        return Nominal(value, written(value), 1.0, source, None, (because("nominal.as_modelled"),))
    sd = hypot(size.uncertainty, habits().angle_made_deg)
    low, high = size.estimate - REACH_DEG - 4 * sd, size.estimate + REACH_DEG + 4 * sd
    odds = {
        angle: weight * (1 - habit.free) * exp(-((angle - size.estimate) ** 2) / (2 * sd**2)) / (sd * sqrt(2 * pi))
        for angle, weight in grid_weights(habit, low_mm=low, high_mm=high, size_mm=180.0).items()
    }
    total = sum(odds.values()) + habit.free
    best = max(odds, key=lambda angle: odds[angle], default=None)
    if best is None or odds[best] < habit.free:
        why = because("nominal.angle_as_measured", measured_deg=size.estimate, u_deg=size.uncertainty)
        return Nominal(size.estimate, f"{size.estimate:.1f}°", habit.free / total, AS_MEASURED, None, (why,))
    why = because("nominal.angle", measured_deg=size.estimate, u_deg=size.uncertainty, nominal=written(best))
    rivals = tuple(
        (written(a), o / total) for a, o in sorted(odds.items(), key=lambda pair: -pair[1])[1:3] if o > 0.01 * total
    )
    return Nominal(best, written(best), odds[best] / total, "round angle", None, (why,), rivals)


def written(angle_deg: float) -> str:
    """An angle as a drawing writes it."""
    return f"{angle_deg:.4f}".rstrip("0").rstrip(".") + "°"
