"""Round work on a mill: upright in a chuck or collet block on the table, or lying in V-jaws in the vise."""

from __future__ import annotations

import math

import numpy as np

from steadyrest.shop.figure import Reason, because
from steadyrest.stations.mill.removal.cells import BoolArray
from steadyrest.stations.mill.set_ups.held import Hold, Lying
from steadyrest.tables.practice import rule

NEAR = 0.03  # of a disc's area: more or less than it makes no round


def diameter_mm(mask: BoolArray, pitch_mm: float) -> float | None:
    """The diameter of a section that is round.

    Args:
        mask: (m, n) cells of the section.
        pitch_mm: edge of a cell.
    Returns: mm; None where it is not round.
    """
    rows, columns = np.flatnonzero(mask.any(axis=1)), np.flatnonzero(mask.any(axis=0))
    if not len(rows):
        return None
    high, wide = int(np.ptp(rows)) + 1, int(np.ptp(columns)) + 1
    if abs(high - wide) > 2:
        return None
    area = math.pi / 4.0 * high * wide
    # What is inside counts as well, for a tube is held by its outside.
    filled = int((np.maximum.accumulate(mask, axis=1) & np.maximum.accumulate(mask[:, ::-1], axis=1)[:, ::-1]).sum())
    slack = NEAR + 2.0 / max(high, wide)
    return (high + wide) / 2.0 * pitch_mm if abs(filled - area) <= slack * area else None


def round_holds(work: Lying) -> list[Hold | Reason]:
    """Every way to hold round work that the machine has; nothing where the work is not round.

    Args:
        work: as it lies.
    Returns: ways, and why the others will not do.
    """
    return [one for one in (_in_chuck(work), *(_in_v_jaws(work, axis) for axis in (1, 2))) if one is not None]


def _in_chuck(work: Lying) -> Hold | Reason | None:
    """Upright: round all the way up that the jaws hold."""
    limits = work.limits
    if limits.chuck_mm is None:
        return None
    grip = min(limits.chuck_jaw_mm, rule("grip_share") * work.height_mm)
    zone = work.stock[work.lowest(grip)]
    across = diameter_mm(np.asarray(zone.any(axis=0)), work.pitch_mm)
    if across is None or diameter_mm(np.asarray(zone.all(axis=0)), work.pitch_mm) is None:
        return None
    low, high = limits.chuck_mm
    if not low <= across <= high:
        return because("mill.chuck_size", least_mm=low, most_mm=high, has_mm=across)
    if grip < rule("grip_least_mm"):
        return because("mill.grip_none", height_mm=work.height_mm, least_mm=rule("grip_least_mm"))
    why = because("mill.held_chuck", diameter_mm=across, grip_mm=grip)
    return Hold("chuck", across, grip, limits.chuck_grip_n, 0.0, False, why, 0, across)


def _in_v_jaws(work: Lying, axis: int) -> Hold | Reason | None:
    """Lying along a level direction: round over all of its length; the jaws close across it."""
    limits = work.limits
    if limits.v_block_mm is None or work.grip is None:
        return None
    along = 3 - axis
    across = diameter_mm(np.asarray(work.stock.any(axis=along)), work.pitch_mm)
    if across is None:
        return None
    low, high = limits.v_block_mm
    if not low <= across <= high or across > limits.vise_opening_mm:
        return because("mill.v_size", least_mm=low, most_mm=min(high, limits.vise_opening_mm), has_mm=across)
    there = np.flatnonzero(work.stock.any(axis=(0, axis)))
    long = (int(there[-1]) - int(there[0]) + 1) * work.pitch_mm
    if long > rule("jaw_overhang") * limits.vise_jaw_mm[0]:
        jaw = limits.vise_jaw_mm[0]
        return because("mill.grip_long", has_mm=long, allowed_mm=rule("jaw_overhang") * jaw, jaw_mm=jaw)
    # Jaws reach over the middle, or the round would be squeezed out upwards.
    grip = min(0.6 * across, limits.vise_jaw_mm[1])
    if grip <= 0.5 * across:
        return because("mill.v_size", least_mm=low, most_mm=1.8 * limits.vise_jaw_mm[1], has_mm=across)
    why = because("mill.held_v", diameter_mm=across, grip_mm=grip)
    force_n = rule("v_block_share") * limits.vise_grip_n
    return Hold("V-jaws", across, grip, force_n, 0.0, False, why, axis, long)
