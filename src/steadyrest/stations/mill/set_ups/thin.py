"""Whether what is gripped bears it: legs between jaws that bend inwards, thin work that leans away from a cutter.

Both as beams from the cells themselves. The grip is lowered to what the legs bear; what the standing work bears bounds
the passes as a grip would.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numba as nb
import numpy as np
import numpy.typing as npt

from steadyrest.shop.figure import Reason, because
from steadyrest.stations.mill.removal.cells import BoolArray
from steadyrest.tables.practice import rule

SOLID = 0.5  # of the gripped places through which metal runs from jaw to jaw: then nothing bends


Bound = tuple[float, tuple[Reason, ...]]


@dataclass(frozen=True, slots=True)
class Borne:
    """What gripped work bears.

    grip_n: of the jaws; math.inf: whatever the vise has. push_n: of a cutter towards a jaw. why: what bounds them.
    """

    grip_n: float
    push_n: float
    why: tuple[Reason, ...]


def borne(stock: BoolArray, *, axis: int, zone: slice, pitch_mm: float, e_mpa: float, touched: BoolArray) -> Borne:
    """What the work bears between jaws.

    Args:
        stock: (nz, ny, nx) the work, nearest layer first.
        axis: 1 or 2, along which the jaws close.
        zone: layers gripped.
        pitch_mm: edge of a cell.
        e_mpa: modulus of the metal.
        touched: (n,) places along the jaws that they touch.
    Returns: the force, with the leg's or the standing work's numbers where they bound it.
    """
    turned = np.moveaxis(stock, axis, 2)  # layers, along the jaws, from jaw to jaw
    if not touched.any():
        return Borne(math.inf, math.inf, ())
    grip_n, grip_why = _squeezed(turned, zone, pitch_mm, e_mpa, touched)
    push_n, push_why = _leaning(turned, zone, pitch_mm, e_mpa)
    return Borne(grip_n, push_n, (*grip_why, *push_why))


def _squeezed(turned: BoolArray, zone: slice, pitch_mm: float, e_mpa: float, touched: BoolArray) -> Bound:
    """Legs with air between them: each a plate clamped where metal runs through, above or below the jaws."""
    gripped = turned[zone][:, touched]
    there = _thickness(gripped) > 0
    through = _through(gripped)
    if not there.any() or through.sum() >= SOLID * there.sum():
        return math.inf, ()
    legs = _first_run(gripped)[there], _first_run(gripped[:, :, ::-1])[there]
    thick_mm = float(min(np.median(legs[0]), np.median(legs[1]))) * pitch_mm
    wide_mm = float(np.count_nonzero(touched)) * pitch_mm
    middle = (zone.start + zone.stop - 1) / 2.0
    whole = turned[:, touched]
    solid = np.flatnonzero(_through(whole).sum(axis=1) >= SOLID * np.count_nonzero(touched))
    high_mm = float(np.abs(solid - middle).min()) * pitch_mm if len(solid) else math.inf
    long_mm = float(len(touched)) * pitch_mm
    inertia = wide_mm * thick_mm**3 / 12.0
    grip_mm = float(zone.stop - zone.start) * pitch_mm
    stiff = 3.0 * e_mpa * inertia / high_mm**3 if high_mm > 0 else math.inf
    # Legs joined at their ends only are beams from end to end, the jaws' force spread over them.
    ends = 384.0 * e_mpa * grip_mm * thick_mm**3 / 12.0 / long_mm**3
    force = rule("jaw_bend_mm") * max(stiff, ends)
    why = because(
        "mill.legs_bend", thick_mm=thick_mm, high_mm=min(high_mm, long_mm), force_n=force, bend_mm=rule("jaw_bend_mm")
    )
    return force, (why,)


def _leaning(turned: BoolArray, zone: slice, pitch_mm: float, e_mpa: float) -> Bound:
    """Work above the jaws as a beam clamped in them, pushed at its top towards a jaw."""
    above = turned[: zone.start]
    cells = _thickness(above)
    rows = np.flatnonzero(cells.any(axis=1))
    if not len(rows):
        return math.inf, ()
    thick = cells[rows[0] :].astype(np.float64) * pitch_mm
    inertia = (thick**3).sum(axis=1) * pitch_mm / 12.0
    arm = (np.arange(len(thick)) + 0.5) * pitch_mm
    yields = float((arm**2 * pitch_mm / (e_mpa * np.maximum(inertia, 1e-9))).sum())
    push_n = rule("rough_bend_mm") / yields
    at = int(np.argmin(inertia))
    wide = thick[at]
    thin_mm = float(wide[wide > 0].mean()) if (wide > 0).any() else 0.0
    why = because(
        "mill.leans", thick_mm=thin_mm, high_mm=len(thick) * pitch_mm, push_n=push_n, bend_mm=rule("rough_bend_mm")
    )
    return push_n, (why,)


@nb.njit(cache=True, nogil=True)
def _first_run(cells: BoolArray) -> npt.NDArray[np.int64]:
    """How many cells hang together from the first one on, along the last of three directions."""
    found = np.zeros(cells.shape[:2], np.int64)
    for z in range(cells.shape[0]):
        for y in range(cells.shape[1]):
            run = 0
            for x in range(cells.shape[2]):
                if cells[z, y, x]:
                    run += 1
                elif run:
                    break
            found[z, y] = run
    return found


@nb.njit(cache=True, nogil=True)
def _through(cells: BoolArray) -> BoolArray:
    """Where there is metal and it runs from its first cell to its last without a gap, along the last direction."""
    found = np.zeros(cells.shape[:2], np.bool_)
    for z in range(cells.shape[0]):
        for y in range(cells.shape[1]):
            runs, before = 0, False
            for x in range(cells.shape[2]):
                now = cells[z, y, x]
                if now and not before:
                    runs += 1
                before = now
            found[z, y] = runs == 1
    return found


@nb.njit(cache=True, nogil=True)
def _thickness(cells: BoolArray) -> npt.NDArray[np.int64]:
    """How many cells of metal there are along the last direction."""
    found = np.zeros(cells.shape[:2], np.int64)
    for z in range(cells.shape[0]):
        for y in range(cells.shape[1]):
            for x in range(cells.shape[2]):
                found[z, y] += cells[z, y, x]
    return found
