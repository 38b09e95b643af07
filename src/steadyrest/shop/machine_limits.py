"""What each kind of machine can do, and the tools in its drawer, as values read from shop.toml. Nothing here computes.

Lengths mm, forces N, power W, torque Nm, speeds rpm or mm/min, masses kg, times s.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from decimal import Decimal
from itertools import pairwise
from typing import Literal

from steadyrest.tables.plate_cutting import CutRow

CutWay = Literal["plasma", "oxy-fuel", "laser", "water"]
MillAxes = Literal["3", "3+1", "3+2", "5"]


@dataclass(frozen=True, slots=True)
class PowerCurve:
    """Power at the spindle over speed: straight lines between the points, none outside them.

    points: (rpm, W), rising rpm.
    """

    points: tuple[tuple[float, float], ...]

    def power_w(self, rpm: float) -> float:
        """Power there is at this speed, W; 0 outside the curve."""
        points = self.points
        if not points[0][0] <= rpm <= points[-1][0]:
            return 0.0
        for (a, pa), (b, pb) in pairwise(points):
            if a <= rpm <= b:
                return pa if b == a else pa + (pb - pa) * (rpm - a) / (b - a)
        return points[-1][1]


@dataclass(frozen=True, slots=True)
class Tool:
    """A tool in a machine's drawer or magazine.

    kind: "turning", "facing", "boring", "grooving", "part-off", "threading", "tap", "die", "drill",
        "centre drill", "reamer", "end mill", "slot drill", "ball mill", "face mill", "chamfer mill", "thread mill",
        "wheel", "blade", "knurl" (pitch_mm: of its wheel, width_mm: how wide that is).
    length_mm: stick-out. made_of: "carbide" or "hss". edge_mm: nose radius of a turning tool, else 0.
    lead_rad: the cutting edge's angle to the feed (90 degrees = pi/2). max_depth_mm: deepest cut the edge takes.
    pitch_mm: the one pitch that a tap, die or full-form threading edge cuts; 0: a threading edge for any pitch.
    holder_mm: diameter of what holds it; 0 where nobody said. stick_out_mm: how far the tool stands out of that, where
        length_mm counts from the spindle's nose; 0: all of its length.
    face_from_mm: of a grooving tool for faces, the smallest outer diameter of a ring it goes into; 0: not for faces.
    edge_money: price of a fresh edge, or of grinding it anew; 0: wear is not charged by itself.
    driven: a lathe's tool that turns itself while the spindle stands; every cutter with teeth round it on a lathe is.
    """

    number: int
    kind: str
    role: str
    diameter_mm: float
    length_mm: float
    made_of: str
    teeth: int
    edge_mm: float
    lead_rad: float
    max_depth_mm: float
    width_mm: float
    holder_max_rpm: float
    life_s: float
    used_s: float
    needs_coolant: bool
    pitch_mm: float = 0.0
    holder_mm: float = 0.0
    stick_out_mm: float = 0.0
    driven: bool = False
    face_from_mm: float = 0.0
    edge_money: Decimal = Decimal(0)

    @property
    def reach_mm(self) -> float:
        """How far the tip stands below the holder."""
        return self.stick_out_mm or self.length_mm


@dataclass(frozen=True, slots=True)
class LatheLimits:
    """What a lathe can do.

    steady_mm: smallest and largest diameter that its steady holds; None: there is none.
    collet_mm: smallest and largest diameter of its collets; None: there are none. collet_grip_n, collet_max_rpm: of the
        collet chuck. collet_run_out_mm: within which work that is held anew runs true.
    four_jaw_mm: smallest and largest side that a chuck with four jaws holds; None: there is none.
    faceplate_mm: diameter of its faceplate; 0: there is none.
    driven_max_rpm, driven_power_w, driven_torque_nm: of its driven tools; 0: there are none. c_axis: the spindle stops
        at any angle and turns as it is told. y_mm: way of a tool across, to either side; 0: it stays on the axis.
    second_spindle: it takes the part over and turns its other end.
    bar_feed_mm: longest bar of its feeder, and the shortest rest that it leaves; None: there is none.
    """

    swing_mm: float
    swing_over_slide_mm: float
    between_centres_mm: float
    spindle_bore_mm: float
    min_rpm: float
    max_rpm: float
    power: PowerCurve
    max_torque_nm: float
    max_force_n: float
    max_load_kg: float
    chuck_max_rpm: float
    chuck_grip_n: float
    chuck_smallest_mm: float
    chuck_largest_mm: float
    tailstock: bool
    rapid_mm_min: tuple[float, float]
    accel_mm_s2: float
    tool_change_s: float
    controlled: bool
    repeat_mm: float
    steady_mm: tuple[float, float] | None = None
    collet_mm: tuple[float, float] | None = None
    collet_grip_n: float = 0.0
    collet_max_rpm: float = 0.0
    collet_run_out_mm: float = 0.0
    four_jaw_mm: tuple[float, float] | None = None
    driven_max_rpm: float = 0.0
    driven_power_w: float = 0.0
    driven_torque_nm: float = 0.0
    c_axis: bool = False
    y_mm: float = 0.0
    second_spindle: bool = False
    bar_feed_mm: tuple[float, float] | None = None
    faceplate_mm: float = 0.0


@dataclass(frozen=True, slots=True)
class MillLimits:
    """What a mill can do.

    axes: "3", "3+1" (turned about one level axis and held there), "3+2" (turned to a direction and held there), "5"
        (turned while it cuts).
    lean_rad: how far work can be set leaning on the table, on a sine vise, a wedge or an angle plate.
    tilt_rad: how far the spindle may stand from the table's own upright, least and most. turn_rad: how far the turning
        axis goes; None: round and round. turn_step_rad: what it is divided into; 0: any angle.
    turn_mm: largest diameter that swings free over the turning table, and its highest work; None: as table and travel
        say. turn_load_kg: what it carries; 0: as the table.
    turn_chuck_mm: smallest and largest work across, in the chuck of a level turning axis; turn_chuck_n its grip.
    vises: alike, side by side on the table, vise_pitch_mm from middle to middle; 0: the jaws and a hand's breadth.
    chuck_mm: smallest and largest round work in a chuck or collet block standing on the table; None: there is none;
        chuck_grip_n: its grip in all; chuck_jaw_mm: how high its jaws hold.
    v_block_mm: smallest and largest round work that V-jaws hold lying in the vise; None: there are none.
    vise_jaw_mm: width and height of a jaw. parallels_mm: heights of the pairs that lift the work in the vise.
    vacuum_mm: length and width of a vacuum plate, vacuum_bar the pressure that it falls below the air's;
        None: there is none. vacuum_switch: the machine stops when it fails.
    corner_mm: how far the control cuts a corner short; None: every block ends at rest.
    """

    travel_mm: tuple[float, float, float]
    table_mm: tuple[float, float]
    max_load_kg: float
    min_rpm: float
    max_rpm: float
    power: PowerCurve
    max_torque_nm: float
    max_force_n: float
    max_feed_mm_min: float
    vise_opening_mm: float
    vise_grip_n: float
    rapid_mm_min: tuple[float, float, float]
    accel_mm_s2: float
    tool_change_s: float
    controlled: bool
    repeat_mm: float
    axes: MillAxes = "3"
    vise_jaw_mm: tuple[float, float] = (125.0, 40.0)
    parallels_mm: tuple[float, ...] = (15.0, 25.0, 32.0)
    vacuum_mm: tuple[float, float] | None = None
    vacuum_bar: float | None = None
    vacuum_switch: bool = False
    corner_mm: float | None = None
    tilt_rad: tuple[float, float] = (0.0, math.pi / 2.0)
    turn_rad: tuple[float, float] | None = None
    turn_step_rad: float = 0.0
    turn_mm: tuple[float, float] | None = None
    turn_load_kg: float = 0.0
    turn_chuck_mm: tuple[float, float] | None = None
    turn_chuck_n: float = 0.0
    vises: int = 1
    vise_pitch_mm: float = 0.0
    chuck_mm: tuple[float, float] | None = None
    chuck_grip_n: float = 0.0
    chuck_jaw_mm: float = 0.0
    v_block_mm: tuple[float, float] | None = None
    lean_rad: float = math.pi / 4.0


@dataclass(frozen=True, slots=True)
class SawLimits:
    """What a saw can do: a band, or a cold saw's disc.

    min_band_m_min, max_band_m_min: at the teeth. blade_mm, blade_teeth: of a cold saw's disc; 0: it is a band saw.
    bundle: how many bars its vise clamps side by side. dry: it saws without coolant.
    """

    largest_round_mm: float
    largest_width_mm: float
    largest_height_mm: float
    kerf_mm: float
    min_band_m_min: float
    max_band_m_min: float
    max_load_kg: float
    shortest_rest_mm: float
    feeds_itself: bool
    blade_mm: float = 0.0
    blade_teeth: int = 0
    bundle: int = 1
    dry: bool = False


@dataclass(frozen=True, slots=True)
class GrinderLimits:
    table_mm: tuple[float, float]
    height_mm: float
    max_load_kg: float
    repeat_mm: float


@dataclass(frozen=True, slots=True)
class BrakeLimits:
    bend_length_mm: float
    force_n: float
    max_thickness_mm: float


@dataclass(frozen=True, slots=True)
class CutterLimits:
    """What a plate cutter can do: plasma, flame, laser or water.

    strength: A of a plasma, kW of a laser or a pump; 1 of a flame. chart: speeds of its own; empty: the table's.
    corner_mm: how far the control cuts a corner short; None: every block ends at rest.
    slat_gap_mm: between the slats that the sheet lies on; 0: it lies on a grid that nothing falls through.
    water_table: the sheet lies in or over water. extraction: the fume is drawn off.
    supply_w, air_l_min: what its plug and its air line give.
    nozzle_price: of a set of what wears at the tip; nozzle_starts, nozzle_h: how long it lasts, whichever ends first.
    gas_per_hour: gas, or abrasive and water, for an hour of cutting.
    """

    way: CutWay
    table_mm: tuple[float, float]
    max_thickness_mm: float
    max_load_kg: float
    strength: float
    max_feed_mm_min: float
    rapid_mm_min: tuple[float, float]
    accel_mm_s2: float
    repeat_mm: float
    corner_mm: float | None
    slat_gap_mm: float
    water_table: bool
    extraction: bool
    supply_w: float
    air_l_min: float
    nozzle_price: Decimal
    nozzle_starts: float
    nozzle_h: float
    gas_per_hour: Decimal
    chart: tuple[CutRow, ...] = ()


@dataclass(frozen=True, slots=True)
class BenchLimits:
    max_load_kg: float


Limits = LatheLimits | MillLimits | SawLimits | GrinderLimits | BrakeLimits | CutterLimits | BenchLimits
