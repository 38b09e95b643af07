"""How a thread is proved: its pitch diameter, an outside one over three wires laid into it."""

from __future__ import annotations

import math

from steadyrest.tables.thread_limits import diameter_step_mm, nut_pitch_2b_mm, nut_pitch_6h_mm, screw_pitch_2a_mm
from steadyrest.tables.threads import Thread


def screw_pitch_limits_mm(thread: Thread) -> tuple[str, tuple[float, float]] | None:
    """Class and limits of an outside thread's pitch diameter: 2A, or 6g by its formulas.

    Td2 = 90 P^0.4 d^0.1 and es = -(15 + 11 P), micrometres. The print rounds Td2 to a preferred number, so its lower
    limit differs by up to 4 um.

    Args:
        thread: unified or metric.
    Returns: (class, (low, high) in mm); None for a diameter that the formulas do not cover.
    Source: ASME B1.1; ISO 965-1, from memory. Checked in tests/checks/test_threading.py.
    """
    if thread.series.startswith("UN"):
        return "2A", screw_pitch_2a_mm(thread)
    step = diameter_step_mm(thread.diameter_mm)
    if step is None:
        return None
    tolerance_um = 90.0 * thread.pitch_mm**0.4 * math.sqrt(step[0] * step[1]) ** 0.1
    high_mm = thread.pitch_diameter_mm - (15.0 + 11.0 * thread.pitch_mm) / 1000.0
    return "6g", (high_mm - tolerance_um / 1000.0, high_mm)


def nut_pitch_limits_mm(thread: Thread) -> tuple[str, tuple[float, float]] | None:
    """Class and limits of an inside thread's pitch diameter: 2B, or 6H where a table was at hand.

    Args:
        thread: unified or metric.
    Returns: (class, (low, high) in mm), or None.
    Source: ASME B1.1, ISO 965.
    """
    if thread.series.startswith("UN"):
        return "2B", nut_pitch_2b_mm(thread)
    limits = nut_pitch_6h_mm(thread)
    return None if limits is None else ("6H", limits)


def best_wire_mm(pitch_mm: float) -> float:
    """The wire that touches a 60 degree thread at its pitch diameter: P / (2 cos 30), mm.

    Args:
        pitch_mm: of the thread; > 0.
    Returns: the wire's diameter, mm.
    Source: geometry of ISO 68-1. Checked in tests/checks/test_threading.py.
    """
    return pitch_mm / (2.0 * math.cos(math.radians(30.0)))


def over_wires_mm(pitch_diameter_mm: float, pitch_mm: float, wire_mm: float) -> float:
    """What a micrometer reads over three wires: d2 + 3 w - 0.866025 P (a thread's slope left out).

    Args:
        pitch_diameter_mm: d2.
        pitch_mm: of the thread.
        wire_mm: diameter of the wires.
    Returns: mm.
    Source: geometry of ISO 68-1. Checked in tests/checks/test_threading.py.
    """
    return pitch_diameter_mm + 3.0 * wire_mm - math.sqrt(3.0) / 2.0 * pitch_mm
