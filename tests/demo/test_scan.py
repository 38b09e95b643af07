"""The scan is what it says it is, by closed forms, a boolean kernel and a mesh library, never by itself."""

from __future__ import annotations

import ast
import sys
from dataclasses import replace
from math import cos, pi, radians, sin, sqrt, tan
from pathlib import Path

import manifold3d
import numpy as np
import pytest
import trimesh

import steadyrest.demo.scan as door
from steadyrest.demo.scan import ScanSettings, pose_of, scan, stage_lift_shaft, truth, write_ply
from steadyrest.demo.scanning.true_part import (
    AxialHole,
    CrossHole,
    Fracture,
    Stretch,
    TrueBore,
    TrueFlat,
    TrueGroove,
    TrueKeyway,
    TruePart,
    TrueThread,
    Wear,
)
from tests.forward.parts import PARTS, flanged_disc, stepped_pin
from tests.forward.traps import TRAPS, usual_scan

EXACT = ScanSettings(noise_mm=0.0, drift_mm=0.0, scale_error=0.0, blind="all seen")
PIN = TruePart("pin", (Stretch(60.0, 40.0),), edge_mm=0.0)


def edge_uses(faces: np.ndarray) -> np.ndarray:
    """How many triangles stand at each edge."""
    edges = np.sort(faces[:, [0, 1, 1, 2, 2, 0]].reshape(-1, 2), axis=1)
    return np.unique(edges, axis=0, return_counts=True)[1]


def solid(vertices: np.ndarray, faces: np.ndarray) -> manifold3d.Manifold:
    mesh = manifold3d.Mesh(vert_properties=vertices.astype(np.float32), tri_verts=faces.astype(np.uint32))
    return manifold3d.Manifold(mesh)


def in_part(part: TruePart, settings: ScanSettings, seed: int) -> tuple[np.ndarray, np.ndarray]:
    vertices, faces = scan(part, settings, seed)
    return pose_of(part, settings, seed).back(vertices), faces


def round_bar(low_mm: float, high_mm: float, start_mm: float, end_mm: float) -> manifold3d.Manifold:
    """A frustum along z, its 180-gon of the circle's own area."""
    grown = sqrt((2 * pi / 180) / sin(2 * pi / 180))
    bar = manifold3d.Manifold.cylinder(end_mm - start_mm, low_mm / 2 * grown, high_mm / 2 * grown, 180)
    return bar.translate((0.0, 0.0, start_mm))


def test_the_generator_knows_nothing_of_the_rooms_that_read_scans() -> None:
    home = Path(door.__file__).parent
    allowed = ("steadyrest.demo.scanning", "numpy", "scipy")
    for source in (home / "scan.py", *(home / "scanning").glob("*.py")):
        for node in ast.walk(ast.parse(source.read_text(encoding="utf-8"))):
            names = [alias.name for alias in node.names] if isinstance(node, ast.Import) else []
            if isinstance(node, ast.ImportFrom):
                names = [node.module or "relative"]
            outside = [name for name in names if name.partition(".")[0] not in sys.stdlib_module_names]
            assert all(name.startswith(allowed) for name in outside), source


def test_the_same_seed_gives_the_same_scan_and_another_seed_another() -> None:
    settings = ScanSettings(voxel_mm=1.5, film_mm=0.01, dropouts=3)
    first, again, other = (scan(PIN, settings, seed) for seed in (4, 4, 5))
    assert np.array_equal(first[0], again[0])
    assert np.array_equal(first[1], again[1])
    assert first[0].shape != other[0].shape or not np.array_equal(first[0], other[0])


@pytest.mark.parametrize("noise_mm", [0.025, 0.06])
def test_vertices_stand_off_a_plain_cylinder_by_the_stated_noise(noise_mm: float) -> None:
    points, _ = in_part(PIN, replace(EXACT, noise_mm=noise_mm, voxel_mm=0.6), 3)
    middle = (points[:, 2] > 2.0) & (points[:, 2] < 58.0)
    off = np.hypot(points[middle, 0], points[middle, 1]) - 20.0
    # Correlated over 0.8 mm: some 7000 mm2 / (4 pi 0.8^2) = 900 free values, so 2.4 % and 0.033 sigma; three of those.
    assert off.std() == pytest.approx(noise_mm, rel=0.07)
    assert abs(off.mean()) < 0.1 * noise_mm


