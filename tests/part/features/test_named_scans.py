"""Grooves by their purpose, tapers and hexagons on scans: two of each that must be named, and a near miss of each.

Scans by tests/part/revolved.py. Sizes are typed in from the print: belt sections and cords from the charts named in
tables/sources.toml, rings from the list of DIN 471.
"""

from __future__ import annotations

import math
import tempfile
from functools import cache
from pathlib import Path

import numpy as np
import numpy.typing as npt
import pytest

from steadyrest.demo.scan import write_ply
from steadyrest.part.read import read
from steadyrest.shop.part import Feature, Part
from tests.part.revolved import line, spun

FloatArray = npt.NDArray[np.float64]


def vee(width: float, angle_deg: float, depth: float, outside: float) -> FloatArray:
    """A disc with a V groove between two lands of 3."""
    radius, aside = outside / 2, math.tan(math.radians(angle_deg / 2)) * depth
    floor = [(3 + aside, radius - depth), (3 + width - aside, radius - depth)]
    return line((0, 0), (0, radius), (3, radius), floor, (3 + width, radius), (6 + width, radius), (6 + width, 0))


def grooved(shaft: float, floor: float, width: float) -> FloatArray:
    up, down, end = shaft / 2, floor / 2, 12 + width + 6
    return line((0, 0), (0, up), (12, up), (12, down), (12 + width, down), (12 + width, up), (end, up), (end, 0))


def tapered(ratio: float, large: float = 20.0, length: float = 34.0) -> FloatArray:
    small = large - length / ratio
    collar = large / 2 + 3
    return line((0, 0), (0, small / 2), (length, large / 2), (length, collar), (length + 8, collar), (length + 8, 0))


def sided(sides: int):
    """What makes a round head of 10 long one of so many sides, its width across as the round was."""

    def shape(along: FloatArray, radius: FloatArray, angle: FloatArray) -> FloatArray:
        turn = (angle + np.pi / sides) % (2 * np.pi / sides) - np.pi / sides
        return np.where((along < 10) & (radius > 0.05), radius * (1 / np.cos(turn) - 1), 0.0)

    return shape


def headed(across: float, shank: float) -> FloatArray:
    return line((0, 0), (0, across / 2), (10, across / 2), (10, shank / 2), (34, shank / 2), (34, 0))


CASES = {
    "belt A": (vee(12.55, 34, 11.9, 56), 0.8, None),
    "belt B": (vee(16.18, 34, 14.2, 62), 0.9, None),
    "V of 50 degrees": (vee(14.0, 50, 11.9, 56), 0.8, None),
    "ring 20": (grooved(20, 19.0, 1.3), 0.45, None),
    "ring 30": (grooved(30, 28.6, 1.6), 0.55, None),
    "too deep for a ring": (grooved(20, 17.0, 1.3), 0.45, None),
    "cord 0.103 in": (grooved(20, 20 - 2 * 2.083, 3.607), 0.6, None),
    "cord 0.139 in": (grooved(24, 24 - 2 * 2.845, 4.81), 0.7, None),
    "neck": (grooved(20, 15, 6), 0.7, None),
    "taper 1:10": (tapered(10), 0.7, None),
    "taper 1:5": (tapered(5), 0.7, None),
    "taper 1:7.3": (tapered(7.3), 0.7, None),
    "hexagon 24": (headed(24, 14), 0.8, sided(6)),
    "hexagon 19": (headed(19, 12), 0.7, sided(6)),
    "square 20": (headed(20, 12), 0.7, sided(4)),
}


@cache
def part_of(case: str) -> Part:
    drawn, step_mm, shape = CASES[case]
    points, triangles = spun(drawn, step_mm=step_mm, noise_mm=0.025, seed=29, softness_mm=0.15, shape=shape)
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "part.ply"
        write_ply(path, points, triangles)
        return read(path.read_bytes(), "part.ply", unit="mm", progress=lambda *_: None, stop=lambda: False)


def said(case: str, kind: str) -> dict[str, dict[str, object]]:
    """The reasons of all features of a kind, with what they give."""
    features = [f for f in part_of(case).features if f.kind == kind]
    return {reason.key: dict(reason.given) for feature in features for reason in feature.why}


def only(case: str, kind: str) -> Feature:
    (one,) = [f for f in part_of(case).features if f.kind == kind]
    return one


@pytest.mark.parametrize(("case", "section", "width"), [("belt A", "A", 12.55), ("belt B", "B", 16.18)])
def test_a_v_belt_groove_is_named_by_its_section(case: str, section: str, width: float):
    assert said(case, "groove")["features.belt_groove"]["section"] == section
    groove = only(case, "groove").size("width_mm")
    assert groove is not None
    assert groove.estimate == pytest.approx(width, abs=0.1)


@pytest.mark.parametrize(("case", "shaft"), [("ring 20", 20.0), ("ring 30", 30.0)])
def test_a_retaining_rings_groove_is_named_by_its_shaft(case: str, shaft: float):
    assert said(case, "groove")["features.ring_groove"]["diameter_mm"] == shaft


@pytest.mark.parametrize(("case", "cord_in"), [("cord 0.103 in", 0.103), ("cord 0.139 in", 0.139)])
def test_an_o_rings_groove_is_named_by_its_cord(case: str, cord_in: float):
    assert said(case, "groove")["features.o_ring_groove"]["cord_mm"] == pytest.approx(25.4 * cord_in)


@pytest.mark.parametrize("case", ["V of 50 degrees", "too deep for a ring", "neck"])
def test_a_near_miss_has_no_purpose(case: str):
    keys = said(case, "groove")
    assert not keys.keys() & {"features.belt_groove", "features.ring_groove", "features.o_ring_groove"}


@pytest.mark.parametrize("ratio", ["1:10", "1:5"])
def test_a_standard_taper_is_named(ratio: str):
    angle = only(f"taper {ratio}", "cone").size("angle_deg")
    assert angle is not None
    assert angle.nominal is not None
    assert angle.nominal.shown == ratio
    assert angle.nominal.odds > 0.6


def test_a_taper_between_two_standard_ones_is_not_named_by_either():
    angle = only("taper 1:7.3", "cone").size("angle_deg")
    assert angle is not None
    assert angle.nominal is None or ":" not in angle.nominal.shown or angle.nominal.state == "ask"


@pytest.mark.parametrize("across", [24.0, 19.0])
def test_a_bolts_head_is_a_hexagon_by_its_width_across(across: float):
    width = only(f"hexagon {across:.0f}", "hexagon").size("width_mm")
    assert width is not None
    assert width.estimate == pytest.approx(across, abs=0.06)


def test_a_square_head_is_no_hexagon():
    assert not [f for f in part_of("square 20").features if f.kind == "hexagon"]
