"""A way to hold the work in one set-up, and the work as it lies there."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np

from steadyrest.shop.figure import Reason
from steadyrest.shop.floor import MillLimits
from steadyrest.stations.mill.removal.cells import BoolArray
from steadyrest.stations.mill.set_ups.clamped import Clamps

Holding = Literal["vise", "soft jaws", "clamps", "vacuum plate", "chuck", "V-jaws", "turned"]
# What each asks for beside a plain vise: soft jaws are bored, clamps moved over once, a plate is sealed.
TROUBLE: dict[Holding, float] = {
    "vise": 0.0, "V-jaws": 0.0, "turned": 0.1, "chuck": 0.2, "vacuum plate": 0.4, "soft jaws": 0.5, "clamps": 0.6,
}  # fmt: skip
WEAK_TROUBLE = 0.6
ROCKS_TROUBLE = 0.7
STEEL_MPA = 210_000.0


@dataclass(frozen=True, slots=True)
class Hold:
    """One way to hold the work.

    width_mm: between the jaws, or of the face that it lies on. grip_mm: height that the jaws hold; 0 without jaws.
    force_n: what presses the work: of the vise, the clamps, the air, the chuck. parallel_mm: height of the parallels,
    0: none. finished: it grips finished faces. axis: of the two level directions as seen from the spindle, 1 or 2, the
    one along which jaws close; 0 without jaws or where they close all round. long_mm: of the work along the jaws, or
    the longer side of the face that it lies on. clamps: where they stand. more: what else to know, such as a lowered
    grip. rocks: what it lies on is stepped, so that it bears on one side only.
    """

    kind: Holding
    width_mm: float
    grip_mm: float
    force_n: float
    parallel_mm: float
    finished: bool
    why: Reason
    axis: int = 0
    long_mm: float = 0.0
    clamps: Clamps | None = None
    more: tuple[Reason, ...] = ()
    rocks: bool = False

    @property
    def moved(self) -> bool:
        """Whether its clamps are moved over once, so that what was under them is reached."""
        return self.clamps is not None and self.clamps.then is not None

    @property
    def weak(self) -> bool:
        """Whether the work bears less than the vise would give."""
        return bool(self.more)

    @property
    def trouble(self) -> float:
        """What it asks for beside a plain vise; weak work is better held otherwise, if it can be."""
        return TROUBLE[self.kind] + (WEAK_TROUBLE if self.weak else 0.0) + (ROCKS_TROUBLE if self.rocks else 0.0)

    @property
    def around(self) -> bool:
        """Whether jaws close on it from all sides."""
        return self.kind in ("chuck", "turned")


@dataclass(frozen=True, slots=True)
class Lying:
    """The work as it is now, seen from the spindle: (nz, ny, nx) cells, nearest layer first.

    stock: what there is. finished: cells of the finished part. gone: what is cut off in this set-up. pitch_mm: edge of
    a cell. grip: what the jaws hold of its height and the parallels under it, None: nothing. height_mm: of the work.
    bare: along each of the two level directions, whether the faces stay as the stock comes. e_mpa: of the metal.
    """

    stock: BoolArray
    finished: BoolArray
    gone: BoolArray
    pitch_mm: float
    limits: MillLimits
    grip: tuple[float, float] | None
    height_mm: float
    bare: tuple[bool, bool] = (False, False)
    e_mpa: float = STEEL_MPA

    @property
    def bottom(self) -> int:
        """The lowest layer in which there is work."""
        there = np.flatnonzero(self.stock.any(axis=(1, 2)))
        return int(there[-1]) if len(there) else self.stock.shape[0] - 1

    @property
    def rocks(self) -> bool:
        """Whether what it lies on reaches one rim of it and not the other: it would tip until it is packed.

        A round lies on a line in its middle: that is no step.
        """
        low = np.asarray(self.stock[max(self.bottom - 1, 0) : self.bottom + 1].any(axis=0))
        for axis in (0, 1):
            there = np.flatnonzero(self.stock.any(axis=(0, 2 - axis)))
            bears = np.flatnonzero(low.any(axis=1 - axis))
            third = len(there) / 3.0
            near, far = bears[0] < there[0] + third, bears[-1] > there[-1] - third
            if near != far:
                return True
        return False

    def lowest(self, high_mm: float) -> slice:
        """The lowest layers, so high in all."""
        deep = max(round(high_mm / self.pitch_mm), 1)
        return slice(max(self.bottom - deep + 1, 0), self.bottom + 1)
