"""The nominal solid of a part that is not turned reads back as what it was made from, and says what it leaves out."""

from __future__ import annotations

import io
import math
from dataclasses import replace
from functools import cache

import ezdxf
import numpy as np
import pytest

from steadyrest.part.flat.outline_dxf import lines_dxf
from steadyrest.part.handover.levels import solved
from steadyrest.part.handover.milled import Milled
from steadyrest.part.handover.read_back import not_read_back
from steadyrest.part.handover.slanted import Slant
from steadyrest.part.handover.step_out import Handed, nominal_solid
from steadyrest.part.handover.stepped import blocks
from steadyrest.part.read import read
from steadyrest.part.solid.kernel.milled import milled_step
from steadyrest.shop.part import Nominal, Part, Size
from steadyrest.trouble import BadInput
from tests.part.solid import made


def back(data: bytes, *, grid: bool = False) -> Part:
    return read(data, "again.step", unit=None, grid=grid, progress=lambda _w, _s: None, stop=lambda: False)


def pocket(low: tuple[float, float], high: tuple[float, float], floor: float, corner: float):
    """A pocket from z = 40 down to a floor, its upright corners rounded."""
    (a, b), (c, d), r = low, high, corner
    return made.fused(
        made.box((a + r, b, floor), (c - r, d, 40)),
        made.box((a, b + r, floor), (c, d - r, 40)),
        *(made.cylinder(2 * r, floor, 40, at=(x, y)) for x in (a + r, c - r) for y in (b + r, d - r)),
    )


def slot(x: float, y: float, long: float, wide: float, floor: float):
    """A slot along x with round ends, from z = 40 down to a floor."""
    half = (long - wide) / 2
    return made.fused(
        made.box((x - half, y - wide / 2, floor), (x + half, y + wide / 2, 40)),
        *(made.cylinder(wide, floor, 40, at=(x + s * half, y)) for s in (-1, 1)),
    )


def wedge(shape, turn_deg: float, at: tuple[float, float, float]):
    return made.moved(shape, turn_deg=turn_deg, about=(0, 1, 0), by=at)


@cache
def part(name: str) -> Part:
    plate = made.box((0, 0, 0), (120, 80, 20))
    shapes = {
        # A pocket with an island, a slot with round ends, a counterbored hole, a countersunk one, a blind one, a boss.
        "plate": lambda: made.cut(
            made.fused(plate, made.cylinder(24, 20, 32, at=(95, 55))),
            made.cut(pocket((10, 10), (60, 50), 12, 5), made.box((28, 24, 5), (40, 36, 18))),
            slot(40, 66, 50, 12, -1),
            made.cylinder(9, -1, 41, at=(80, 20)),
            made.cylinder(15, 11, 41, at=(80, 20)),
            made.cylinder(6.6, -1, 41, at=(105, 20)),
            made.moved(made.cone(6.6, 13.2, 16.7, 20), by=(105, 20, 0)),
            made.cylinder(8, 5, 41, at=(95, 55)),
            made.cylinder(10, 0, 130, axis=(1, 0, 0), start=(100, 70, 10)),
        ),
        # Two steps, a vee groove, a chamfered edge, a gusset between foot and wall.
        "bracket": lambda: made.fused(
            made.cut(
                made.box((0, 0, 0), (100, 60, 15)),
                wedge(made.box((-10, -1, -10), (10, 61, 10)), 45, (60, 0, 15)),
                wedge(made.box((-10, -1, -10), (10, 61, 10)), 45, (100 + 10 * math.sqrt(2) - 4, 0, 15)),
            ),
            made.box((0, 0, 15), (12, 60, 70)),
            made.cut(
                made.box((12, 20, 15), (37, 40, 40)), wedge(made.box((-50, 0, 0), (50, 60, 50)), 45, (24.5, 0, 27.5))
            ),
        ),
    }  # fmt: skip
    return back(made.step(shapes[name]()), grid=True)


@cache
def handed(name: str) -> Handed:
    return nominal_solid(part(name))


def sizes(of: Part) -> list[tuple[str, str, float]]:
    return sorted((f.kind, s.name, round(s.estimate, 6)) for f in of.features for s in f.sizes)


@pytest.mark.parametrize("name", ["plate", "bracket"])
def test_the_nominal_solid_reads_back_with_the_same_sizes_faces_and_volume(name: str) -> None:
    again = back(handed(name).data)
    assert sizes(again) == sizes(part(name))
    assert again.volume_mm3 == pytest.approx(part(name).volume_mm3, rel=1e-9)
    assert again.size_mm == pytest.approx(part(name).size_mm, abs=1e-5)
    assert (handed(name).said, not_read_back(part(name), again, frozenset())) == ((), ())