@pytest.mark.parametrize("correlation_mm", [0.8, 1.5])
def test_noise_hangs_together_as_far_as_stated(correlation_mm: float) -> None:
    points, _ = in_part(PIN, replace(EXACT, noise_mm=0.05, correlation_mm=correlation_mm, voxel_mm=0.4), 3)
    kept = points[(points[:, 2] > 2.0) & (points[:, 2] < 58.0)]
    off = np.hypot(kept[:, 0], kept[:, 1]) - 20.0
    unrolled = np.column_stack([np.arctan2(kept[:, 1], kept[:, 0]) * 20.0, kept[:, 2]])
    rng = np.random.default_rng(0)
    some = rng.integers(0, len(kept), 2500)
    apart = np.linalg.norm(unrolled[some, None] - unrolled[None, some[:600]], axis=2)
    likeness = off[some, None] * off[None, some[:600]] / off.var()
    at_length = likeness[np.abs(apart - correlation_mm) < 0.1 * correlation_mm].mean()
    far = likeness[np.abs(apart - 4 * correlation_mm) < correlation_mm].mean()
    assert at_length == pytest.approx(np.exp(-0.5), abs=0.12)
    assert far == pytest.approx(0.0, abs=0.06)


def test_the_exact_scan_of_a_keyed_shaft_is_the_solid_a_boolean_kernel_makes() -> None:
    part = TruePart(
        "check",
        (
            Stretch(26.0, 35.0, chamfer_mm=(1.0, 0.0)),
            Stretch(10.0, 48.0, chamfer_mm=(1.0, 1.0)),
            Stretch(55.0, 40.0, end_diameter_mm=36.0),
        ),
        bores=(TrueBore(12.0, 30.0), TrueBore(8.0, 20.0, end="end", point_rad=radians(59.0))),
        cuts=(
            TrueKeyway(12.0, 5.0, 45.0, 75.0, 40.0),
            CrossHole(6.0, 13.0, angle_rad=1.0),
            AxialHole(5.0, 41.0, 2.0, depth_mm=36.0),
            TrueFlat(17.0, 80.0, 92.0, angle_rad=3.0),
            TrueGroove(30.0, 6.0, 2.0),
        ),
        edge_mm=0.0,
    )
    made = round_bar(33.0, 35.0, 0.0, 1.0) + round_bar(35.0, 35.0, 1.0, 26.0)
    made += round_bar(46.0, 48.0, 26.0, 27.0) + round_bar(48.0, 48.0, 27.0, 35.0) + round_bar(48.0, 46.0, 35.0, 36.0)
    made += round_bar(40.0, 36.0, 36.0, 91.0)
    tip = 4.0 / tan(radians(59.0))
    made -= round_bar(12.0, 12.0, -1.0, 30.0) + round_bar(8.0, 8.0, 71.0, 92.0) + round_bar(0.0, 8.0, 71.0 - tip, 71.0)
    slot = manifold3d.Manifold.cube((20.0, 12.0, 18.0)).translate((0.0, -6.0, 51.0))
    for end_mm in (51.0, 69.0):
        slot += round_bar(12.0, 12.0, 0.0, 20.0).rotate((0.0, 90.0, 0.0)).translate((0.0, 0.0, end_mm))
    made -= slot.translate((15.0, 0.0, 0.0))
    drill = round_bar(6.0, 6.0, -30.0, 30.0).rotate((0.0, 90.0, 0.0)).rotate((0.0, 0.0, np.degrees(1.0)))
    made -= drill.translate((0.0, 0.0, 13.0))
    made -= round_bar(5.0, 5.0, -1.0, 36.0).translate((20.5 * cos(2.0), 20.5 * sin(2.0), 0.0))
    cube = manifold3d.Manifold.cube((9.0, 60.0, 20.0)).translate((17.0, -30.0, 80.0))
    made -= cube.rotate((0.0, 0.0, np.degrees(3.0)))
    made -= round_bar(60.0, 60.0, 5.0, 7.0) - round_bar(30.0, 30.0, 5.0, 7.0)
    voxel_mm = 0.6
    net = solid(*in_part(part, replace(EXACT, voxel_mm=voxel_mm), 5))
    assert net.status() == manifold3d.Error.NoError
    # Chords lie voxel^2 / (12 radius) inside a cylinder, of 18 mm mostly; some 2 m of edges lose voxel^2 / 8 each.
    apart = net.volume() + made.volume() - 2 * (net ^ made).volume()
    assert apart < voxel_mm**2 * (made.surface_area() / (12 * 18.0) + 2000.0 / 8)
    assert net.volume() == pytest.approx(made.volume(), rel=1e-3)


@pytest.mark.parametrize(
    ("name", "holes"), [("bored_bush", 1), ("flanged_disc", 7), ("stepped_pin", 1), ("pulley_blank", 1)]
)
def test_a_part_seen_all_over_is_closed_and_has_as_many_holes_as_drawn(name: str, holes: int) -> None:
    part = PARTS[name]()
    vertices, faces = scan(part, replace(usual_scan(part), blind="all seen", voxel_mm=1.1), 2)
    assert set(edge_uses(faces)) == {2}
    body = solid(vertices, faces)
    assert body.status() == manifold3d.Error.NoError
    assert (body.genus(), body.volume() > 0) == (holes, True)


