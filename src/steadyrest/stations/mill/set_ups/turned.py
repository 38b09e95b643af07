"""Held in the chuck of a level turning axis: indexed, so that every side about the axis comes up in one clamping."""

from __future__ import annotations

import math

import numpy as np

from steadyrest.shop.figure import Reason, because
from steadyrest.stations.mill.set_ups.held import Hold, Lying
from steadyrest.stations.mill.set_ups.rounds import diameter_mm
from steadyrest.tables.practice import rule

GRIP_MM = 20.0  # what the jaws of such a chuck hold, at most


def turned_grip_mm(height_mm: float) -> float:
    """How much of the work's length the chuck of a turning axis holds.

    Args:
        height_mm: of the work along the axis.
    Returns: mm.
    """
    return min(GRIP_MM, rule("grip_share") * height_mm)


def in_turning_chuck(work: Lying, *, sides: int) -> tuple[Hold | None, tuple[Reason, ...]]:
    """Held by its lower end as seen from its free one.

    Args:
        work: as it stands in the chuck, its free end nearest.
        sides: to which it is indexed.
    Returns: the way, or None; and why not.
    """
    limits = work.limits
    if limits.turn_chuck_mm is None:
        return None, ()
    grip = turned_grip_mm(work.height_mm)
    zone = work.stock[work.lowest(grip)]
    mask = np.asarray(zone.any(axis=0))
    rows, columns = np.flatnonzero(mask.any(axis=1)), np.flatnonzero(mask.any(axis=0))
    if not len(rows) or grip < rule("grip_least_mm"):
        return None, (because("mill.grip_none", height_mm=work.height_mm, least_mm=rule("grip_least_mm")),)
    wide, other = sorted(((int(np.ptp(rows)) + 1) * work.pitch_mm, (int(np.ptp(columns)) + 1) * work.pitch_mm))
    across = diameter_mm(mask, work.pitch_mm)
    width = across if across is not None else other
    low, high = limits.turn_chuck_mm
    if not (low <= wide and width <= high):
        return None, (because("mill.turned_size", least_mm=low, most_mm=high, has_mm=width if width > high else wide),)
    out_mm = work.height_mm - grip
    if out_mm > rule("stick_out_ratio") * wide:
        return None, (because("mill.turned_long", has_mm=out_mm, wide_mm=wide, ratio=rule("stick_out_ratio")),)
    swing = across if across is not None else math.hypot(wide, other)
    if limits.turn_mm is not None and swing > limits.turn_mm[0]:
        return None, (because("mill.turned_swings", has_mm=swing, allowed_mm=limits.turn_mm[0]),)
    why = because("mill.held_turned", width_mm=width, grip_mm=grip, sides=float(sides))
    return Hold("turned", width, grip, limits.turn_chuck_n, 0.0, False, why, 0, 0.0), ()
