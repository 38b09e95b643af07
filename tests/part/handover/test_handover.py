"""What is handed over reads back as what was handed over."""

from __future__ import annotations

import csv
import io
import math
from dataclasses import replace
from functools import cache

import ezdxf
import pytest

from steadyrest.part.handover.arched import arched
from steadyrest.part.handover.dxf import profile_dxf
from steadyrest.part.handover.nominal_profile import nominal_profile
from steadyrest.part.handover.outline import Segment, ends_of
from steadyrest.part.handover.sizes import sizes_csv
from steadyrest.part.handover.step_out import nominal_step
from steadyrest.part.read import read
from steadyrest.shop.part import Nominal, Part, Size, Stretch
from steadyrest.trouble import BadInput
from tests.part.solid import made


@cache
def part(name: str) -> Part:
    shapes = {
        "shaft": made.stepped_shaft,
        "hub": lambda: made.cut(made.cylinder(60, 0, 40), made.cylinder(25, -1, 41), made.cylinder(40, 30, 41)),
        "filleted": lambda: made.filleted(
            made.fused(made.cylinder(20, 0, 40), made.cylinder(40, 40, 60)), 2.0, at_radius=10, at_z=40
        ),
        "open keyway": lambda: made.cut(made.cylinder(40, 0, 60), made.box((15, -6, 30), (50, 6, 61))),
        "flange": lambda: made.cut(
            made.fused(made.cylinder(30, 0, 40), made.cylinder(90, 40, 52)),
            *(made.cylinder(9, 39, 53, at=(33 * math.cos(t), 33 * math.sin(t))) for t in (0.3, 2.4, 4.5)),
            made.cylinder(6.5, 44, 60, at=(-22, 10)),
        ),
        "pinned": lambda: made.cut(
            made.cylinder(30, 0, 60),
            made.cylinder(8, 0, 40, axis=(1, 0, 0), start=(-20, 0, 22)),
            made.cylinder(5, 0, 11, axis=(1, 0, 0), start=(-20, 0, 45)),
        ),
        "one flat": lambda: made.cut(made.cylinder(30, 0, 60), made.box((12, -20, 40), (20, 20, 61))),
        "two flats": lambda: made.cut(
            made.cylinder(30, 0, 60), *(made.box((x, -20, 20), (x + 8, 20, 41)) for x in (11, -19))
        ),
        "hexagon": lambda: made.fused(made.hexagon(24, 0, 15), made.cylinder(16, 15, 60)),
        "recessed": lambda: made.cut(
            made.cylinder(60, 0, 30), made.cut(made.cylinder(44, 24, 31), made.cylinder(26, 23, 32))
        ),
        "sunk": lambda: made.cut(made.cylinder(60, 0, 30), made.cylinder(20, -1, 31), made.cylinder(40, 27, 31)),
        "tapered": lambda: made.fused(made.cylinder(30, 0, 20), made.cone(30, 20, 20, 70), made.cylinder(20, 70, 90)),
    }
    return back(made.step(shapes[name]()), f"{name}.step")


def back(data: bytes, name: str = "again.step", *, grid: bool = False) -> Part:
    return read(data, name, unit=None, grid=grid, progress=lambda _w, _s: None, stop=lambda: False)


NAMES = (
    "shaft", "hub", "filleted", "open keyway", "tapered", "flange", "pinned", "one flat", "two flats", "hexagon",
    "recessed", "sunk",
)  # fmt: skip


def sizes(of: Part) -> list[tuple[str, str, float]]:
    return [(f.kind, s.name, pytest.approx(s.estimate, abs=1e-6)) for f in of.features for s in f.sizes]


@pytest.mark.parametrize("name", NAMES)
def test_the_nominal_solid_reads_back_with_the_same_sizes_and_volume(name: str) -> None:
    again = back(nominal_step(part(name)))
    assert sizes(part(name)) == [(k, n, float(v.expected)) for k, n, v in sizes(again)]
    assert again.volume_mm3 == pytest.approx(part(name).volume_mm3, rel=1e-8)


