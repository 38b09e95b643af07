"""Threads against outside tables.

Metric: a tap maker's guide to UNI 4535-64 (seen); stress areas from an engineering page (seen). Unified: two public
charts that agree (seen); percent of thread computed. The charts' "minor diameter" is the screw's rounded root.
"""

from __future__ import annotations

import pytest

from steadyrest.tables.threads import find_thread

METRIC = {  # P, D2, d3, D1, tap drill
    "M2": (0.4, 1.740, 1.509, 1.567, 1.60), "M2.5": (0.45, 2.208, 1.948, 2.013, 2.05),
    "M3": (0.5, 2.675, 2.387, 2.459, 2.5), "M4": (0.7, 3.545, 3.141, 3.242, 3.3), "M5": (0.8, 4.480, 4.019, 4.134, 4.2),
    "M6": (1, 5.350, 4.773, 4.917, 5.0), "M8": (1.25, 7.188, 6.466, 6.647, 6.8),
    "M10": (1.5, 9.026, 8.160, 8.376, 8.5), "M12": (1.75, 10.863, 9.853, 10.106, 10.2),
    "M16": (2, 14.701, 13.546, 13.835, 14.0),
}  # fmt: skip
AREAS = {"M4": 8.78, "M5": 14.2, "M6": 20.1, "M8": 36.6, "M10": 58.0, "M12": 84.3, "M16": 157, "M20": 245, "M24": 353}
FINE = {"M8x1": (7.350, 6.917), "M10x1.25": (9.188, 8.647), "M10x1": (9.350, 8.917), "M6x0.75": (5.513, 5.188)}
UNIFIED = {  # major, pitch diameter, screw minor, tap drill, percent
    "4-40": (0.1120, 0.0958, 0.0813, 0.0890, 70.8), "6-32": (0.1380, 0.1177, 0.0997, 0.1065, 77.6),
    "8-32": (0.1640, 0.1437, 0.1257, 0.1360, 69.0), "10-24": (0.1900, 0.1629, 0.1389, 0.1495, 74.8),
    "10-32": (0.1900, 0.1697, 0.1517, 0.1590, 76.4), "1/4-20": (0.2500, 0.2175, 0.1887, 0.2010, 75.44),
    "1/4-28": (0.2500, 0.2268, 0.2062, 0.2130, 79.8), "5/16-18": (0.3125, 0.2764, 0.2443, 0.2570, 76.9),
    "3/8-16": (0.3750, 0.3344, 0.2983, 0.3125, 76.98), "7/16-14": (0.4375, 0.3911, 0.3499, 0.3680, 74.9),
    "1/2-13": (0.5000, 0.4500, 0.4056, 0.4219, 78.19), "5/8-11": (0.6250, 0.5660, 0.5135, 0.5312, 79.4),
    "3/4-10": (0.7500, 0.6850, 0.6273, 0.6562, 72.2), "1-8": (1.0000, 0.9188, 0.8466, 0.8750, 77.0),
}  # fmt: skip


@pytest.mark.parametrize("name", METRIC)
def test_metric_threads_are_as_printed(name: str) -> None:
    pitch, pitch_diameter, screw_minor, nut_minor, drill = METRIC[name]
    thread = find_thread(name)
    assert thread.pitch_mm == pitch
    # The print rounds diameters a little loosely: to the third decimal, give or take one.
    assert thread.pitch_diameter_mm == pytest.approx(pitch_diameter, abs=0.001)
    assert thread.screw_minor_mm == pytest.approx(screw_minor, abs=0.001)
    assert thread.nut_minor_mm == pytest.approx(nut_minor, abs=0.001)
    assert thread.tap_drill_mm == drill


@pytest.mark.parametrize("name", AREAS)
def test_stress_areas_are_as_printed(name: str) -> None:
    assert find_thread(name).stress_area_mm2 == pytest.approx(AREAS[name], rel=0.0035)


@pytest.mark.parametrize("name", FINE)
def test_fine_threads_are_as_printed(name: str) -> None:
    thread = find_thread(name)
    assert (thread.pitch_diameter_mm, thread.nut_minor_mm) == pytest.approx(FINE[name], abs=0.0006)


@pytest.mark.parametrize("name", UNIFIED)
def test_unified_threads_are_as_printed(name: str) -> None:
    major, pitch_diameter, screw_minor, drill, percent = UNIFIED[name]
    thread = find_thread(name)
    assert thread.diameter_mm / 25.4 == pytest.approx(major)
    assert thread.pitch_diameter_mm / 25.4 == pytest.approx(pitch_diameter, abs=0.0001)
    assert thread.screw_minor_mm / 25.4 == pytest.approx(screw_minor, abs=0.0002)
    assert thread.tap_drill_mm / 25.4 == pytest.approx(drill, abs=0.00006)
    assert thread.percent(thread.tap_drill_mm) == pytest.approx(percent, abs=0.06)
