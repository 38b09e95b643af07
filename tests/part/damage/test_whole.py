"""Bend, ends and openings of parts in one piece: the demo's scans, bent or cut open here."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from functools import cache

import numpy as np
import pytest
import trimesh

from steadyrest.demo.scan import TruePart, pose_of, scan, stage_lift_shaft
from steadyrest.demo.scanning.true_part import Stretch
from steadyrest.part.damage.openings import openings_of
from steadyrest.part.damage.reading import read_damage
from steadyrest.part.damage.whole import Damage, damage_of
from steadyrest.part.segment.graph import never, quietly, scan_graph
from steadyrest.part.triangles.mesh import Mesh, cleaned
from steadyrest.trouble import BadInput
from steadyrest.wording.say import say
from tests.forward import parts
from tests.part.damage.pieces import SEEN, Floats, bent, scanned
from tests.part.solid import made

COARSE = replace(SEEN, voxel_mm=1.3)
HOLES = replace(COARSE, blind="holes")


def spindle() -> TruePart:
    """A plain spindle 30/36/30, 320 long."""
    return TruePart(
        "spindle",
        (
            Stretch(60.0, 30.0, chamfer_mm=(1.0, 0.0)),
            Stretch(200.0, 36.0, chamfer_mm=(1.0, 1.0)),
            Stretch(60.0, 30.0, chamfer_mm=(0.0, 1.0)),
        ),
    )


@cache
def straight(seed: int) -> Mesh:
    vertices, faces = scan(spindle(), COARSE, seed)
    return cleaned(vertices, faces, where="spindle")


def damage(mesh: Mesh) -> Damage:
    return damage_of(mesh, scan_graph(mesh, progress=quietly, stop=never))


def kink(z: Floats) -> Floats:
    """Bent at 200 by a blow: 0.4 off at the far end, which is 0.25 off the line through both ends."""
    return 0.4 * np.maximum(z - 200.0, 0.0) / 120.0


def bow(z: Floats) -> Floats:
    """Bent along its whole length by 0.3 in the middle."""
    return 0.3 * (1 - ((z - 160.0) / 160.0) ** 2)


def wave(z: Floats) -> Floats:
    """Drift, not bend: two whole waves of 0.15."""
    return 0.15 * np.sin(z / 320.0 * 4 * np.pi)


@pytest.mark.parametrize("seed", [1, 2])
def test_a_straight_part_is_not_called_bent(seed: int) -> None:
    found = damage(straight(seed)).bend
    assert found is not None
    assert found.verdict == "straight"
    assert found.runout.value < found.cannot_tell_under.value
    assert not damage(straight(seed)).doubts


@pytest.mark.parametrize(
    ("offset", "shape", "runout_mm", "at_mm"), [(kink, "kink", 0.5, 200.0), (bow, "bow", 0.6, 160.0)]
)
def test_a_bent_part_is_called_bent_by_as_much_and_where(
    offset: Callable[[Floats], Floats], shape: str, runout_mm: float, at_mm: float
) -> None:
    mesh = bent(straight(2), spindle(), offset, 2, COARSE)
    found = damage(mesh).bend
    assert found is not None
    assert (found.verdict, found.shape) == ("bent", shape)
    assert found.runout.value == pytest.approx(runout_mm, abs=2.5 * found.u_mm)
    pose = pose_of(spindle(), COARSE, 2)
    graph = scan_graph(mesh, progress=quietly, stop=never)
    assert graph.axis is not None
    place = np.array(graph.axis[0]) + found.at_mm * np.array(graph.axis[1])
    assert pose.back(place)[2] == pytest.approx(at_mm, abs=15.0)
    # The offset of the kinked part points away from x, of the bowed one along it, both from the ends' line.
    sign = -1 if shape == "kink" else 1
    assert sign * (pose.turn.T @ np.array(found.towards))[0] > 0.9


def test_a_wave_is_left_open_between_bend_and_drift() -> None:
    found = damage(bent(straight(1), spindle(), wave, 1, COARSE)).bend
    assert found is not None
    assert found.verdict == "cannot tell"
    assert "drift" in say(found.runout.why[0])
    assert "dial indicator" in say(found.ask)


def test_a_small_bow_is_under_what_can_be_told() -> None:
    found = damage(bent(straight(1), spindle(), lambda z: 0.1 * bow(z), 1, COARSE)).bend
    assert found is not None
    assert found.verdict == "straight"
    assert found.cannot_tell_under.value > 0.06


@pytest.mark.parametrize(
    ("part", "seed"), [(stage_lift_shaft(), 7), (parts.gearbox_shaft(), 1)], ids=["stage lift", "gearbox"]
)
def test_one_sided_wear_is_no_bend(part: TruePart, seed: int) -> None:
    found = damage_of(*scanned(part, HOLES, seed)).bend
    assert found is not None
    assert found.verdict == "straight"


def test_an_end_that_was_not_scanned_is_open_and_asked_about() -> None:
    found = damage_of(*scanned(parts.broken_shaft(), HOLES, 1))
    assert found.ends is not None
    assert sorted(end.state for end in found.ends) == ["faced", "open"]
    assert found.openings[0].shape == "end"
    assert found.openings[0].length_mm == pytest.approx(50.0, abs=2.5)
    assert any("Is that end whole" in say(doubt.ask) for doubt in found.doubts)


def with_hole(mesh: Mesh, part: TruePart, seed: int, keep: Callable[[Floats], Floats]) -> Mesh:
    points = pose_of(part, COARSE, seed).back(mesh.vertices)
    gone = ~keep(points).astype(bool)
    return cleaned(mesh.vertices, mesh.faces[~gone[mesh.faces].any(axis=1)], where="cut open")


def test_a_slit_and_a_hole_are_told_apart_by_shape_and_place() -> None:
    def slit(p: Floats) -> Floats:
        return ~((np.abs(p[:, 2] - 150.0) < 20.0) & (np.abs(p[:, 1]) < 1.0) & (p[:, 0] > 0))

    def hole(p: Floats) -> Floats:
        return np.linalg.norm(p - np.array([-18.0, 0.0, 100.0]), axis=1) > 7.0

    mesh = with_hole(straight(1), spindle(), 1, lambda p: slit(p) & hole(p))
    found = openings_of(mesh, scan_graph(mesh, progress=quietly, stop=never).axis)
    assert [opening.shape for opening in found] == ["slit", "hole"]
    pose = pose_of(spindle(), COARSE, 1)
    assert pose.back(np.array(found[0].at_mm)) == pytest.approx([18.0, 0.0, 150.0], abs=2.0)
    assert found[0].length_mm == pytest.approx(42.0, abs=3.0)
    assert pose.back(np.array(found[1].at_mm))[2] == pytest.approx(100.0, abs=2.0)
    assert found[1].breadth_mm == pytest.approx(15.0, abs=2.5)
    assert "dye penetrant" in say(found[0].ask)


def test_a_closed_surface_has_no_opening() -> None:
    assert openings_of(straight(1), None) == ()


def test_a_bent_part_is_looked_at_though_no_stretch_was_found_round_its_axis() -> None:
    mesh = bent(straight(2), spindle(), bow, 2, COARSE)
    lost = replace(scan_graph(mesh, progress=quietly, stop=never), axis=None, patches=())
    found = damage_of(mesh, lost)
    assert found.ends is None
    assert found.bend is not None
    assert found.bend.verdict == "bent"
    assert found.bend.runout.value == pytest.approx(0.6, abs=2.5 * found.bend.u_mm)


def test_a_part_that_is_not_turned_has_openings_only() -> None:
    box = trimesh.creation.box((40.0, 30.0, 20.0))
    vertices, faces = trimesh.remesh.subdivide_to_size(box.vertices, box.faces, 1.5)
    noisy = vertices + np.random.default_rng(1).normal(0, 0.03, vertices.shape)
    found = damage(cleaned(noisy, np.asarray(faces)[:-40], where="box"))
    assert (found.ends, found.bend) == (None, None)
    assert found.openings


def test_a_model_has_no_damage_but_openings() -> None:
    cylinder = trimesh.creation.cylinder(10.0, 60.0)
    assert damage(cleaned(cylinder.vertices, cylinder.faces, where="model")) == Damage(None, None, ())


def test_damage_is_read_from_a_mesh_with_a_unit_only() -> None:
    def read(data: bytes, name: str, unit: str | None) -> Damage:
        return read_damage(data, name, unit=unit, progress=quietly, stop=never)

    for data, name, unit in ((made.step(made.stepped_shaft()), "shaft.step", "mm"), (b"", "empty.stl", "mm")):
        with pytest.raises(BadInput):
            read(data, name, unit)
