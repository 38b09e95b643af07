"""A run: what the control executes, as moves and the events between them.

Glossary. A *move* is one straight or circular piece of path. An *event* happens between two moves and takes the path
nowhere: a tool change, a spindle start, a stop. The *point* is the tool's programmed point; the *nose* is the spindle's
gauge point, a tool length above it. Machine coordinates are work coordinates plus the offset in force.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import IntEnum

import numpy as np
import numpy.typing as npt

FloatArray = npt.NDArray[np.float64]
IntArray = npt.NDArray[np.int64]
ByteArray = npt.NDArray[np.int8]


class Motion(IntEnum):
    """How a move goes."""

    RAPID = 0
    LINE = 1
    ARC_CW = 2
    ARC_CCW = 3


class Plane(IntEnum):
    """The plane of arcs and cycles: its two axes in order, and the axis that a cycle drills along is the third."""

    XY = 0
    ZX = 1
    YZ = 2


@dataclass(frozen=True, slots=True)
class Moves:
    """Every move of a run, one row each; arrays are read-only.

    line: (n,) the file's line, from 1, that made it.
    motion: (n,) Motion. plane: (n,) Plane, for arcs.
    start_mm, end_mm: (n, 3) the tool's point in machine coordinates; a lathe's X is a radius; no tool length in it.
    centre_mm: (n, 3) of an arc, in machine coordinates; NaN for the rest.
    turns: (n,) whole turns an arc makes beyond the first (a helix); 0 else.
    length_mm: (n,) along the path, helices included.
    feed_mm_min: (n,) along the path, as the control holds it at the move's end; 0 for rapids; NaN where none was given.
    feed_per_turn_mm: (n,) where feed is per turn; 0 else.
    rpm: (n,) at the move's end; 0 with a standing spindle. surface_m_min: (n,) under constant surface speed; 0 else.
    rpm_cap: (n,) the highest speed that constant surface speed may ask for; inf where nothing caps it.
    tool: (n,) number of the tool in the spindle; 0 none. tool_length_mm: (n,) length in force (G43); 0 none.
    offset_mm: (n, 3) machine position of the work zero in force; work = machine - offset.
    rotary_deg: (n, 3) A, B, C at the move's end.
    cycle: (n,) true for the feed and rapid moves that a canned cycle made.
    exact_stop: (n,) true where the control must come to rest at the move's end.
    skip: (n,) true for a probing move, which may end early.
    """

    line: IntArray
    motion: ByteArray
    plane: ByteArray
    start_mm: FloatArray
    end_mm: FloatArray
    centre_mm: FloatArray
    turns: FloatArray
    length_mm: FloatArray
    feed_mm_min: FloatArray
    feed_per_turn_mm: FloatArray
    rpm: FloatArray
    surface_m_min: FloatArray
    rpm_cap: FloatArray
    tool: IntArray
    tool_length_mm: FloatArray
    offset_mm: FloatArray
    rotary_deg: FloatArray
    cycle: npt.NDArray[np.bool_]
    exact_stop: npt.NDArray[np.bool_]
    skip: npt.NDArray[np.bool_]

    def __post_init__(self) -> None:
        # Loops are compiled apart for arrays that may be written to.
        for name in self.__slots__:
            getattr(self, name).flags.writeable = False

    def __len__(self) -> int:
        return len(self.line)


class EventKind(IntEnum):
    """What happens between moves. `value` of an Event, by kind, stands behind each."""

    TOOL_CHANGE = 0  # the tool's number now in the spindle
    SPINDLE = 1  # signed speed: turns a minute, clockwise positive; 0 stops it
    COOLANT = 2  # 1 on, 0 off
    DWELL = 3  # seconds
    STOP = 4  # 0 always stops (M0), 1 only with the switch on (M1)
    HOLD_POINT = 5  # 1 with both limits, 0 where it only records
    BAR = 6  # the repeat of the bar word
    END = 7  # the program's end
    SPEED_CLAMP = 8  # turns a minute that cap constant surface speed
    CALL = 9  # a library program's number, which the file does not hold


@dataclass(frozen=True, slots=True)
class Event:
    """Something that happens before move number `before` (len(moves) where nothing follows), made by a line."""

    kind: EventKind
    line: int
    before: int
    value: float = 0.0


@dataclass(frozen=True, slots=True)
class Odd:
    """Something in the text that the control would stumble over, or that the reader does not know.

    kind: one of the contract's text findings: word, units, arc, subprogram, feed; or what stops or bends the run
    otherwise: loop, end, file, alarm, variable, gouge; or what the reader went on without: motion, offset,
    compensation, kinematics, probed.
    line: from 1; None where no line is meant. given: what its sentence needs (key "program.odd.<kind>").
    """

    kind: str
    line: int | None
    given: tuple[tuple[str, float | str], ...] = ()


@dataclass(frozen=True, slots=True)
class Run:
    """One execution of a program from the first line to its end.

    moves: what moves. events: in order. odds: in order of line. lines: how many lines the file has.
    unit: "mm", "in", or "" where no word said so. ended: it came to its end by itself.
    """

    moves: Moves
    events: tuple[Event, ...]
    odds: tuple[Odd, ...]
    lines: int
    unit: str
    ended: bool
