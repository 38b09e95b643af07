"""What holds the work in one set-up: jaws on two sides that exist by then, clamps, or a vacuum plate."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np

from steadyrest.shop.figure import Reason, because
from steadyrest.shop.floor import MillLimits
from steadyrest.stations.mill.removal.cells import BoolArray
from steadyrest.tables.practice import rule

Holding = Literal["vise", "soft jaws", "clamps", "vacuum plate"]
# What each asks for beside a plain vise: soft jaws are bored, clamps moved over once, a plate is sealed.
TROUBLE: dict[Holding, float] = {"vise": 0.0, "vacuum plate": 0.4, "soft jaws": 0.5, "clamps": 0.6}


@dataclass(frozen=True, slots=True)
class Hold:
    """One way to hold the work.

    width_mm: between the jaws, or of the face that it lies on. grip_mm: height that the jaws hold; 0 without jaws.
    force_n: what presses the work: of the vise, the clamps, the air. parallel_mm: height of the parallels, 0: none.
    finished: it grips finished faces. axis: of the two level directions as seen from the spindle, 1 or 2, the one along
    which jaws close; 0 without jaws.
    """

    kind: Holding
    width_mm: float
    grip_mm: float
    force_n: float
    parallel_mm: float
    finished: bool
    why: Reason
    axis: int = 0


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


def hold_of(
    stock: BoolArray,
    finished: BoolArray,
    *,
    pitch_mm: float,
    limits: MillLimits,
    grip: tuple[float, float] | None,
    height_mm: float,
    bare: tuple[bool, bool] = (False, False),
) -> tuple[Hold | None, tuple[Reason, ...]]:
    """The best way to hold the work as it is now, seen from the spindle.

    Args:
        stock: (nz, ny, nx) what the work is now, nearest layer first.
        finished: of the same shape: cells of the finished part.
        pitch_mm: edge of a cell.
        limits: of the mill.
        grip: of grip_of.
        height_mm: of the work.
        bare: along each of the two level directions, whether the faces stay as the stock comes.
    Returns: the way, or None; and why the others will not do.
    """
    found: list[Hold] = []
    why_not: list[Reason] = []
    bottom = _bottom(stock)
    if grip is None:
        why_not.append(because("mill.grip_none", height_mm=height_mm, least_mm=rule("grip_least_mm")))
    else:
        deep = max(round(grip[0] / pitch_mm), 1)
        zone = slice(max(bottom - deep + 1, 0), bottom + 1)
        for axis, own in zip((1, 2), bare, strict=True):
            kept = np.zeros_like(finished[zone]) if own else finished[zone]
            jaws = _jaws(stock[zone], kept, axis, pitch_mm=pitch_mm, limits=limits, grip=grip)
            if isinstance(jaws, Hold):
                found.append(jaws)
            else:
                why_not.append(jaws)
    if not any(hold.kind == "vise" for hold in found):
        flat = _flat(stock[bottom], pitch_mm=pitch_mm, limits=limits)
        found.extend(one for one in flat if isinstance(one, Hold))
        why_not.extend(one for one in flat if isinstance(one, Reason))
    best = min(found, key=lambda hold: (TROUBLE[hold.kind], hold.finished, hold.width_mm), default=None)
    return best, tuple(why_not)


def _bottom(stock: BoolArray) -> int:
    """The lowest layer in which there is work."""
    there = np.flatnonzero(stock.any(axis=(1, 2)))
    return int(there[-1]) if len(there) else stock.shape[0] - 1


def _jaws(
    zone: BoolArray, finished: BoolArray, axis: int, *, pitch_mm: float, limits: MillLimits, grip: tuple[float, float]
) -> Hold | Reason:
    """Jaws that close along one direction on the lowest layers: where the work's two outermost faces stand opposite."""
    turned = np.moveaxis(zone, axis, 0)
    kept = np.moveaxis(finished, axis, 0)
    there = turned.any(axis=0)
    count = turned.shape[0]
    low = np.where(there, turned.argmax(axis=0), count)
    high = np.where(there, count - 1 - turned[::-1].argmax(axis=0), -1)
    if not there.any():
        return because("mill.grip_nothing")
    lowest, highest = int(low.min()), int(high.max())
    width = (highest - lowest + 1) * pitch_mm
    if width > limits.vise_opening_mm:
        return because("mill.grip_wide", has_mm=width, allowed_mm=limits.vise_opening_mm)
    touch = there & (low <= lowest + 1) & (high >= highest - 1)
    along = touch.mean(axis=0) >= rule("jaw_layers_share")
    reach = np.flatnonzero(there.any(axis=0))
    long = (int(reach[-1]) - int(reach[0]) + 1) * pitch_mm
    contact = float(along.sum()) * pitch_mm
    jaw = limits.vise_jaw_mm[0]
    if long > rule("jaw_overhang") * jaw:
        return because("mill.grip_long", has_mm=long, allowed_mm=rule("jaw_overhang") * jaw, jaw_mm=jaw)
    gripped = np.asarray(kept[lowest : lowest + 2].any(axis=0))
    is_finished = bool(touch.any()) and float(gripped[touch].mean()) > 0.5
    if contact >= rule("jaw_contact_share") * min(long, jaw):
        key = f"mill.{'held_finished' if is_finished else 'held_raw'}{'' if grip[1] else '_low'}"
        why = because(key, width_mm=width, grip_mm=grip[0], parallel_mm=grip[1])
        return Hold("vise", width, grip[0], limits.vise_grip_n, grip[1], is_finished, why, axis)
    why = because("mill.held_soft", contact_mm=contact, width_mm=width, grip_mm=grip[0])
    return Hold("soft jaws", width, grip[0], rule("soft_jaw_share") * limits.vise_grip_n, grip[1], True, why, axis)


