"""Broken and bent scans with known truth: the demo's scanner on bodies that are cut or bent here.

The second half's body, the hills of the breaks and the bend are this file's own.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import cache
from math import cos, radians, tan
from unittest.mock import patch

import numpy as np
import numpy.typing as npt

from steadyrest.demo import scan as scanning
from steadyrest.demo.scan import ScanSettings, TruePart, pose_of
from steadyrest.demo.scanning.true_body import body_distance
from steadyrest.demo.scanning.true_part import Stretch
from steadyrest.part.damage.turned_scan import TurnedScan, turned_scan
from steadyrest.part.patch import PatchGraph
from steadyrest.part.segment.graph import never, quietly, scan_graph
from steadyrest.part.triangles.mesh import Mesh, cleaned

Floats = npt.NDArray[np.float64]

SEEN = ScanSettings(voxel_mm=1.1, noise_mm=0.03, blind="all seen")


def shaft() -> TruePart:
    """Plain shaft 40/50/40 with chamfers, 130 long."""
    return TruePart(
        "shaft",
        (
            Stretch(30.0, 40.0, chamfer_mm=(1.0, 0.0)),
            Stretch(20.0, 50.0, chamfer_mm=(1.0, 1.0)),
            Stretch(80.0, 40.0, chamfer_mm=(0.0, 2.0)),
        ),
    )


def taper() -> TruePart:
    """A long taper of 4 degrees each side between a collar and a spigot."""
    return TruePart(
        "taper",
        (
            Stretch(25.0, 50.0, chamfer_mm=(1.0, 1.0)),
            Stretch(90.0, 44.0, end_diameter_mm=44.0 - 2 * 90 * tan(radians(4.0))),
            Stretch(25.0, 26.0, chamfer_mm=(0.0, 1.0)),
        ),
    )


@dataclass(frozen=True)
class Break:
    """Hills of a break about a place on the axis: a sum of waves of its own, leaning a little."""

    at_mm: float
    lean: float = 0.1
    rough_mm: float = 0.8
    seed: int = 3

    def height(self, x: Floats, y: Floats) -> Floats:
        rng = np.random.default_rng(self.seed)
        out = self.at_mm + self.lean * y
        for _ in range(9):
            k, turn, phase = rng.uniform(0.15, 0.9), rng.uniform(0, 2 * np.pi), rng.uniform(0, 2 * np.pi)
            out = out + self.rough_mm / 3 * np.sin(k * (x * np.cos(turn) + y * np.sin(turn)) + phase)
        return out


def cut(part: TruePart, broken: Break, *, beyond: bool) -> Callable[[Floats, float], Floats]:
    """Distance to one half: before the break, or beyond it."""
    whole = body_distance(part)
    steep = 0.6 * cos(np.arctan(abs(broken.lean) + broken.rough_mm))

    def distance(points: Floats, reach_mm: float) -> Floats:
        over = points[:, 2] - broken.height(points[:, 0], points[:, 1])
        return np.maximum(whole(points, reach_mm), steep * (-over if beyond else over))

    return distance


def scanned(part: TruePart, settings: ScanSettings, seed: int) -> tuple[Mesh, PatchGraph]:
    vertices, faces = scanning.scan(part, settings, seed)
    mesh = cleaned(vertices, faces, where=part.name)
    return mesh, scan_graph(mesh, progress=quietly, stop=never)


@cache
def half(part: TruePart, broken: Break, *, beyond: bool, seed: int,
         settings: ScanSettings = SEEN) -> TurnedScan:  # fmt: skip
    body = cut(part, broken, beyond=beyond)
    with patch.object(scanning, "body_distance", lambda _part: body):
        found = turned_scan(*scanned(part, settings, seed))
    assert found is not None
    return found


def true_place(part: TruePart, first: int, second: int, settings: ScanSettings = SEEN) -> tuple[Floats, Floats]:
    """Turn and shift that take the second half's scan to where it belongs in the first's."""
    here, there = pose_of(part, settings, first), pose_of(part, settings, second)
    turn = here.turn @ there.turn.T
    return turn, here.shift - turn @ there.shift


def bent(mesh: Mesh, part: TruePart, offset: Callable[[Floats], Floats], seed: int, settings: ScanSettings) -> Mesh:
    """A scan whose part was bent before: every point moved along x by the offset (mm) at its place along the axis."""
    pose = pose_of(part, settings, seed)
    points = pose.back(mesh.vertices)
    points[:, 0] += offset(points[:, 2])
    return cleaned(points @ pose.turn.T + pose.shift, mesh.faces, where="bent")
