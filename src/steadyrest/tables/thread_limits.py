"""Limits of screw threads: unified classes 2A and 2B by the standard's formulas; metric 6g and 6H.

Crests of metric threads are printed by pitch (ISO 965-1); pitch diameters of 6H stand only where a table was at hand.
D is the diameter and P the pitch, in inches, as in ASME B1.1; the length of engagement is taken as one diameter, as its
tables do for coarse and fine threads. The formulas are from memory and give the printed limits of the small sizes.
"""

from __future__ import annotations

import math
from functools import cache

from steadyrest import units
from steadyrest.tables.rows import Row, rows
from steadyrest.tables.threads import Thread


def pitch_tolerance_2a_mm(thread: Thread) -> float:
    """Tolerance of a 2A screw's pitch diameter: 0.0015 D^(1/3) + 0.0015 D^(1/2) + 0.015 P^(2/3), in.

    Args:
        thread: unified.
    Returns: mm.
    Source: ASME B1.1. Checked through the allowance in tests/checks/test_tables_threads.py.
    """
    D, P = _in(thread)
    return (0.0015 * math.cbrt(D) + 0.0015 * math.sqrt(D) + 0.015 * P ** (2 / 3)) * units.MM_PER_IN


def allowance_2a_mm(thread: Thread) -> float:
    """How much a 2A screw stays under the basic profile: 0.3 of its pitch diameter's tolerance, mm."""
    return 0.3 * pitch_tolerance_2a_mm(thread)


@cache
def diameter_step_mm(diameter_mm: float) -> tuple[float, float] | None:
    """The step of diameters that a metric thread's tolerances are computed for, by its geometric middle.

    Args:
        diameter_mm: of the thread.
    Returns: (over, up to) in mm; None outside of the print.
    Source: ISO 965-1.
    """
    for row in rows("thread_steps"):
        step = row.number("over_mm"), row.number("upto_mm")
        if step[0] < diameter_mm <= step[1]:
            return step
    return None


def screw_major_2a_mm(thread: Thread) -> tuple[float, float]:
    """Smallest and largest major diameter of a 2A screw; the tolerance is 0.060 P^(2/3), in.

    Args:
        thread: unified.
    Returns: (low, high) in mm.
    Source: ASME B1.1. Checked in tests/checks/test_tables_threads.py.
    """
    high_mm = thread.diameter_mm - allowance_2a_mm(thread)
    return high_mm - 0.060 * _in(thread)[1] ** (2 / 3) * units.MM_PER_IN, high_mm


def screw_pitch_2a_mm(thread: Thread) -> tuple[float, float]:
    """Smallest and largest pitch diameter of a 2A screw, mm."""
    high_mm = thread.pitch_diameter_mm - allowance_2a_mm(thread)
    return high_mm - pitch_tolerance_2a_mm(thread), high_mm


def nut_pitch_2b_mm(thread: Thread) -> tuple[float, float]:
    """Smallest and largest pitch diameter of a 2B nut: 1.3 times the screw's tolerance, mm."""
    return thread.pitch_diameter_mm, thread.pitch_diameter_mm + 1.3 * pitch_tolerance_2a_mm(thread)


def nut_minor_2b_mm(thread: Thread) -> tuple[float, float]:
    """Smallest and largest minor diameter of a 2B nut: what a plug gauge or a tap drill must keep.

    The tolerance is 0.25 P - 0.4 P^2 from 1/4 in on; below, 0.05 P^(2/3) + 0.03 P/D - 0.002 but no less than that and
    no more than 0.394 P.

    Args:
        thread: unified.
    Returns: (low, high) in mm.
    Source: ASME B1.1. Checked in tests/checks/test_tables_threads.py.
    """
    D, P = _in(thread)
    tolerance = 0.25 * P - 0.4 * P**2
    if D < 0.25:
        tolerance = min(max(0.05 * P ** (2 / 3) + 0.03 * P / D - 0.002, tolerance), 0.394 * P)
    return thread.nut_minor_mm, thread.nut_minor_mm + tolerance * units.MM_PER_IN


def screw_major_6g_mm(thread: Thread) -> tuple[float, float] | None:
    """Smallest and largest major diameter of a metric 6g screw; None where the table has no such pitch.

    Args:
        thread: metric.
    Returns: (low, high) in mm.
    Source: ISO 965-1. Checked against its formulas in tests/checks/test_tables_threads.py.
    """
    row = _by_pitch(thread)
    if row is None:
        return None
    high_mm = thread.diameter_mm - row.number("allowance_g_um") / 1000
    return high_mm - row.number("major_6g_um") / 1000, high_mm


def nut_minor_6h_mm(thread: Thread) -> tuple[float, float] | None:
    """Smallest and largest minor diameter of a metric 6H nut; None where the table has no such pitch.

    Args:
        thread: metric.
    Returns: (low, high) in mm.
    Source: ISO 965-1. Checked against its formulas in tests/checks/test_tables_threads.py.
    """
    row = _by_pitch(thread)
    return None if row is None else (thread.nut_minor_mm, thread.nut_minor_mm + row.number("minor_6h_um") / 1000)


def screw_major_mm(thread: Thread) -> tuple[str, tuple[float, float]] | None:
    """Class and limits of an outside thread's major diameter, by its own system: 2A or 6g."""
    if thread.series.startswith("UN"):
        return "2A", screw_major_2a_mm(thread)
    limits = screw_major_6g_mm(thread)
    return None if limits is None else ("6g", limits)


def nut_minor_mm(thread: Thread) -> tuple[str, tuple[float, float]] | None:
    """Class and limits of an inside thread's minor diameter, by its own system: 2B or 6H."""
    if thread.series.startswith("UN"):
        return "2B", nut_minor_2b_mm(thread)
    limits = nut_minor_6h_mm(thread)
    return None if limits is None else ("6H", limits)


def nut_pitch_6h_mm(thread: Thread) -> tuple[float, float] | None:
    """Smallest and largest pitch diameter of a metric 6H nut; None where no table was at hand.

    Args:
        thread: metric.
    Returns: (low, high) in mm.
    Source: ISO 965, printed rows M2 to M16.
    """
    for row in rows("thread_6h"):
        if (row.number("diameter_mm"), row.number("pitch_mm")) == (thread.diameter_mm, thread.pitch_mm):
            return thread.pitch_diameter_mm, row.number("pitch_diameter_max_mm")
    return None


def _by_pitch(thread: Thread) -> Row | None:
    return next((row for row in rows("thread_limits") if row.number("pitch_mm") == thread.pitch_mm), None)


def _in(thread: Thread) -> tuple[float, float]:
    if not thread.series.startswith("UN"):
        raise ValueError(f"{thread.name} is no unified thread")
    return thread.diameter_mm / units.MM_PER_IN, thread.pitch_mm / units.MM_PER_IN