def test_wear_is_as_deep_as_stated_and_the_other_side_untouched() -> None:
    wear = Wear(0.45, 15.0, 45.0, middle_rad=1.0, arc_rad=radians(200.0))
    points, _ = in_part(replace(PIN, wear=(wear,)), replace(EXACT, voxel_mm=0.6), 3)
    rho, angle = np.hypot(points[:, 0], points[:, 1]), np.arctan2(points[:, 1], points[:, 0])
    off = np.abs((angle - 1.0 + pi) % (2 * pi) - pi)
    band = (points[:, 2] > 17.0) & (points[:, 2] < 43.0)
    outer = (points[:, 2] > 1.2) & (points[:, 2] < 58.8) & (rho > 15.0)
    assert rho[band & (off < 0.1)] == pytest.approx(19.55, abs=1e-3)
    assert rho[outer & (off > radians(101.0))] == pytest.approx(20.0, abs=1e-3)
    assert rho[outer & ~band & ((points[:, 2] < 14.9) | (points[:, 2] > 45.1))] == pytest.approx(20.0, abs=1e-3)


def test_a_thread_has_the_basic_profile() -> None:
    """ISO 68-1 and ISO 724: minor diameter d - 1.082 532 P (from memory)."""
    part = TruePart("stud", (Stretch(20.0, 20.0),), cuts=(TrueThread(20.0, 2.5, -3.0, 23.0),), edge_mm=0.0)
    points, _ = in_part(part, replace(EXACT, voxel_mm=0.25), 1)
    inner = points[(points[:, 2] > 3.0) & (points[:, 2] < 17.0)]
    rho, angle = np.hypot(inner[:, 0], inner[:, 1]), np.arctan2(inner[:, 1], inner[:, 0])
    assert 2 * np.quantile(rho, 0.02) == pytest.approx(20.0 - 1.082532 * 2.5, abs=2e-3)
    assert 2 * np.quantile(rho, 0.98) == pytest.approx(20.0, abs=2e-3)
    # Pitch diameter d - 0.649 519 P: there, thread and space are each half a pitch wide.
    pitch_radius = (20.0 - 0.649519 * 2.5) / 2
    turn = (inner[:, 2] / 2.5 - angle / (2 * pi)) % 1.0
    flank = turn[np.abs(rho - pitch_radius) < 0.02]
    assert abs(flank[flank > 0.5].mean() - flank[flank < 0.5].mean()) == pytest.approx(0.5, abs=0.005)


def test_film_lies_on_everything_and_scale_stretches_everything() -> None:
    points, _ = in_part(PIN, replace(EXACT, film_mm=0.02), 3)
    middle = (points[:, 2] > 2.0) & (points[:, 2] < 58.0)
    assert np.hypot(points[middle, 0], points[middle, 1]).mean() == pytest.approx(20.02, abs=0.002)
    plain, stretched = (scan(PIN, replace(EXACT, scale_error=error, posed=False), 3)[0] for error in (0.0, 1e-3))
    assert stretched == pytest.approx(1.001 * plain, abs=1e-9)


def test_no_axis_of_a_posed_part_lies_along_the_scanners() -> None:
    for seed in range(5):
        turn = pose_of(PIN, EXACT, seed).turn
        assert turn @ turn.T == pytest.approx(np.eye(3), abs=1e-12)
        assert np.linalg.det(turn) == pytest.approx(1.0)
        assert np.abs(turn).max() < 0.9999


def test_the_middle_of_a_deep_bore_is_not_seen_and_its_mouth_is() -> None:
    part = replace(PIN, bores=(TrueBore(10.0, 60.0),))
    points, faces = in_part(part, ScanSettings(noise_mm=0.0, drift_mm=0.0, scale_error=0.0), 3)
    assert 1 in set(edge_uses(faces))
    wall = points[np.hypot(points[:, 0], points[:, 1]) < 5.5, 2]
    assert (wall < 3.0).any()
    # A ray leaning 70 degrees from the wall's normal gets 10 mm * tan 70 = 27 mm deep at most.
    assert not ((wall > 27.5) & (wall < 32.5)).any()


