"""The demo's part: an invented intermediate shaft of a theatre's stage lift, in inch sizes, worn under one bearing."""

from __future__ import annotations

from math import radians

from steadyrest.demo.scanning.true_part import Stretch, TrueGroove, TrueKeyway, TruePart, Wear

INCH_MM = 25.4
KEY_FROM_MM = (5 + 11 / 16) * INCH_MM


def stage_lift_shaft() -> TruePart:
    """10-1/4 in: journal 1-1/4, worn seat 1-7/16, collar 1-3/4, seat 1-1/2 with 3/8 keyway, good seat 1-7/16."""
    seat, gear = (1 + 7 / 16) * INCH_MM, 1.5 * INCH_MM
    key_end_mm = KEY_FROM_MM + 2.25 * INCH_MM
    return TruePart(
        name="stage lift shaft",
        stretches=(
            Stretch((2 + 5 / 16) * INCH_MM, 1.25 * INCH_MM, chamfer_mm=(1.5, 0.0), fillet_mm=(0.0, 0.8)),
            Stretch((1 + 13 / 16) * INCH_MM, seat, chamfer_mm=(1.0, 0.0), fillet_mm=(0.0, 1.0)),
            Stretch(1.0 * INCH_MM, 1.75 * INCH_MM, chamfer_mm=(1.0, 1.0)),
            Stretch((3 + 5 / 16) * INCH_MM, gear, chamfer_mm=(0.0, 0.4), fillet_mm=(1.0, 0.0)),
            Stretch((1 + 13 / 16) * INCH_MM, seat, chamfer_mm=(0.0, 1.5)),
        ),
        cuts=(
            TrueKeyway(0.375 * INCH_MM, 0.1875 * INCH_MM, KEY_FROM_MM, key_end_mm, gear, angle_rad=radians(35.0)),
            TrueGroove(1.125 * INCH_MM, 0.875 * INCH_MM, 3 / 32 * INCH_MM),
        ),
        wear=(
            Wear(
                0.45, 68.0, 97.0, middle_rad=radians(115.0), arc_rad=radians(200.0), shoulder_mm=(2.0, 3.5),
                shoulder_rad=(1.1, 1.4), lean=0.15,
            ),
        ),
    )  # fmt: skip
