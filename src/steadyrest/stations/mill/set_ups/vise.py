"""Held between the jaws of a vise: where the work's two outermost faces stand opposite, and what it bears there."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from steadyrest.shop.figure import Reason, because
from steadyrest.shop.floor import MillLimits
from steadyrest.stations.mill.set_ups.held import Hold, Lying
from steadyrest.stations.mill.set_ups.thin import borne
from steadyrest.tables.practice import rule


def grip_of(limits: MillLimits, height_mm: float) -> tuple[float, float] | None:
    """How much of the work's height the jaws hold, and on which parallels.

    Args:
        limits: of the mill.
        height_mm: of the work as it lies.
    Returns: (grip, height of the parallels); None where even the highest pair leaves too little above the jaws.
    """
    jaw = limits.vise_jaw_mm[1]
    ways = [(jaw, 0.0), *((jaw - pair, pair) for pair in limits.parallels_mm)]
    most = rule("grip_share") * height_mm
    good = [way for way in ways if rule("grip_least_mm") <= way[0] <= most]
    return max(good) if good else None


def in_jaws(work: Lying, axis: int, *, own: bool) -> tuple[Hold | None, tuple[Reason, ...]]:
    """Held by jaws that close along one level direction on the lowest layers.

    Args:
        work: as it lies; its grip is not None.
        axis: 1 or 2.
        own: the faces there stay as the stock comes.
    Returns: the way with the grip that the work bears, or None; and why not.
    """
    grip, limits, pitch_mm = work.grip, work.limits, work.pitch_mm
    assert grip is not None, "asked only where the jaws have something to hold"
    zone = work.lowest(grip[0])
    turned = np.moveaxis(work.stock[zone], axis, 0)
    kept = np.moveaxis(np.zeros_like(work.finished[zone]) if own else work.finished[zone], axis, 0)
    there = turned.any(axis=0)
    if not there.any():
        return None, (because("mill.grip_nothing"),)
    count = turned.shape[0]
    low = np.where(there, turned.argmax(axis=0), count)
    high = np.where(there, count - 1 - turned[::-1].argmax(axis=0), -1)
    lowest, highest = int(low.min()), int(high.max())
    width = (highest - lowest + 1) * pitch_mm
    if width > limits.vise_opening_mm:
        return None, (because("mill.grip_wide", has_mm=width, allowed_mm=limits.vise_opening_mm),)
    touch = there & (low <= lowest + 1) & (high >= highest - 1)
    along = np.asarray(touch.mean(axis=0) >= rule("jaw_layers_share"))
    reach = np.flatnonzero(there.any(axis=0))
    long = (int(reach[-1]) - int(reach[0]) + 1) * pitch_mm
    contact = float(along.sum()) * pitch_mm
    jaw = limits.vise_jaw_mm[0]
    if long > rule("jaw_overhang") * jaw:
        return None, (because("mill.grip_long", has_mm=long, allowed_mm=rule("jaw_overhang") * jaw, jaw_mm=jaw),)
    gripped = np.asarray(kept[lowest : lowest + 2].any(axis=0))
    is_finished = bool(touch.any()) and float(gripped[touch].mean()) > 0.5
    if contact >= rule("jaw_contact_share") * min(long, jaw):
        key = f"mill.{'held_finished' if is_finished else 'held_raw'}{'' if grip[1] else '_low'}"
        why = because(key, width_mm=width, grip_mm=grip[0], parallel_mm=grip[1])
        hold = Hold("vise", width, grip[0], limits.vise_grip_n, grip[1], is_finished, why, axis, long)
        return _as_borne(hold, work, zone, along)
    why = because("mill.held_soft", contact_mm=contact, width_mm=width, grip_mm=grip[0])
    force_n = rule("soft_jaw_share") * limits.vise_grip_n
    hold = Hold("soft jaws", width, grip[0], force_n, grip[1], True, why, axis, long)
    # Soft jaws have the part's form: they touch it all along.
    return _as_borne(hold, work, zone, np.asarray(there.any(axis=0)))


def _as_borne(hold: Hold, work: Lying, zone: slice, touched: np.ndarray) -> tuple[Hold | None, tuple[Reason, ...]]:
    """The hold with no more grip than the work bears; None where that would not hold it."""
    bears = borne(work.stock, axis=hold.axis, zone=zone, pitch_mm=work.pitch_mm, e_mpa=work.e_mpa, touched=touched)
    # A grip of so much lets through a push of so much, by friction on two faces and with safety.
    through = 2.0 * rule("jaw_friction") / rule("holding_safety")
    force_n = min(hold.force_n, bears.grip_n, bears.push_n / through)
    if force_n >= hold.force_n:
        return hold, ()
    if force_n < rule("jaw_least_n"):
        weak = because("mill.gripped_weak", least_n=rule("jaw_least_n") * through, push_n=force_n * through)
        return None, (*bears.why, weak)
    told: list[Reason] = list(bears.why)
    if bears.grip_n < hold.force_n:
        told.append(because("mill.held_lightly", force_n=bears.grip_n, from_n=hold.force_n))
    if bears.push_n / through < min(hold.force_n, bears.grip_n):
        told.append(because("mill.cut_lightly", push_n=bears.push_n))
    return replace(hold, force_n=force_n, more=tuple(told)), ()
