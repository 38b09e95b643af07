"""Drawings as hand-held scans: `python -m tests.scoring.prismatic [first seed] [how many] [family ...]`."""

from __future__ import annotations

import sys
import time

import numpy as np

from steadyrest.demo.scan import EYES_APART_RAD, _only, _onto, _unfolded
from steadyrest.demo.scanning.nets import surface_net
from steadyrest.demo.scanning.noise import neighbours_of, slow_drift, surface_noise
from steadyrest.demo.scanning.sight import even_out, looks, seen_vertices
from steadyrest.part.read import read
from tests.scoring.drawings import FAMILIES, ROUND_FAMILIES, Drawing, drawn
from tests.scoring.shapes import distance_to
from tests.scoring.verdict import Tally, judge


def turn_of(rng) -> np.ndarray:
    q, r = np.linalg.qr(rng.standard_normal((3, 3)))
    q = q * np.sign(np.diag(r))
    return q if np.linalg.det(q) > 0 else -q


def scanned(drawing: Drawing, seed: int, *, blind: bool):
    """Vertices, faces, turn and shift: a point of the file is turn @ point + shift."""
    rng = np.random.default_rng([seed, 5])
    noise_mm, triangles = rng.uniform(0.015, 0.06), rng.uniform(60e3, 250e3)
    distance = distance_to(drawing.shape, rng.uniform(0.1, 0.4))
    low, high = np.array(drawing.low), np.array(drawing.high)
    sides = high - low
    area = 2.6 * (sides[0] * sides[1] + sides[1] * sides[2] + sides[0] * sides[2])
    voxel = float(np.sqrt(3 * area / triangles))
    turn, middle = turn_of(rng), (low + high) / 2
    reach = np.abs(turn) @ (sides / 2 + voxel)
    vertices, faces = surface_net(lambda p, r: distance(p @ turn + middle, r), tuple(reach), voxel)
    points, normals = _onto(vertices @ turn + middle, distance, voxel)
    sideways = rng.uniform(-0.18, 0.18, points.shape) * voxel
    sideways -= np.sum(sideways * normals, axis=1, keepdims=True) * normals
    points, normals = _onto(points + sideways, distance, voxel)
    near = neighbours_of(faces, len(points))
    points, normals = _unfolded(points, normals, faces, near, distance, voxel)
    seen = np.ones(len(points), dtype=bool)
    if blind:
        pairs = looks(60, EYES_APART_RAD, rng)
        seen = even_out(seen_vertices(points, normals, pairs, voxel_mm=voxel, steepest_rad=np.radians(70)), near)
    measured = points + noise_mm * surface_noise(points, near, correlation_mm=0.8, rng=rng)[:, None] * normals
    measured = measured + 0.005 * slow_drift(points, wave_mm=120.0, rng=rng)
    if blind:
        measured, faces = _only(measured, faces, seen)
    shift = rng.uniform(-60, 60, 3)
    return measured @ turn.T + shift, faces, turn, shift, noise_mm


def stl(vertices, faces) -> bytes:
    rows = np.zeros(len(faces), dtype=[("n", "<f4", 3), ("v", "<f4", (3, 3)), ("a", "<u2")])
    rows["v"] = vertices[faces]
    return b"\0" * 80 + np.uint32(len(rows)).tobytes() + rows.tobytes()


def run(first: int, count: int, families) -> None:
    tally, took = Tally(), []
    for seed in range(first, first + count):
        for k, family in enumerate(families):
            drawing = drawn(family, seed)
            vertices, faces, turn, shift, noise = scanned(drawing, seed * 31 + k, blind=(seed + k) % 2 == 0)
            tag = f"{family} {seed} ({len(faces) // 1000}k, {noise:.3f})"
            started = time.perf_counter()
            part = read(stl(vertices, faces), "x", unit="mm", progress=lambda *_: None, stop=lambda: False)
            took.append(time.perf_counter() - started)
            judge(part, drawing, lambda p, t=turn, s=shift: t @ p + s, turn, tally, tag, size_tol=0.05, depth_tol=0.1)
    print(f"== scans: {len(took)} parts, {np.mean(took):.2f} s each, longest {max(took):.2f} s")
    print(tally.table())
    print("\n".join("  " + line for line in tally.lines))


if __name__ == "__main__":
    first = int(sys.argv[1]) if len(sys.argv) > 1 else 1
    count = int(sys.argv[2]) if len(sys.argv) > 2 else 3
    run(first, count, sys.argv[3:] or (*FAMILIES, *ROUND_FAMILIES))
