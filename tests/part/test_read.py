"""Reading a file as a whole: by its content, with its unit or a question."""

from __future__ import annotations

import struct

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from steadyrest.part.read import read
from steadyrest.shop.part import Part
from steadyrest.trouble import BadInput
from steadyrest.wording.say import say
from tests.part.solid import made


def back(data: bytes, name: str = "part", unit: str | None = None) -> Part:
    return read(data, name, unit=unit, progress=lambda _w, _s: None, stop=lambda: False)


def stl(triangles: np.ndarray) -> bytes:
    rows = b"".join(struct.pack("<12fH", 0, 0, 0, *t.ravel(), 0) for t in triangles)
    return bytes(80) + struct.pack("<I", len(triangles)) + rows


def round_bar(diameter: float, length: float, strips: int = 72) -> bytes:
    """A bar as an exporter would tessellate it."""
    turn = np.linspace(0, 2 * np.pi, strips + 1)
    x, y = diameter / 2 * np.cos(turn), diameter / 2 * np.sin(turn)
    triangles = []
    for i in range(strips):
        a, b = (x[i], y[i], 0.0), (x[i + 1], y[i + 1], 0.0)
        c, d = (x[i + 1], y[i + 1], length), (x[i], y[i], length)
        triangles += [(a, b, c), (a, c, d), ((0.0, 0.0, 0.0), b, a), ((0.0, 0.0, length), d, c)]
    return stl(np.array(triangles))


def test_a_solid_is_read_with_nominal_sizes() -> None:
    part = back(made.step(made.stepped_shaft()), "shaft.step")
    assert (part.kind, part.unit.name, part.unit.state, part.axisymmetric) == ("solid", "mm", "sure", True)
    shown = [s.nominal.shown for f in part.features if f.kind == "shaft" for s in f.sizes[:1] if s.nominal]
    assert shown == ["25 mm", "35 mm", "30 mm"]
    assert part.size_mm == pytest.approx((150, 35, 35))


def test_cells_are_made_only_where_a_plan_asks_and_the_part_is_not_turned() -> None:
    plate = made.step(made.cut(made.box((0, 0, 0), (60, 20, 40)), made.cylinder(10, -1, 50, at=(30, 10))))
    shaft = made.step(made.stepped_shaft())

    def asked(data: bytes) -> Part:
        return read(data, "part", unit=None, grid=True, progress=lambda _what, _share: None, stop=lambda: False)

    assert back(plate).grid is None
    assert asked(shaft).grid is None
    part = asked(plate)
    assert part.grid is not None
    assert part.frame is not None
    assert part.size_mm == pytest.approx((60, 40, 20))
    sides = [n * part.grid.pitch_mm for n in part.grid.shape]
    assert sides == pytest.approx([60, 40, 20], abs=part.grid.pitch_mm)
    assert np.linalg.det(np.array(part.frame)) == pytest.approx(1)
    assert part.volume_mm3 is not None
    filled = np.count_nonzero(part.grid.filled()) * part.grid.pitch_mm**3
    assert filled == pytest.approx(part.volume_mm3, rel=0.01)


def test_a_mesh_without_a_unit_is_asked_and_never_guessed() -> None:
    part = back(round_bar(20, 50), "bar.stl")
    assert (part.unit.name, part.unit.state) == ("", "ask")
    assert part.size_mm == pytest.approx((50, 20, 20), rel=1e-3)
    assert all(s.nominal is None for f in part.features for s in f.sizes)
    assert any("caliper" in say(doubt.ask) for doubt in part.doubts)
    assert "50" in say(part.unit.why)


@pytest.mark.parametrize(("unit", "mm"), [("mm", 1.0), ("in", 25.4), ("m", 1000.0)])
def test_a_given_unit_turns_the_sizes_into_mm(unit: str, mm: float) -> None:
    part = back(round_bar(20 / mm, 50 / mm), "bar.stl", unit)
    assert (part.unit.name, part.unit.state) == (unit, "sure")
    assert part.size_mm == pytest.approx((50, 20, 20), rel=1e-3)
    (shaft,) = (f for f in part.features if f.kind == "shaft")
    assert shaft.sizes[0].nominal is not None
    assert shaft.sizes[0].nominal.shown == "20 mm"


def test_a_given_unit_against_the_files_own_is_a_doubt() -> None:
    part = back(made.step(made.cylinder(20, 0, 50)), "bar.step", "in")
    assert part.unit.name == "mm"
    assert "read.unit_both" in {d.what.key for d in part.doubts}


def test_the_content_decides_and_not_the_name() -> None:
    assert back(made.step(made.cylinder(20, 0, 50)), "bar.stl").kind == "solid"
    assert back(round_bar(20, 50), "bar.step").kind == "scan"


@pytest.mark.parametrize(
    ("data", "says"),
    [
        (b"", "empty"),
        (b"\0" * 500, "empty"),
        (b"%PDF-1.7 ...", "PDF"),
        (b"nothing that anybody knows", "no file of a part"),
    ],
)
def test_what_is_not_read_is_said(data: bytes, says: str) -> None:
    with pytest.raises(BadInput, match=says) as trouble:
        back(data, "thing")
    assert "STEP, STL, PLY, OBJ, 3MF and DXF" in trouble.value.line()


def test_an_unknown_unit_is_refused() -> None:
    with pytest.raises(BadInput, match="not a unit"):
        back(round_bar(20, 50), "bar.stl", "parsec")


def test_everything_that_reading_says_has_a_sentence() -> None:
    for data in (made.step(made.hub()), made.step(made.stepped_shaft()), round_bar(20, 50)):
        part = back(data)
        reasons = [part.unit.why, *part.repaired, *part.lost]
        reasons += [r for doubt in part.doubts for r in (doubt.what, doubt.ask)]
        reasons += [r for f in part.features for r in f.why]
        assert all(say(reason) for reason in reasons)


def test_progress_runs_from_nothing_to_all_and_stop_stops() -> None:
    shares: list[float] = []
    read(round_bar(20, 50), "x", unit="mm", progress=lambda _w, s: shares.append(s), stop=lambda: False)
    assert shares == sorted(shares)
    assert (shares[0], shares[-1]) == (0.0, 1.0)
    with pytest.raises(InterruptedError):
        read(round_bar(20, 50), "x", unit="mm", progress=lambda _w, _s: None, stop=lambda: True)


@settings(deadline=None, max_examples=60)
@given(data=st.binary(max_size=300))
def test_any_bytes_are_a_part_or_one_line(data: bytes) -> None:
    try:
        back(data)
    except BadInput as trouble:
        line = trouble.line()
    else:
        line = "a part"
    assert "\n" not in line
