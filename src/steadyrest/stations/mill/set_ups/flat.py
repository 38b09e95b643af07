"""Held on the face that it lies on: by clamps on the table, or by the air on a vacuum plate."""

from __future__ import annotations

import numpy as np

from steadyrest.shop.figure import Reason, because
from steadyrest.stations.mill.set_ups.clamped import Clamps, Spot, clamps_of
from steadyrest.stations.mill.set_ups.held import Hold, Lying
from steadyrest.tables.practice import rule


def flat_on(work: Lying) -> list[Hold | Reason]:
    """Every way to hold the work on its lowest face.

    Args:
        work: as it lies.
    Returns: ways, and why the others will not do.
    """
    layer = work.stock[work.bottom]
    pitch_mm, limits = work.pitch_mm, work.limits
    rows, columns = np.flatnonzero(layer.any(axis=1)), np.flatnonzero(layer.any(axis=0))
    if not len(rows):
        return [because("mill.grip_nothing")]
    sizes = sorted(((rows[-1] - rows[0] + 1) * pitch_mm, (columns[-1] - columns[0] + 1) * pitch_mm), reverse=True)
    long, wide = float(sizes[0]), float(sizes[1])
    area = float(np.count_nonzero(layer)) * pitch_mm * pitch_mm
    found = [_clamped(work, long, wide, area)]
    if limits.vacuum_mm is not None and limits.vacuum_bar is not None:
        found.append(_sucked(work, long, wide, area))
    return found


def _clamped(work: Lying, long: float, wide: float, area: float) -> Hold | Reason:
    table = sorted(work.limits.table_mm, reverse=True)
    if long + 2.0 * rule("clamp_edge_mm") > table[0] or wide > table[1]:
        return because(
            "mill.table_small", length_mm=long, width_mm=wide, table_length_mm=table[0], table_width_mm=table[1]
        )
    if long < rule("clamp_least_mm"):
        return because("mill.clamps_cover", length_mm=long, allowed_mm=rule("clamp_least_mm"))
    if area < rule("rest_share") * long * wide:
        return because("mill.rest_small", hundredths=100.0 * area / (long * wide))
    clamps = clamps_of(work.stock, work.gone, pitch_mm=work.pitch_mm)
    if isinstance(clamps, Reason):
        return clamps
    why = _where(work, clamps, long, wide)
    return Hold("clamps", wide, 0.0, rule("clamp_n") * 2.0, 0.0, False, why, 0, long, clamps)


def _where(work: Lying, clamps: Clamps, long: float, wide: float) -> Reason:
    """Where the clamps stand: along the work's longer side and across, from one corner."""
    there = np.asarray(work.stock.any(axis=0))
    corner = int(np.flatnonzero(there.any(axis=1))[0]), int(np.flatnonzero(there.any(axis=0))[0])
    rows, columns = (int(np.ptp(np.flatnonzero(there.any(axis=one)))) for one in (1, 0))

    def at(spot: Spot) -> tuple[float, float]:
        y, x = ((middle - first) * work.pitch_mm for middle, first in zip(spot.middle, corner, strict=True))
        return (x, y) if columns >= rows else (y, x)

    (ax, ay), (bx, by) = (at(spot) for spot in clamps.first)
    if clamps.then is None:
        return because("mill.held_clamps_stay", length_mm=long, width_mm=wide, ax_mm=ax, ay_mm=ay, bx_mm=bx, by_mm=by)
    (cx, cy), (dx, dy) = (at(spot) for spot in clamps.then)
    return because(
        "mill.held_clamps", length_mm=long, width_mm=wide, ax_mm=ax, ay_mm=ay, bx_mm=bx, by_mm=by, cx_mm=cx, cy_mm=cy,
        dx_mm=dx, dy_mm=dy,
    )  # fmt: skip


def _sucked(work: Lying, long: float, wide: float, area: float) -> Hold | Reason:
    limits = work.limits
    assert limits.vacuum_mm is not None, "asked only where there is a plate"
    assert limits.vacuum_bar is not None, "a plate has its pull"
    plate = sorted(limits.vacuum_mm, reverse=True)
    if long > plate[0] or wide > plate[1]:
        return because(
            "mill.vacuum_small", length_mm=long, width_mm=wide, plate_length_mm=plate[0], plate_width_mm=plate[1]
        )
    force = vacuum_force_n(limits.vacuum_bar, area)
    why = because("mill.held_vacuum", area_mm2=area, force_n=force, pull_bar=limits.vacuum_bar)
    return Hold("vacuum plate", wide, 0.0, force, 0.0, False, why, 0, long)


def vacuum_force_n(pull_bar: float, area_mm2: float) -> float:
    """What the air presses sealed work onto a plate with: pressure times area.

    Args:
        pull_bar: how far the plate's pressure falls below the air's.
        area_mm2: sealed.
    Returns: N.
    Source: definition, 1 bar = 0.1 N/mm2.
    """
    return 0.1 * pull_bar * area_mm2