@pytest.mark.parametrize("name", NAMES)
def test_the_drawing_reads_back_with_the_profiles_sizes(name: str) -> None:
    drawing = ezdxf.read(io.StringIO(profile_dxf(part(name)).decode()))
    assert drawing.units == ezdxf.units.MM
    profile = nominal_profile(part(name))
    lines = [e for e in drawing.modelspace() if e.dxftype() == "LINE" and e.dxf.layer in ("outline", "bore")]
    level = {(round(e.dxf.start.y, 6), e.dxf.layer) for e in lines if abs(e.dxf.start.y - e.dxf.end.y) < 1e-9}
    for stretches, layer in ((profile.outside, "outline"), (profile.inside, "bore")):
        for stretch in stretches:
            if stretch.diameter_from_mm == stretch.diameter_to_mm:
                assert any(where == layer and abs(y - stretch.diameter_from_mm / 2) < 1e-6 for y, where in level)
    ends = [x for e in lines for x in (e.dxf.start.x, e.dxf.end.x)]
    assert (min(ends), max(ends)) == (pytest.approx(0, abs=1e-6), pytest.approx(profile.length_mm, abs=1e-6))


def test_a_keyway_is_drawn_from_above_with_its_round_ends() -> None:
    drawing = ezdxf.read(io.StringIO(profile_dxf(part("shaft")).decode()))
    keyway = [e for e in drawing.modelspace() if e.dxf.layer == "keyway"]
    arcs = sorted((e for e in keyway if e.dxftype() == "ARC"), key=lambda e: e.dxf.center.x)
    assert [a.dxf.radius for a in arcs] == pytest.approx([5, 5], abs=1e-6)
    assert [a.dxf.center.x for a in arcs] == pytest.approx([60, 100], abs=1e-6)
    # Both ends bulge outward: the first arc runs over 180 degrees, the last over 0.
    assert arcs[0].dxf.start_angle == pytest.approx(90)
    assert arcs[1].dxf.start_angle % 360 == pytest.approx(270)


def test_a_rounded_corner_is_an_arc() -> None:
    drawing = ezdxf.read(io.StringIO(profile_dxf(part("filleted")).decode()))
    (arc,) = (e for e in drawing.modelspace() if e.dxftype() == "ARC")
    assert (arc.dxf.radius, arc.dxf.center.x, arc.dxf.center.y) == pytest.approx((2, 38, 12), abs=1e-6)


@pytest.mark.parametrize("radius", [12.0, 20.0])
def test_a_ball_end_is_handed_over_as_one_arc(radius: float) -> None:
    """The chords on which a profile holds it enclose less: the solid must have the ball's own volume."""
    ball = back(made.step(made.fused(made.cylinder(2 * radius, 0, 40), made.ball(radius, at=40))))
    drawing = ezdxf.read(io.StringIO(profile_dxf(ball).decode()))
    (arc,) = (e for e in drawing.modelspace() if e.dxftype() == "ARC")
    assert (arc.dxf.radius, arc.dxf.center.x, arc.dxf.center.y) == pytest.approx((radius, 40, 0), abs=1e-6)
    wanted = math.pi * radius**2 * 40 + 2 / 3 * math.pi * radius**3
    assert back(nominal_step(ball)).volume_mm3 == pytest.approx(wanted, rel=1e-8)


def test_short_tapers_on_no_circle_stay_tapers() -> None:
    tapers = [Stretch(x, x + 1.0, 20 + 2 * (x % 2), 22 - 2 * (x % 2), "F1") for x in (0.0, 1.0, 2.0, 3.0)]
    line = tuple(Segment(*ends_of(taper)) for taper in tapers)
    assert arched(line, tapers) == line
    others = [replace(taper, feature=f"F{k}") for k, taper in enumerate(tapers)]
    assert arched(line, others) == line


def test_no_end_face_is_drawn_across_an_open_bore() -> None:
    drawing = ezdxf.read(io.StringIO(profile_dxf(part("hub")).decode()))
    low = [min(e.dxf.start.y, e.dxf.end.y) for e in drawing.modelspace() if e.dxf.layer in ("outline", "bore")]
    assert min(low) == pytest.approx(12.5, abs=1e-6)


