"""Cutter compensation: every point of the compensated path keeps its distance from the programmed one."""

from __future__ import annotations

import math
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis.strategies import floats, integers, sampled_from

from steadyrest.program.reading.dialect import Dialect
from steadyrest.program.reading.read import read
from steadyrest.program.run import Motion, Moves, Run


def run(program: str, radius_mm: float = 3.0, **dialect: object) -> Run:
    return read(program.encode(), Dialect(tool_radius_mm={1: radius_mm}, **dialect))  # type: ignore[arg-type]


def joined(moves: Moves) -> bool:
    return bool(np.allclose(moves.end_mm[:-1], moves.start_mm[1:], atol=1e-9))


def points(moves: Moves, row: int, count: int = 15) -> np.ndarray:
    """Points along a row, in XY."""
    start, end, centre = moves.start_mm[row, :2], moves.end_mm[row, :2], moves.centre_mm[row, :2]
    share = np.linspace(0.0, 1.0, count)[:, None]
    if moves.motion[row] in (Motion.RAPID, Motion.LINE):
        return start + share * (end - start)
    sign = 1.0 if moves.motion[row] == Motion.ARC_CCW else -1.0
    a, b = (math.atan2(*(p - centre)[::-1]) for p in (start, end))
    turn = (sign * (b - a)) % (2 * math.pi) or 2 * math.pi
    angle = a + sign * share[:, 0] * turn
    return centre + np.linalg.norm(start - centre) * np.column_stack([np.cos(angle), np.sin(angle)])


def polygon(corners: int, radius_mm: float) -> list[tuple[float, float]]:
    return [
        (radius_mm * math.cos(2 * math.pi * k / corners), radius_mm * math.sin(2 * math.pi * k / corners))
        for k in range(corners)
    ]


def contour(places: list[tuple[float, float]], word: str) -> str:
    """A closed path begun and left in the middle of its first side, square to it."""
    (x0, y0), (x1, y1) = places[0], places[1]
    start = ((x0 + x1) / 2, (y0 + y1) / 2)
    away = f"X{2.5 * start[0]:.6f} Y{2.5 * start[1]:.6f}"
    lines = ["G21 G90 F100", f"G0 {away}", f"{word} D1 G1 X{start[0]:.6f} Y{start[1]:.6f}"]
    lines += [f"X{x:.6f} Y{y:.6f}" for x, y in [*places[1:], places[0]]]
    lines += [f"X{start[0]:.6f} Y{start[1]:.6f}", f"G40 {away}", "M30"]
    return "\n".join(lines)


@given(corners=integers(3, 12), size=floats(10, 80), radius=floats(0.2, 8.0))
@settings(deadline=None, max_examples=40)
def test_round_the_outside_of_a_polygon_the_path_is_longer_by_a_circle(
    corners: int, size: float, radius: float
) -> None:
    """Steiner's formula: the parallel body of a convex one has its girth and 2 pi r (closed form)."""
    places = polygon(corners, size)
    done = run(contour(places, "G42"), radius)
    girth = sum(math.dist(a, b) for a, b in pairwise([*places, places[0]]))
    assert not done.odds
    assert joined(done.moves)
    inner = done.moves.length_mm[2:-1]
    assert inner.sum() == pytest.approx(girth + 2 * math.pi * radius, rel=1e-5)


@given(corners=integers(3, 12), size=floats(10, 80), share=floats(0.05, 0.8))
@settings(deadline=None, max_examples=40)
def test_along_the_inside_of_a_polygon_the_path_is_the_smaller_polygon(corners: int, size: float, share: float) -> None:
    places = polygon(corners, size)
    inside = size * math.cos(math.pi / corners)
    radius = share * inside * math.sin(math.pi / corners)
    done = run(contour(places, "G41"), radius)
    assert not done.odds
    assert joined(done.moves)
    girth = 2 * corners * (inside - radius) * math.tan(math.pi / corners)
    assert done.moves.length_mm[2:-1].sum() == pytest.approx(girth, rel=1e-4)


