"""Cold saws: how fast a disc of high speed steel runs in a metal; and how thickness changes a band's speed."""

from __future__ import annotations

from itertools import pairwise

from steadyrest import units
from steadyrest.tables.cutting import MM_PER_FT, Band
from steadyrest.tables.rows import rows


def cold_speed(group: int) -> Band:
    """Speed at the rim of a disc with high speed steel teeth, m/min.

    Args:
        group: VDI 3323 group.
    Returns: the band.
    Raises: KeyError: such a disc does not cut this group.
    """
    for row in rows("cold_saw_speeds"):
        if row.number("group_from") <= group <= row.number("group_to"):
            low, high = (row.number(name) * MM_PER_FT / 1000.0 for name in ("low_sfm", "high_sfm"))
            return Band(low, high, row.text("source"), row.text("standing"))
    raise KeyError(group)


def thickness_factor(thick_mm: float) -> float:
    """What a band's speed is multiplied by for the thickness that it goes through; 1 at 4 in.

    Args:
        thick_mm: height of the section; > 0.
    Returns: the factor, in straight lines between what is printed, level outside.
    """
    printed = [
        (row.number("thick_in") * units.MM_PER_IN, 1.0 + row.number("speed_percent") / 100.0)
        for row in rows("saw_thickness")
    ]
    if thick_mm <= printed[0][0]:
        return printed[0][1]
    for (a, at_a), (b, at_b) in pairwise(printed):
        if thick_mm <= b:
            return at_a + (at_b - at_a) * (thick_mm - a) / (b - a)
    return printed[-1][1]