def test_a_bridged_bore_is_closed_and_its_skin_too_smooth() -> None:
    part = replace(PIN, bores=(TrueBore(10.0, 60.0),))
    points, faces = in_part(part, replace(EXACT, noise_mm=0.05, blind="bridged", looks=20), 3)
    assert set(edge_uses(faces)) == {2}
    neighbours = trimesh.Trimesh(points, faces, process=False).vertex_neighbors
    skin = np.flatnonzero((np.abs(points[:, 2] - 30.0) < 5.0) & (np.hypot(points[:, 0], points[:, 1]) < 8.0))
    outside = np.flatnonzero((np.abs(points[:, 2] - 30.0) < 5.0) & (np.hypot(points[:, 0], points[:, 1]) > 15.0))
    rough = [
        np.sqrt(np.mean([np.sum((points[neighbours[k]].mean(axis=0) - points[k]) ** 2) for k in where]))
        for where in (skin, outside)
    ]
    assert rough[0] < 0.1 * rough[1]


def test_a_break_left_out_leaves_the_scan_open_there_only() -> None:
    part = replace(PIN, fracture=Fracture(40.0, seen=False))
    points, faces = in_part(part, replace(ScanSettings(), drift_mm=0.0, scale_error=0.0), 3)
    edges = np.sort(faces[:, [0, 1, 1, 2, 2, 0]].reshape(-1, 2), axis=1)
    unique, uses = np.unique(edges, axis=0, return_counts=True)
    rim = points[np.unique(unique[uses == 1])]
    assert len(rim) > 50
    assert np.all((rim[:, 2] > 30.0) & (rim[:, 2] < 50.0))
    assert np.hypot(rim[:, 0], rim[:, 1]).min() > 18.5


@pytest.mark.parametrize("name", ["rough and spotty", "crests only", "bridged keyway"])
def test_every_trap_scans_to_one_clean_mesh(name: str) -> None:
    part, settings = TRAPS[name]
    vertices, faces = scan(part, settings, 8)
    assert np.isfinite(vertices).all()
    assert (faces.min(), faces.max()) == (0, len(vertices) - 1)
    assert edge_uses(faces).max() == 2
    assert faces.dtype == np.int32


def test_truth_lists_what_was_drawn_made_and_worn() -> None:
    found = {(size.kind, round(size.size_mm, 4)): size for size in truth(stage_lift_shaft())}
    assert found["keyway", 9.525].depth_mm == pytest.approx(4.7625)
    assert sorted(key for key in found if key[0] == "shaft") == [
        ("shaft", 31.75), ("shaft", 36.5125), ("shaft", 38.1), ("shaft", 44.45),
    ]  # fmt: skip
    assert [size.worn_mm for size in truth(stage_lift_shaft()) if round(size.size_mm, 4) == 36.5125] == [0.45, 0.0]
    assert ("bolt circle", 90.0) in {(size.kind, size.size_mm) for size in truth(flanged_disc())}
    shank = next(size for size in truth(stepped_pin()) if size.size_mm == 16.0)
    assert (shank.made_mm, shank.worn_mm) == (pytest.approx(15.986), 0.25)
    assert all(size.along_mm[0] < 138.0 for size in truth(PARTS["broken_shaft"]()))


def test_a_mesh_library_reads_the_ply_back(tmp_path: Path) -> None:
    vertices, faces = scan(PIN, ScanSettings(voxel_mm=2.0), 1)
    write_ply(tmp_path / "pin.ply", vertices, faces)
    read = trimesh.load_mesh(tmp_path / "pin.ply", process=False)
    assert np.array_equal(read.vertices, vertices.astype(np.float32))
    assert np.array_equal(read.faces, faces)


def test_the_demo_scan_has_the_size_asked_for_and_no_folds() -> None:
    settings = replace(EXACT, voxel_mm=ScanSettings().voxel_mm)
    points, faces = in_part(stage_lift_shaft(), settings, 1)
    assert 140_000 < len(faces) < 160_000
    # Between two vertices of the outermost edges, which the net leaves some hundredths off.
    assert np.ptp(points[:, 2]) == pytest.approx(10.25 * 25.4, abs=0.02)
    mesh = trimesh.Trimesh(points, faces, process=False)
    assert (mesh.face_adjacency_angles > radians(120.0)).mean() < 1e-4


def test_a_plain_circle_through_the_demos_worn_seat_is_low_by_most_of_the_wear() -> None:
    """The trap that the part is there for: some 0.3 mm low on 0.45 mm of wear over 200 degrees, axis left free."""
    points, _ = in_part(stage_lift_shaft(), replace(EXACT, noise_mm=0.03, voxel_mm=1.2), 1)
    x, y = points[(points[:, 2] > 72.0) & (points[:, 2] < 92.0), :2].T
    middle_x, middle_y, rest = np.linalg.lstsq(np.column_stack([x, y, np.ones_like(x)]), x * x + y * y, rcond=None)[0]
    diameter = 2 * np.sqrt(rest + (middle_x**2 + middle_y**2) / 4)
    assert 36.5125 - diameter == pytest.approx(0.31, abs=0.03)
