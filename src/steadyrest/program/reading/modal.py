"""What holds until a word changes it: position, units, zero, plane, feed, speed, tool, cycle."""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from typing import Literal

from steadyrest.program.reading.dialect import Dialect
from steadyrest.program.run import Plane
from steadyrest.units import MM_PER_IN

NO_MOTION = -1
THREAD = 4
SKIP = 5
CYCLE = 6

FeedMode = Literal["inverse time", "feed per minute", "feed per turn"]


@dataclass(slots=True)
class Cycle:
    """A canned cycle in force and what it keeps from line to line.

    level: where the drilling axis stood when the cycles began, machine coordinates. near, bottom, back: R, Z and K in
    work coordinates, mm, None until given. Written incrementally R counts from the first level, Z from R, K from Z; a
    level once given stays where it is. q_mm, dwell_s, shift_mm: as last written.
    """

    does: str
    level: float
    near: float | None = None
    bottom: float | None = None
    q_mm: float = 0.0
    dwell_s: float = 0.0
    shift_mm: tuple[float, float] = (0.0, 0.0)
    back: float | None = None
    motion_before: int = NO_MOTION


@dataclass(slots=True)
class State:
    """The control's memory. Positions in machine coordinates, mm; nose: the spindle's gauge point, or a lathe's tool.

    zero, local, preset: the three shifts (G54 and its kin, G52, G92) that add up to the work zero in force.
    feed_min, feed_turn: F as last given in either mode, mm; NaN where none was. inverse: F of inverse time, 1/min.
    speed_rpm, surface_m_min: S as last given in either mode. turning: 1 clockwise, -1 counter, 0 standing.
    length_mm: tool length in force along Z. side: 1 left, -1 right of the path, 0 without compensation.
    """

    nose: list[float]
    zero_word: str = "G54"
    zero: list[float] = field(default_factory=lambda: [0.0, 0.0, 0.0])
    local: list[float] = field(default_factory=lambda: [0.0, 0.0, 0.0])
    preset: list[float] = field(default_factory=lambda: [0.0, 0.0, 0.0])
    preset_kept: list[float] = field(default_factory=lambda: [0.0, 0.0, 0.0])
    rotary: list[float] = field(default_factory=lambda: [0.0, 0.0, 0.0])
    unit: Literal["", "mm", "in"] = ""
    scale: float = 1.0
    absolute: bool = True
    arc_absolute: bool = False
    plane: Plane = Plane.XY
    motion: int = NO_MOTION
    cycle: Cycle | None = None
    to_near: bool = False
    feed_mode: FeedMode = "feed per minute"
    feed_min: float = math.nan
    feed_turn: float = math.nan
    inverse: float = math.nan
    surface: bool = False
    speed_rpm: float = 0.0
    surface_m_min: float = 0.0
    turning: int = 0
    cap_rpm: float = math.inf
    tool: int = 0
    next_tool: int = 0
    height: int = 0
    length_mm: float = 0.0
    side: int = 0
    exact: bool = False

    def offset(self) -> tuple[float, float, float]:
        """Machine position of the work zero in force."""
        z, m, p = self.zero, self.local, self.preset
        return z[0] + m[0] + p[0], z[1] + m[1] + p[1], z[2] + m[2] + p[2]

    def signature(self) -> tuple[object, ...]:
        """All that the control holds, to be compared: alike twice, it will do the same again."""
        places = (self.nose, self.zero, self.local, self.preset, self.preset_kept, self.rotary)
        cycle = self.cycle
        return (
            *(tuple(place) for place in places), self.zero_word, self.unit, self.absolute, self.arc_absolute,
            self.plane, self.motion, None if cycle is None else repr(cycle), self.to_near, self.feed_mode,
            repr(self.feed_min), repr(self.feed_turn), repr(self.inverse), self.surface, self.speed_rpm,
            self.surface_m_min, self.turning, self.cap_rpm, self.tool, self.next_tool, self.height, self.length_mm,
            self.side, self.exact,
        )  # fmt: skip

    def rpm(self, dialect: Dialect, x_mm: float) -> float:
        """Speed of the spindle.

        Args:
            dialect: the machine's. x_mm: the tool's X in work coordinates: a radius.
        Returns: turns a minute; 0 standing; inf at the centre where nothing caps it.
        """
        if self.turning == 0:
            return 0.0
        if not self.surface:
            return self.speed_rpm
        most = min(self.cap_rpm, dialect.max_rpm)
        around = 2.0 * math.pi * abs(x_mm)
        return min(most, 1000.0 * self.surface_m_min / around) if around > 0.0 else most

    def feed(self) -> float:
        """F as the mode in force takes it: mm/min, mm/turn, or 1/min of inverse time; NaN where none was given."""
        if self.feed_mode == "inverse time":
            return self.inverse
        return self.feed_turn if self.feed_mode == "feed per turn" else self.feed_min


def at_start(dialect: Dialect) -> State:
    """What a control holds after it is switched on.

    Args:
        dialect: the machine's.
    Returns: G90, G97, the first work zero, the usual plane and feed of the kind; no motion, no feed, nothing turning.
    Source: common practice, no source, as far as NISTIR 6556 leaves it open.
    """
    lathe = dialect.kind == "lathe"
    feed_word = dialect.feed_at_start or ("G95" if lathe else "G94")
    return State(
        nose=list(dialect.start_mm),
        zero=list(dialect.offsets_mm.get("G54", (0.0, 0.0, 0.0))),
        plane=Plane.ZX if lathe else Plane.XY,
        feed_mode="feed per turn" if feed_word == "G95" else "feed per minute",
        scale=MM_PER_IN if dialect.unit_at_start == "in" else 1.0,
    )
