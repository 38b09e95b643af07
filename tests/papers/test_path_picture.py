"""The path and the time strip: valid, the same every time, on the paper, within what they say, small at any size."""

from __future__ import annotations

import re
from dataclasses import replace
from xml.etree import ElementTree

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from steadyrest.papers.drawing.darkened import darkened
from steadyrest.papers.drawing.path_lines import clipped, flattened, strokes
from steadyrest.papers.drawing.path_picture import StopOnPath, ToolOnPath, path_svg
from steadyrest.papers.drawing.time_strip import said_tick, strip_svg, ticks
from steadyrest.program.night.stretches import stretches
from steadyrest.program.run import Motion, Plane
from steadyrest.shop.leaving import BoxBlank, RoundBlank
from tests.program.hand_runs import run_of, times, turned_parts

LAW = settings(deadline=None)

BLOCK = BoxBlank((-5.0, -5.0, -20.0), (65.0, 45.0, 0.0))
MILLED = run_of(
    [
        ("tool", 1), ("rapid", 0, 0, 60), ("rapid", 0, 0, 5), ("feed", 0, 0, -4), ("feed", 60, 0, -4),
        ("feed", 60, 40, -4), ("rapid", 60, 40, 60), ("tool", 12), ("rapid", 30, 20, 60), ("feed", 30, 20, -15),
        ("rapid", 30, 20, 400), ("stop", 0.0), ("rapid", -300, 0, 400),
    ]
)  # fmt: skip
COORDINATES = st.floats(-50, 150, allow_nan=False)
PIECES = st.lists(st.tuples(*[COORDINATES] * 4), min_size=1, max_size=30).map(
    lambda rows: np.array(rows).reshape(-1, 2, 2)
)


def arc_run(motion: Motion, start, end, centre, turns: float = 0.0):
    run = run_of([("tool", 1), ("rapid", *start), ("feed", *end)])
    moves = run.moves
    centres = np.full((2, 3), np.nan)
    centres[1] = centre
    return replace(
        run,
        moves=replace(
            moves,
            motion=np.array([Motion.RAPID, motion], dtype=np.int8),
            plane=np.array([Plane.XY, Plane.XY], dtype=np.int8),
            centre_mm=centres,
            turns=np.array([0.0, turns]),
        ),
    )


@pytest.mark.parametrize("dark", [False, True])
@pytest.mark.parametrize("width", [95.0, 180.0])
def test_a_picture_is_valid_the_same_every_time_and_on_the_paper(width: float, *, dark: bool) -> None:
    svg = path_svg(MILLED, blank=BLOCK, lathe=False, stops=[StopOnPath(8, "it waits")], width_mm=width, dark=dark)
    assert svg == path_svg(
        MILLED, blank=BLOCK, lathe=False, stops=[StopOnPath(8, "it waits")], width_mm=width, dark=dark
    )
    ElementTree.fromstring(svg)
    assert "style=" not in svg
    high = float(re.search(r'viewBox="0 0 [\d.]+ ([\d.]+)"', svg)[1])  # type: ignore[index]
    for path in re.findall(r'<path d="([^"]+)"', svg):
        places = re.findall(r"[ML](-?[\d.]+) (-?[\d.]+)", path)
        assert places
        assert all(-0.2 <= float(x) <= width + 0.2 and -0.2 <= float(y) <= high + 0.2 for x, y in places)


def test_a_picture_recoloured_is_the_picture_drawn_dark() -> None:
    stops = [StopOnPath(8, "it waits")]
    light = path_svg(MILLED, blank=BLOCK, lathe=False, stops=stops)
    assert darkened(light) == path_svg(MILLED, blank=BLOCK, lathe=False, stops=stops, dark=True)
    told = stretches(turned_parts(3), times(turned_parts(3)))
    strip = strip_svg(told, total_s=told[-1].ends_s, stops_s=[10.0])
    assert darkened(strip) == strip_svg(told, total_s=told[-1].ends_s, stops_s=[10.0], dark=True)


def test_cuts_are_solid_rapids_dashed_and_every_tool_has_its_numeral_and_its_words() -> None:
    svg = path_svg(
        MILLED, blank=BLOCK, lathe=False, tools=[ToolOnPath(1, "end mill"), ToolOnPath(12, "drill")],
        stops=[StopOnPath(8, "line 12 waits")],
    )  # fmt: skip
    assert svg.count("stroke-dasharray") >= 2
    for words in (">1<", ">12<", "end mill", "drill", "line 12 waits", "from above", "from the front", "rapid"):
        assert words in svg
    assert "Tools in order: T1, T12" in svg


def test_the_other_side_of_the_machine_does_not_shrink_what_is_cut() -> None:
    # The last rapid goes 300 mm away; the frame is that of the work.
    svg = path_svg(MILLED, blank=BLOCK, lathe=False)
    frame = re.search(r"frame ([\d.]+) mm", svg)
    assert frame is not None
    assert float(frame[1]) < 100


def test_a_bar_a_metre_long_is_shown_where_it_is_cut() -> None:
    svg = path_svg(turned_parts(2), blank=RoundBlank(45.0, (-1000.0, 0.0)), lathe=True)
    assert "beside the axis" in svg
    frames = [float(v) for v in re.findall(r"([\d.]+) mm", svg[svg.index("frame") :])[:2]]
    assert max(frames) < 300