def test_named_sizes_stand_between_the_faces_of_the_solid() -> None:
    of = part("plate")

    def named(size: Size, mm: float) -> Size:
        return replace(size, nominal=Nominal(mm, f"{mm} mm", 1.0, "metric preferred", None, ()))

    deeper = {"pocket": ("depth_mm", 0.05), "slot": ("width_mm", -0.04)}
    features = tuple(
        replace(f, sizes=tuple(named(s, s.estimate + deeper[f.kind][1]) if s.name == deeper[f.kind][0] else s
                               for s in f.sizes)) if f.kind in deeper else f
        for f in of.features
    )  # fmt: skip
    again = back(nominal_solid(replace(of, features=features)).data)
    by_kind = {f.kind: f for f in again.features}
    assert by_kind["slot"].size("width_mm").estimate == pytest.approx(11.96, abs=1e-6)
    assert by_kind["pocket"].size("depth_mm").estimate == pytest.approx(8.05, abs=1e-6)


def test_places_move_no_more_than_the_sizes_between_them_ask() -> None:
    moved = solved(np.array([0.0, 10.03, 30.0]), [(0, 1, 10.0)])
    assert moved[1] - moved[0] == pytest.approx(10.0, abs=1e-6)
    assert moved == pytest.approx([0.015, 10.015, 30.0], abs=1e-4)


def test_blocks_cover_what_is_filled_once_and_nothing_else() -> None:
    full = np.random.default_rng(5).random((5, 6, 4)) < 0.6
    count = np.zeros(full.shape, dtype=int)
    for low, high in blocks(full):
        count[tuple(slice(a, b) for a, b in zip(low, high, strict=True))] += 1
    assert (count == full).all()


def test_a_boss_on_a_rounded_foot_stands_on_its_own_face_and_not_in_the_air_over_it() -> None:
    plate = made.fused(made.box((-40, -40, 0), (40, 40, 10)), made.box((20, 20, 10), (36, 36, 11)))
    post = made.filleted(made.fused(plate, made.cylinder(20, 10, 30)), 3.0, at_radius=10, at_z=10)
    again = back(nominal_solid(back(made.step(post), grid=True)).data)
    assert again.solids == 1
    assert next(f for f in again.features if f.kind == "boss" and f.size("diameter_mm")).size(
        "length_mm"
    ).estimate == pytest.approx(20)


def test_what_cannot_be_drawn_is_said_by_name_and_by_volume() -> None:
    domed = back(made.step(made.fused(made.box((0, 0, 0), (60, 40, 10)), made.ball(8, at=6))), grid=True)
    # The ball stands over the corner at zero: 8 mm out of it, nothing that a box between faces can show.
    said = {reason.key: dict(reason.given) for reason in nominal_solid(domed).said}
    assert "handover.left_out" in said
    assert "sphere" in str(said["handover.left_out"]) or "free" in str(said["handover.left_out"])
    assert "handover.volume_less" in said


def test_a_part_that_is_no_prism_is_refused_with_how_far_off_it_would_be() -> None:
    ball = back(made.step(made.fused(made.box((-30, -30, 0), (30, 30, 4)), made.ball(25, at=0))), grid=True)
    with pytest.raises(BadInput, match="off in volume"):
        nominal_solid(ball)


def test_a_part_read_without_its_cells_has_no_solid() -> None:
    with pytest.raises(BadInput, match="without its cells"):
        nominal_solid(replace(part("plate"), grid=None))


def test_the_outline_is_that_of_the_largest_face_with_its_holes_as_circles() -> None:
    drawing = ezdxf.read(io.StringIO(lines_dxf(handed("plate").outlines).decode()))
    space = drawing.modelspace()
    circles = sorted(round(2 * e.dxf.radius, 6) for e in space.query("CIRCLE") if e.dxf.layer == "cut-out")
    assert circles == [6.6, 9.0]  # seen on the underside: the drilled sides, not counterbore and countersink
    arcs = list(space.query("ARC"))
    assert sorted(round(e.dxf.radius, 6) for e in arcs) == [6.0, 6.0]
    turned = [(e.dxf.end_angle - e.dxf.start_angle) % 360 for e in arcs]
    assert turned == pytest.approx([180, 180], abs=1e-6)
    outside = [e for e in space.query("LINE") if e.dxf.layer == "outline"]
    assert sorted(round(e.dxf.start.distance(e.dxf.end), 6) for e in outside) == [80, 80, 120, 120]


def test_a_wedge_too_thin_for_the_kernel_is_left_out_and_its_feature_told() -> None:
    box = (0.0, 0.0, 0.0), (30.0, 20.0, 10.0)
    thin = Slant(2, 0.0, 10.0, ((5.0, 5.0), (5.0, 5.0), (5.0, 5.0)), added=False, feature="F7")
    told: list[frozenset[str]] = []
    drawn = milled_step(
        Milled((box,), (), (), (), (thin,), frozenset({"F7"}), one_body=True),
        name="box",
        notes=lambda _volume, left: told.append(left) or [],
    )
    assert told == [frozenset({"F7"})]
    assert back(drawn.data).volume_mm3 == pytest.approx(6000.0)