def _flat(layer: BoolArray, *, pitch_mm: float, limits: MillLimits) -> list[Hold | Reason]:
    """Held on the face that it lies on: by clamps on the table, or by the air on a vacuum plate."""
    rows, columns = np.flatnonzero(layer.any(axis=1)), np.flatnonzero(layer.any(axis=0))
    if not len(rows):
        return [because("mill.grip_nothing")]
    sizes = sorted(((rows[-1] - rows[0] + 1) * pitch_mm, (columns[-1] - columns[0] + 1) * pitch_mm), reverse=True)
    long, wide = float(sizes[0]), float(sizes[1])
    area = float(np.count_nonzero(layer)) * pitch_mm * pitch_mm
    found: list[Hold | Reason] = []
    table = sorted(limits.table_mm, reverse=True)
    edge = rule("clamp_edge_mm")
    if long + 2.0 * edge > table[0] or wide > table[1]:
        found.append(
            because(
                "mill.table_small", length_mm=long, width_mm=wide, table_length_mm=table[0], table_width_mm=table[1]
            )
        )
    elif long < rule("clamp_least_mm"):
        found.append(because("mill.clamps_cover", length_mm=long, allowed_mm=rule("clamp_least_mm")))
    elif area < rule("rest_share") * long * wide:
        found.append(because("mill.rest_small", hundredths=100.0 * area / (long * wide)))
    else:
        why = because("mill.held_clamps", length_mm=long, width_mm=wide)
        found.append(Hold("clamps", wide, 0.0, rule("clamp_n") * 2.0, 0.0, False, why))
    if limits.vacuum_mm is not None and limits.vacuum_bar is not None:
        plate = sorted(limits.vacuum_mm, reverse=True)
        force = vacuum_force_n(limits.vacuum_bar, area)
        if long > plate[0] or wide > plate[1]:
            found.append(
                because(
                    "mill.vacuum_small",
                    length_mm=long,
                    width_mm=wide,
                    plate_length_mm=plate[0],
                    plate_width_mm=plate[1],
                )
            )
        else:
            why = because("mill.held_vacuum", area_mm2=area, force_n=force, pull_bar=limits.vacuum_bar)
            found.append(Hold("vacuum plate", wide, 0.0, force, 0.0, False, why))
    return found


def vacuum_force_n(pull_bar: float, area_mm2: float) -> float:
    """What the air presses sealed work onto a plate with: pressure times area.

    Args:
        pull_bar: how far the plate's pressure falls below the air's.
        area_mm2: sealed.
    Returns: N.
    Source: definition, 1 bar = 0.1 N/mm2.
    """
    return 0.1 * pull_bar * area_mm2
