"""What the leaving check knows of a machine, its tools and a program: values as read from the shop file.

Lengths mm, times s, feeds mm/min, accelerations mm/s2. Machine coordinates: the machine's own zero, X of a lathe as a
radius. Work coordinates: from the work zero in force.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal

from steadyrest.shop.floor import PowerCurve

AXES = "xyz"
ControlledKind = Literal["mill", "lathe"]
Vector = tuple[float, float, float]


@dataclass(frozen=True, slots=True)
class LeavingTool:
    """A tool as the leaving check needs it; inf limits where none was given.

    length_mm: from the nose to the tip. point_rad: full angle of its point; 0 takes what is usual for its kind.
    holder_mm: diameter of what holds it, 0 where nobody said; it begins stick_out_mm above the tip.
    """

    number: int
    kind: str = ""
    role: str = ""
    diameter_mm: float = 0.0
    length_mm: float = 0.0
    holder_max_rpm: float = math.inf
    life_s: float = math.inf
    used_s: float = 0.0
    needs_coolant: bool = False
    made_of: str = "carbide"
    teeth: int = 1
    edge_mm: float = 0.0
    width_mm: float = 0.0
    lead_rad: float = math.pi / 2
    max_depth_mm: float = 0.0
    point_rad: float = 0.0
    holder_mm: float = 0.0
    stick_out_mm: float = 0.0


@dataclass(frozen=True, slots=True)
class BarFeed:
    """word: the code that pulls the bar on. rest_mm: what the machine cannot use of it."""

    word: str
    rest_mm: float


@dataclass(frozen=True, slots=True)
class BoxBlank:
    """A block in work coordinates."""

    min_mm: Vector
    max_mm: Vector


@dataclass(frozen=True, slots=True)
class RoundBlank:
    """A cylinder about the work's Z axis, from z_mm[0] to z_mm[1]; inside_mm of a tube, 0 for a solid bar."""

    diameter_mm: float
    z_mm: tuple[float, float]
    inside_mm: float = 0.0


Blank = BoxBlank | RoundBlank


@dataclass(frozen=True, slots=True)
class Fixed:
    """Something that no tool may run into: a table, a vise, a clamp, a chuck."""

    name: str
    shape: Blank


@dataclass(frozen=True, slots=True)
class RotaryAxis:
    """What a rotary axis turns about: "x", "y" or "z", and the other way round with backwards.

    at_mm: a point of its centre line in machine coordinates; None: it goes through the work zero.
    """

    about: str
    backwards: bool = False
    at_mm: Vector | None = None


@dataclass(frozen=True, slots=True)
class LeavingMachine:
    """A controlled mill or lathe as its control and its limits see a program.

    travel_mm: (lo, hi) by axis, machine coordinates; an axis left out is not judged.
    offsets_mm: machine position of the work zero by its word, G54 to G59.
    inch_word, metric_word: how this control says units.
    rapid_mm_min: by axis; inf where none was given. accel_mm_s2: along the path.
    corner_mm: None: every block ends at rest; else how far the path may be cut short at a corner.
    dwell: what a dwell's letter counts, "ms" or "s", by letter.
    extra_words: this machine's own codes that move nothing.
    hold_point_calls, library: program numbers that the control holds.
    power, max_force_n: what the spindle gives and the axes push; None and inf where not given.
    bin_litres: chips that its bin holds; inf where nobody said. fixed: what stands in it, machine coordinates.
    rotary: what A, B and C turn about, by letter. compensation: what D holds in the control, the tool's "radius" or its
    "wear" alone; "" where nobody said.
    doubts: keys of the file that say nothing here, with what was meant perhaps.
    """

    name: str
    kind: ControlledKind
    may_run_alone: bool
    inch_word: str = "G20"
    metric_word: str = "G21"
    travel_mm: Mapping[str, tuple[float, float]] = field(default_factory=dict[str, tuple[float, float]])
    offsets_mm: Mapping[str, Vector] = field(default_factory=dict[str, Vector])
    max_rpm: float = math.inf
    rapid_mm_min: Vector = (math.inf, math.inf, math.inf)
    accel_mm_s2: float = math.inf
    corner_mm: float | None = None
    tool_change_s: float = 0.0
    arc_tolerance_mm: float = 0.02
    dwell: Mapping[str, str] = field(default_factory=lambda: {"P": "ms", "X": "s"})
    peck_clear_mm: float = 1.0
    optional_stop_switch: bool = False
    hold_point_calls: tuple[int, ...] = ()
    library: tuple[int, ...] = ()
    x_is_diameter: bool = True
    tool_word: str = "T"
    chuck_max_rpm: float = math.inf
    speed_clamp_words: tuple[str, ...] = ()
    extra_words: tuple[str, ...] = ()
    bar_feed: BarFeed | None = None
    tools: tuple[LeavingTool, ...] = ()
    watched_folder: str = ""
    power: PowerCurve | None = None
    max_force_n: float = math.inf
    bin_litres: float = math.inf
    fixed: tuple[Fixed, ...] = ()
    compensation: str = ""
    rotary: Mapping[str, RotaryAxis] = field(default_factory=dict[str, RotaryAxis])
    doubts: tuple[str, ...] = ()

    def tool(self, number: int) -> LeavingTool | None:
        return next((tool for tool in self.tools if tool.number == number), None)


@dataclass(frozen=True, slots=True)
class Bar:
    """What stands in the bar feed, and what each pull takes."""

    length_mm: float
    per_part_mm: float


@dataclass(frozen=True, slots=True)
class ProgramSaid:
    """What the shop file says of one program. machine: "" where it names none.

    material, coolant, holding: "" where nobody said. proved: it ran on this metal with somebody looking.
    pressure_switch: the machine stops when the vacuum that holds the work falls. took_s: what runs of it really took.
    fixed: what stands beside the work, work coordinates.
    """

    file: str
    machine: str = ""
    blank: Blank | None = None
    bar: Bar | None = None
    material: str = ""
    coolant: str = ""
    holding: str = ""
    proved: bool = False
    pressure_switch: bool = False
    took_s: tuple[float, ...] = ()
    fixed: tuple[Fixed, ...] = ()