def test_nothing_cut_is_no_picture_and_a_strip_too_narrow_is_refused() -> None:
    nothing = run_of([("tool", 1), ("rapid", 1, 1, 1)])
    assert path_svg(nothing, blank=None, lathe=False) == ""
    assert strip_svg((), total_s=10.0) == ""
    with pytest.raises(ValueError, match="width_mm"):
        path_svg(MILLED, blank=None, lathe=False, width_mm=40.0)
    with pytest.raises(ValueError, match="width_mm"):
        strip_svg((), total_s=1.0, width_mm=40.0)


def test_two_hundred_thousand_moves_make_a_small_picture_that_says_how_far_it_is_off() -> None:
    generator = np.random.default_rng(2)
    small = run_of([("tool", 1), ("feed", 0, 0, 0), ("feed", 1, 1, 1)])
    n = 200_000
    walk = np.cumsum(generator.normal(0, 0.2, (n + 1, 3)), axis=0)
    walk = 50 + 40 * np.sin(walk / 40)
    first = {name: getattr(small.moves, name)[-1:] for name in small.moves.__slots__}
    moves = replace(small.moves, **{name: np.repeat(value, n, axis=0) for name, value in first.items()})
    moves = replace(moves, start_mm=walk[:-1], end_mm=walk[1:], offset_mm=np.zeros((n, 3)))
    svg = path_svg(replace(small, moves=moves), blank=None, lathe=False)
    assert len(svg) < 600_000
    assert f"{n} moves" in svg
    assert "drawn within" in svg


@LAW
@given(pieces=PIECES)
def test_what_is_clipped_lies_inside_and_nothing_inside_is_lost(pieces: np.ndarray) -> None:
    kept = clipped(pieces, (0.0, 0.0), (100.0, 100.0))
    assert ((kept > -1e-9) & (kept < 100 + 1e-9)).all()
    for share in (0.0, 0.25, 0.5, 0.75, 1.0):
        points = pieces[:, 0] + share * (pieces[:, 1] - pieces[:, 0])
        inside = points[((points > 1e-6) & (points < 100 - 1e-6)).all(axis=1)]
        for point in inside:
            way = kept[:, 1] - kept[:, 0]
            long = np.maximum((way**2).sum(axis=1), 1e-18)
            t = np.clip(((point - kept[:, 0]) * way).sum(axis=1) / long, 0, 1)
            assert np.linalg.norm(kept[:, 0] + t[:, None] * way - point, axis=1).min() < 1e-6


@LAW
@given(pieces=PIECES, most=st.integers(1, 40))
def test_every_end_of_a_piece_is_drawn_within_the_grid(pieces: np.ndarray, most: int) -> None:
    told = strokes(pieces, most=most)
    count = sum(len(line) - 1 for line in told.points)
    assert count <= most
    long = np.abs(pieces[:, 0] - pieces[:, 1]).max(axis=1) > told.grid_mm
    for end in pieces[long].reshape(-1, 2):
        # On a line, if not at one of its points: those on the way of a straight line are left out.
        assert min(away(end, line) for line in told.points) <= told.grid_mm * 0.71


def away(point: np.ndarray, line: np.ndarray) -> float:
    """How far a point is from a polyline."""
    begin, way = line[:-1], np.diff(line, axis=0)
    t = np.clip(((point - begin) * way).sum(axis=1) / (way**2).sum(axis=1), 0, 1)
    return float(np.linalg.norm(begin + t[:, None] * way - point, axis=1).min())


@pytest.mark.parametrize("turns", [0.0, 2.0])
@pytest.mark.parametrize("motion", [Motion.ARC_CW, Motion.ARC_CCW])
def test_chords_lie_on_their_arc_and_are_as_long(motion: Motion, turns: float) -> None:
    run = arc_run(motion, (10.0, 0.0, 0.0), (0.0, 10.0, -3.0), (0.0, 0.0, 0.0), turns)
    pieces = flattened(run.moves, np.array([1]), off_mm=0.001)
    radii = np.hypot(pieces[:, :, 0], pieces[:, :, 1])
    assert radii == pytest.approx(10.0, abs=1e-9)
    quarters = (1 if motion is Motion.ARC_CCW else 3) + 4 * turns
    flat = np.linalg.norm(np.diff(pieces[:, :, :2], axis=1), axis=2).sum()
    # Closed form: radius times angle; chords a little shorter.
    assert flat == pytest.approx(10.0 * np.pi / 2 * quarters, rel=2e-4)
    assert pieces[-1, 1, 2] == pytest.approx(-3.0)


def test_the_strip_has_a_row_a_tool_and_marks_each_stop() -> None:
    run = turned_parts(40)
    told = stretches(run, times(run))
    svg = strip_svg(told, total_s=told[-1].ends_s, stops_s=[600.0, 610.0, 4000.0])
    ElementTree.fromstring(svg)
    assert svg.count("<rect") >= 2
    for numeral in (">1<", ">2<", ">3<"):
        assert numeral in svg
    assert "T1 cuts" in svg
    assert svg == strip_svg(told, total_s=told[-1].ends_s, stops_s=[600.0, 610.0, 4000.0])


@LAW
@given(total_s=st.floats(1, 4e5), wide=st.floats(50, 150))
def test_the_scale_has_a_few_marks_and_never_too_many(total_s: float, wide: float) -> None:
    marks = ticks(total_s, wide)
    assert marks[0] == 0
    assert len(marks) <= int(wide / 20) + 2
    assert marks[-1] <= total_s


@pytest.mark.parametrize(
    ("at_s", "said"),
    [(0, "0"), (40, "40 s"), (90, "1:30"), (1200, "20 min"), (7200, "2 h"), (5400, "1:30 h")],
)
def test_marks_read_as_on_a_clock(at_s: float, said: str) -> None:
    assert said_tick(at_s) == said