@pytest.mark.parametrize("name", NAMES)
def test_the_same_part_gives_the_same_bytes(name: str) -> None:
    for write in (profile_dxf, nominal_step, sizes_csv):
        assert write(part(name)) == write(part(name))


def test_what_is_left_out_is_said_in_the_files() -> None:
    drilled = back(made.step(made.hub()))
    assert b"left out" not in nominal_step(drilled)
    slotted = back(made.step(made.cut(made.cylinder(30, 0, 60), made.box((-20, -2, 52), (20, 2, 61)))))
    assert b"left out: slot" in nominal_step(slotted)
    # 30 wide, 4 across, 8 deep: 950.9 mm3 of 41460.
    assert b"2.3 % more volume" in nominal_step(slotted)
    assert b"left out: bore (F4, F5, F6, F7)" in profile_dxf(drilled)


def test_a_slot_across_an_end_and_a_drills_point_are_cut() -> None:
    """Known by their walls and their cone: a part read with its surfaces."""
    pointed = made.fused(
        made.cylinder(8, 0, 20, axis=(1, 0, 0), start=(-20, 0, 22)),
        made.moved(made.moved(made.cone(8, 0, 0, 2.4), turn_deg=90, about=(0, 1, 0)), by=(0, 0, 22)),
    )
    shape = made.cut(made.cylinder(30, 0, 60), pointed, made.moved(made.box((-20, -2, 52), (20, 2, 61)), turn_deg=25))
    of = back(made.step(shape), grid=True)
    again = back(nominal_step(of))
    assert sizes(of) == [(k, n, float(v.expected)) for k, n, v in sizes(again)]
    assert again.volume_mm3 == pytest.approx(of.volume_mm3, rel=1e-8)


def test_the_drawing_says_what_places_are_measured_from() -> None:
    drawing = ezdxf.read(io.StringIO(profile_dxf(part("flange")).decode()))
    letters = {e.dxf.text: e.dxf.insert for e in drawing.modelspace().query("TEXT") if e.dxf.layer == "datum"}
    assert set(letters) == {"A", "B"}
    face = {d.name: d.at_mm for d in part("flange").datums}["B"]
    ends = sorted({0.0, 52.0}, key=lambda z: abs(z - face[2]))
    near = 0.0 if abs(letters["B"].x) < abs(letters["B"].x - 52.0) else 52.0
    assert near == ends[0]


def test_a_part_that_is_not_turned_has_no_profile_to_hand_over() -> None:
    block = back(made.step(made.box((0, 0, 0), (10, 20, 30))))
    with pytest.raises(BadInput, match="not a turned part"):
        profile_dxf(block)
    assert sizes_csv(block).startswith(b"\xef\xbb\xbffeature,")


def test_a_cell_cannot_become_a_formula() -> None:
    of = part("shaft")
    wicked = replace(of.features[0].sizes[0], nominal=Nominal(1.0, "=1+1", 1.0, "@x", None, ()))
    of = replace(of, features=(replace(of.features[0], sizes=(wicked,)),))
    (row,) = list(csv.DictReader(io.StringIO(sizes_csv(of).decode("utf-8-sig"))))
    assert (row["shown"], row["source"]) == ("'=1+1", "'@x")


def named(size: Size, value: float) -> Size:
    return replace(size, nominal=Nominal(value, f"{value} mm", 1.0, "metric preferred", None, ()))


def test_nominal_sizes_move_the_profile_and_leave_no_gap() -> None:
    of = part("shaft")
    features = tuple(
        replace(f, sizes=tuple(named(s, round(s.estimate * 1.01, 1)) for s in f.sizes)) if f.kind == "shaft" else f
        for f in of.features
    )
    profile = nominal_profile(replace(of, features=features))
    assert [s.diameter_from_mm for s in profile.outside[1:4]] == pytest.approx([25.2, 35.4, 30.3])
    assert [a.to_mm for a in profile.outside[:-1]] == [b.from_mm for b in profile.outside[1:]]
    # A chamfer keeps its legs on the new diameter.
    assert profile.outside[0].diameter_to_mm == pytest.approx(25.2)
    assert profile.outside[0].diameter_from_mm == pytest.approx(23.2)