@given(
    radius=floats(0.2, 4.0), bend=sampled_from([-70, -30, 30, 70]), arc=sampled_from(["G2", "G3"]), size=floats(10, 40),
    side=sampled_from(["G41", "G42"]),
)  # fmt: skip
@settings(deadline=None, max_examples=40)
def test_between_lines_and_arcs_the_tool_keeps_its_distance(
    radius: float, bend: int, arc: str, size: float, side: str
) -> None:
    """No point of the tool's path is nearer to the programmed one than the radius, and each is as near somewhere."""
    a = math.radians(bend)
    sign = 1.0 if arc == "G3" else -1.0
    ux, uy = math.cos(a), math.sin(a)
    cx, cy = 60 - sign * size * uy, sign * size * ux
    turn = sign * math.radians(60)
    ex = cx + (60 - cx) * math.cos(turn) + cy * math.sin(turn)
    ey = cy + (60 - cx) * math.sin(turn) - cy * math.cos(turn)
    text = (
        f"G21 G90 F100\nG0 X-20 Y-30\n{side} D1 G1 X0 Y0\nX60 Y0\n{arc} X{ex:.7f} Y{ey:.7f} I{cx - 60:.7f} J{cy:.7f}\n"
        f"G40 G1 X{ex + 50} Y{ey + 50}\nM30\n"
    )
    done, plain = run(text, radius), read(text.replace("D1", "D0").encode(), Dialect(tool_radius_mm={0: 0.0}))
    assert not done.odds
    assert joined(done.moves)
    wanted = np.concatenate([points(plain.moves, row, 2000) for row in (2, 3)])
    for row in range(2, len(done.moves) - 1):
        far = np.array([np.linalg.norm(wanted - p, axis=1).min() for p in points(done.moves, row)])
        np.testing.assert_allclose(far, radius, atol=2e-2 * radius + 4e-3)


def test_on_both_sides_of_a_circle_the_radius_grows_or_shrinks() -> None:
    text = "G21 G90 F100\nG0 X10 Y0\n{} D1 G1 X20 Y0\nG3 X20 Y0 I-20\nG40 G1 X10 Y0\nM30\n"
    for word, radius in (("G41", 17.0), ("G42", 23.0)):
        done = run(text.format(word))
        assert done.moves.length_mm[2] == pytest.approx(2 * math.pi * radius)
        assert done.moves.start_mm[2, 0] == pytest.approx(radius)


def test_a_smooth_corner_written_with_rounded_numbers_is_no_corner() -> None:
    """Two circles that touch from outside, rounded to 0.001 mm: moved aside they may miss each other by microns."""
    radius = 5.0
    for degree in range(0, 360, 7):
        a = math.radians(degree)
        x, y = round(radius * math.cos(a), 3), round(radius * math.sin(a), 3)
        cx, cy = round(11.0 * math.cos(a), 3), round(11.0 * math.sin(a), 3)
        b = a + math.pi + 0.8
        ex, ey = round(cx + 6.0 * math.cos(b), 3), round(cy + 6.0 * math.sin(b), 3)
        sx, sy = round(radius * math.cos(a + 1.0), 3), round(radius * math.sin(a + 1.0), 3)
        text = (
            f"G21 G90 F100\nG0 X{1.6 * sx} Y{1.6 * sy}\nG41 D1 G1 X{sx} Y{sy}\n"
            f"G2 X{x} Y{y} I{-sx:.3f} J{-sy:.3f}\nG3 X{ex} Y{ey} I{cx - x:.3f} J{cy - y:.3f}\n"
            "G40 G1 X30 Y30\nM30\n"
        )
        done = run(text, 2.0)
        assert not done.odds, degree
        assert joined(done.moves)
        assert done.moves.length_mm[2:4].tolist() == pytest.approx([7.0, 3.2], abs=0.1)


def test_steps_in_depth_stay_where_the_path_is() -> None:
    done = run("G21 G90 F100\nG0 X-9 Y-9\nG42 D1 G1 X0 Y-5\nY20\nZ-2\nX30\nG40 X40\nM30\n")
    assert joined(done.moves)
    assert done.moves.line.tolist() == [2, 3, 4, 5, 6, 7]
    assert done.moves.end_mm[3].tolist() == pytest.approx([3.0, 17.0, -2.0])


@pytest.mark.parametrize(
    ("text", "kind", "line"),
    [
        ("G42 D7 G1 X0 Y0\nX30\nG40 Y9\n", "compensation", 3),  # nobody said what D7 is
        ("G42 G1 X0 Y0\nX30\nG40 Y9\n", "compensation", 3),
        ("G41 D1 G1 X0 Y0\nX30\nY2\nX20\nG40 Y9 X0\n", "gouge", 5),  # a slot of 2 mm for a tool of 6
        ("G42 D1 G2 X0 Y0 R20\nG1 X30\nG40 Y9\n", "gouge", 3),
        ("G41 D1 G1 X0 Y0\nG3 X4 Y0 R2\nG40 G1 Y9\n", "gouge", 4),
    ],
)
def test_what_cannot_be_compensated_is_told(text: str, kind: str, line: int) -> None:
    done = run(f"G21 G90 F100\nG0 X-20 Y-20\n{text}M30\n")
    assert (kind, line) in [(odd.kind, odd.line) for odd in done.odds]


def test_a_path_of_unknown_radius_is_taken_as_programmed() -> None:
    text = "G21 G90 F100\nG0 X-20 Y-20\nG42 D7 G1 X0 Y0\nX30\nG40 Y9\nM30\n"
    assert run(text).moves.end_mm[:, :2].tolist() == [[-20, -20], [0, 0], [30, 0], [30, 9]]
