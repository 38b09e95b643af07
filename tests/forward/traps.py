"""Scans that have fooled simpler fits, each a part with the way it was scanned; why stands beside each."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from math import pi, radians

from steadyrest.demo.scan import ScanSettings
from steadyrest.demo.scanning.stage_lift import stage_lift_shaft
from steadyrest.demo.scanning.true_part import Stretch, TrueKeyway, TruePart, Wear
from tests.forward.parts import INCH_MM, PARTS, bored_bush, gearbox_shaft, hexagon_spigot, taper_shaft

HOT_K = 40.0
STEEL_PER_K = 11.7e-6  # expansion of plain carbon steel, from memory


def usual_scan(part: TruePart) -> ScanSettings:
    """The scan somebody would take of it: finer for a slim part, and fine enough for its thread."""
    threaded = any(type(cut).__name__ == "TrueThread" for cut in part.cuts)
    return ScanSettings(voxel_mm=0.35 if threaded else min(0.82, max(0.4, part.largest_mm / 60)))


def lone_pin() -> TruePart:
    """One diameter, worn on one side from end to end: no unworn neighbour tells the axis, only the other side."""
    return TruePart(
        name="lone pin",
        stretches=(Stretch(90.0, 25.0, chamfer_mm=(1.0, 1.0)),),
        wear=(Wear(0.4, -10.0, 100.0, middle_rad=radians(10.0), arc_rad=radians(200.0)),),
    )


def worn_all_round() -> TruePart:
    """The seat has worn evenly all round and to its ends: it looks like a smaller, true size."""
    shaft = stage_lift_shaft()
    return replace(shaft, name="worn all round", wear=(Wear(0.3, 58.2, 103.8, shoulder_mm=(1.0, 1.0)),))


def worn_on_both_sides() -> TruePart:
    """Two hollows opposite each other: the middle stays, the diameter does not."""
    shaft, depth_mm = stage_lift_shaft(), 0.35
    hollows = tuple(
        Wear(depth_mm, 66.0, 97.0, middle_rad=middle, arc_rad=radians(130.0), shoulder_mm=(2.0, 2.0))
        for middle in (0.4, 0.4 + pi)
    )
    return replace(shaft, name="worn on both sides", wear=hollows)


def turned_under() -> TruePart:
    """An earlier repair: the seat was turned 0.5 mm under size to take a sleeve, so its size is no drawing's."""
    shaft = gearbox_shaft()
    seat = replace(shaft.stretches[3], made_off_mm=-0.5)
    return replace(shaft, name="turned under", stretches=(*shaft.stretches[:3], seat, shaft.stretches[4]))


def bar_with_a_key() -> TruePart:
    """Cold drawn bar of 1-1/2 in with a keyway: nothing was turned."""
    inch = 1.5 * INCH_MM
    return TruePart(
        name="bar with a key",
        stretches=(Stretch(150.0, inch, chamfer_mm=(1.0, 1.0), made_off_mm=-0.03),),
        cuts=(TrueKeyway(0.375 * INCH_MM, 0.1875 * INCH_MM, 90.0, 160.0, inch, angle_rad=2.0, round_ends=False),),
    )


_LIFT = stage_lift_shaft()

TRAPS: Mapping[str, tuple[TruePart, ScanSettings]] = {
    **{name: (make(), usual_scan(make())) for name, make in PARTS.items()},
    "lone pin": (lone_pin(), usual_scan(lone_pin())),
    "worn all round": (worn_all_round(), ScanSettings()),
    "worn on both sides": (worn_on_both_sides(), ScanSettings()),
    "turned under": (turned_under(), ScanSettings()),
    "bar with a key": (bar_with_a_key(), ScanSettings()),
    # Twice the noise, hanging together farther, and a dozen spots lost to glare.
    "rough and spotty": (_LIFT, ScanSettings(noise_mm=0.06, correlation_mm=1.5, dropouts=12)),
    # The scanner's slow error bends the part: it reads as taper.
    "drift as taper": (_LIFT, ScanSettings(drift_mm=0.03, drift_wave_mm=400.0)),
    # Matting spray lies on everything: every outside is too large, every bore too small.
    "sprayed": (bored_bush(), ScanSettings(film_mm=0.015)),
    # Just off the machine it stood in: 17 um on 36.5 mm.
    "hot": (_LIFT, ScanSettings(scale_error=HOT_K * STEEL_PER_K)),
    # A few looks from not steep enough, the rest stretched over: the keyway and the bore's middle are invented.
    "bridged bore": (bored_bush(), ScanSettings(blind="bridged", looks=20, steepest_rad=radians(55.0))),
    "bridged keyway": (gearbox_shaft(), ScanSettings(blind="bridged", looks=12, steepest_rad=radians(50.0))),
    # Too coarse for the thread: only crests and a ripple are left.
    "crests only": (hexagon_spigot(), ScanSettings(voxel_mm=0.8)),
    "coarse taper": (taper_shaft(), ScanSettings(voxel_mm=1.1, noise_mm=0.05)),
    # Edges long rounded by handling: chamfers are hard to tell from wear.
    "round edges": (replace(_LIFT, edge_mm=0.4), ScanSettings()),
}
