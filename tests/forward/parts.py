"""Invented parts, each made within its limits and worn somewhere, with sizes that its drawing would have shown.

Keyways to DIN 6885-1, retaining ring grooves to DIN 471 and limits to ISO 286: all from memory; they make the parts
plausible and check nothing.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from math import pi, radians

from steadyrest.demo.scanning.stage_lift import stage_lift_shaft
from steadyrest.demo.scanning.true_part import (
    AxialHole,
    CrossHole,
    Fracture,
    Stretch,
    TrueBore,
    TrueFlat,
    TrueGroove,
    TrueKeyway,
    TruePart,
    TrueThread,
    Wear,
)

INCH_MM = 25.4


def gearbox_shaft() -> TruePart:
    """Metric: seats 35 k6 beside a 40 h6 gear seat with key 12 x 8, collar 48, journal 30 with an open key 8 x 7."""
    return TruePart(
        name="gearbox shaft",
        stretches=(
            Stretch(26.0, 35.0, chamfer_mm=(1.0, 0.0), fillet_mm=(0.0, 0.8), made_off_mm=0.011),
            Stretch(10.0, 48.0, chamfer_mm=(1.0, 1.0)),
            Stretch(55.0, 40.0, chamfer_mm=(0.0, 1.0), fillet_mm=(1.0, 0.0), made_off_mm=-0.007),
            Stretch(34.0, 35.0, chamfer_mm=(0.0, 0.6), made_off_mm=0.012),
            Stretch(60.0, 30.0, chamfer_mm=(0.0, 1.5), made_off_mm=-0.006),
        ),
        cuts=(
            TrueKeyway(12.0, 5.0, 41.0, 81.0, 40.0, angle_rad=radians(20.0), made_off_mm=-0.02),
            TrueKeyway(8.0, 4.0, 145.0, 240.0, 30.0, angle_rad=radians(20.0), round_ends=False, made_off_mm=-0.018),
            TrueGroove(33.0, 117.0, 1.6),
        ),
        wear=(Wear(0.18, 93.0, 112.0, middle_rad=radians(250.0), arc_rad=radians(170.0), shoulder_mm=(1.5, 2.0)),),
    )


def bored_bush() -> TruePart:
    """Flanged bush: 40 outside, bore 25, flange 52 x 6; the bore worn on one side over its whole length."""
    return TruePart(
        name="bored bush",
        stretches=(
            Stretch(6.0, 52.0, chamfer_mm=(0.5, 0.5)),
            Stretch(44.0, 40.0, chamfer_mm=(0.0, 1.5), made_off_mm=0.02),
        ),
        bores=(TrueBore(25.0, 50.0, chamfer_mm=0.8, made_off_mm=0.01),),
        wear=(
            Wear(0.3, -5.0, 55.0, middle_rad=radians(300.0), arc_rad=radians(190.0), lean=0.4, inside=True),
        ),
    )  # fmt: skip


def flanged_disc() -> TruePart:
    """Disc 120 x 12 with hub 60, bore 30 with a key 8 in it, six holes of 9 on a circle of 90."""
    return TruePart(
        name="flanged disc",
        stretches=(
            Stretch(12.0, 120.0, chamfer_mm=(1.0, 1.0)),
            Stretch(26.0, 60.0, chamfer_mm=(0.0, 1.5), fillet_mm=(2.0, 0.0)),
        ),
        bores=(TrueBore(30.0, 38.0, chamfer_mm=1.0, made_off_mm=0.009),),
        cuts=(
            TrueKeyway(8.0, 3.3, -5.0, 45.0, 30.0, angle_rad=radians(30.0), round_ends=False, inside=True),
            *(AxialHole(9.0, 90.0, radians(60.0 * k)) for k in range(6)),
        ),
    )


def stepped_pin() -> TruePart:
    """Pin 16, neck 10, head 25, cross hole 3.2, flat on the head; worn in a ring by what swung on it."""
    return TruePart(
        name="stepped pin",
        stretches=(
            Stretch(8.0, 25.0, chamfer_mm=(1.0, 0.5)),
            Stretch(42.0, 16.0, chamfer_mm=(0.0, 0.5), made_off_mm=-0.014),
            Stretch(18.0, 10.0, chamfer_mm=(0.0, 1.0)),
        ),
        cuts=(CrossHole(3.2, 62.0, angle_rad=radians(75.0)), TrueFlat(10.0, -1.0, 8.0)),
        wear=(Wear(0.25, 18.0, 36.0, shoulder_mm=(2.0, 2.0)),),
    )


def taper_shaft() -> TruePart:
    """Taper 1:10 from 34 to 40, behind it a seat of 45; M24 x 2 in front."""
    return TruePart(
        name="taper shaft",
        stretches=(
            Stretch(28.0, 24.0, chamfer_mm=(1.5, 0.0)),
            Stretch(60.0, 34.0, end_diameter_mm=40.0, chamfer_mm=(0.5, 0.0)),
            Stretch(50.0, 45.0, chamfer_mm=(1.0, 1.0), made_off_mm=0.01),
        ),
        cuts=(TrueThread(24.0, 2.0, -2.0, 24.0),),
        wear=(Wear(0.2, 100.0, 125.0, middle_rad=radians(40.0), arc_rad=radians(160.0)),),
    )


def pulley_blank() -> TruePart:
    """Pulley 90 x 32 with two square grooves, bore 25, a recess of 60 in one side, a counterbore of 42 in the other."""
    return TruePart(
        name="pulley blank",
        stretches=(Stretch(32.0, 90.0, chamfer_mm=(1.0, 1.0)),),
        bores=(TrueBore(25.0, 32.0, made_off_mm=0.012), TrueBore(60.0, 6.0), TrueBore(42.0, 9.0, end="end")),
        cuts=(TrueGroove(76.0, 10.0, 6.0), TrueGroove(76.0, 22.0, 6.0)),
    )


def slender_spindle() -> TruePart:
    """Spindle 12 x 320 with ends of 10, a flat at one; worn lightly where it ran in its bush."""
    return TruePart(
        name="slender spindle",
        stretches=(
            Stretch(20.0, 10.0, chamfer_mm=(0.8, 0.0), made_off_mm=-0.005),
            Stretch(280.0, 12.0, chamfer_mm=(0.5, 0.5), made_off_mm=-0.008),
            Stretch(20.0, 10.0, chamfer_mm=(0.0, 0.8), made_off_mm=-0.004),
        ),
        cuts=(TrueFlat(4.0, 306.0, 330.0),),
        wear=(Wear(0.12, 140.0, 170.0, middle_rad=1.0, arc_rad=radians(210.0), shoulder_mm=(3.0, 3.0)),),
    )


def broken_shaft() -> TruePart:
    """Shaft 50/60/50, broken off in its second seat; the break itself was not scanned."""
    return TruePart(
        name="broken shaft",
        stretches=(
            Stretch(60.0, 50.0, chamfer_mm=(1.5, 0.0), fillet_mm=(0.0, 1.0), made_off_mm=0.015),
            Stretch(40.0, 60.0, chamfer_mm=(1.0, 1.0)),
            Stretch(60.0, 50.0, chamfer_mm=(0.0, 1.5), fillet_mm=(1.0, 0.0), made_off_mm=0.013),
            Stretch(40.0, 40.0, chamfer_mm=(0.0, 1.5)),
        ),
        wear=(Wear(0.35, 15.0, 45.0, middle_rad=radians(80.0), arc_rad=radians(180.0)),),
        fracture=Fracture(138.0, seen=False),
    )


def hexagon_spigot() -> TruePart:
    """Hexagon 24 across flats on a spigot with M20 x 1.5, drilled 8 from the hexagon's side."""
    return TruePart(
        name="hexagon spigot",
        stretches=(Stretch(14.0, 27.7, chamfer_mm=(0.8, 0.8)), Stretch(36.0, 20.0, chamfer_mm=(0.0, 1.2))),
        bores=(TrueBore(8.0, 30.0, point_rad=radians(59.0)),),
        cuts=(
            *(TrueFlat(12.0, -1.0, 14.0, angle_rad=k * pi / 3) for k in range(6)),
            TrueThread(20.0, 1.5, 22.0, 52.0),
        ),
    )


PARTS: Mapping[str, Callable[[], TruePart]] = {
    make.__name__: make
    for make in (
        stage_lift_shaft,
        gearbox_shaft,
        bored_bush,
        flanged_disc,
        stepped_pin,
        taper_shaft,
        pulley_blank,
        slender_spindle,
        broken_shaft,
        hexagon_spigot,
    )
}
