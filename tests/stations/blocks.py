"""Milled parts for tests: named ones, with their bodies as cells."""

from __future__ import annotations

from functools import cache

import numpy as np

from steadyrest.shop.part import Feature, FeatureKind, Part, UnitSaid, Vec3
from steadyrest.shop.solid_grid import BoolArray, grid_of
from tests.stations.parts import WHY, size

FRAME: tuple[Vec3, Vec3, Vec3] = ((1.0, 0.0, 0.0), (0.0, 1.0, 0.0), (0.0, 0.0, 1.0))
UP: Vec3 = (0.0, 0.0, 1.0)
DOWN: Vec3 = (0.0, 0.0, -1.0)
PITCH_MM = 1.0


def _part(name: str, filled: BoolArray, features: tuple[Feature, ...]) -> Part:
    nx, ny, nz = filled.shape
    box = (nx * PITCH_MM, ny * PITCH_MM, nz * PITCH_MM)
    grid = grid_of(filled, pitch_mm=PITCH_MM, origin_mm=(0.0, 0.0, 0.0), frame=FRAME)
    return Part(
        name, "solid", UnitSaid("mm", "sure", WHY), box, float(filled.sum()) * PITCH_MM**3, features, False,
        frame=FRAME, grid=grid,
    )  # fmt: skip


def _face(name: str, normal: Vec3, at: Vec3, area: float) -> Feature:
    return Feature(name, "face", (), normal, at, area_mm2=area, reached_from=(normal,))


def faces(length: float, width: float, height: float) -> tuple[Feature, ...]:
    """The six faces of a box that stands with a corner in the origin."""
    x, y, z = length / 2, width / 2, height / 2
    return (
        _face("F1", UP, (x, y, height), length * width),
        _face("F2", DOWN, (x, y, 0.0), length * width),
        _face("F3", (1.0, 0.0, 0.0), (length, y, z), width * height),
        _face("F4", (-1.0, 0.0, 0.0), (0.0, y, z), width * height),
        _face("F5", (0.0, 1.0, 0.0), (x, width, z), length * height),
        _face("F6", (0.0, -1.0, 0.0), (x, 0.0, z), length * height),
    )


def _hole(name: str, diameter: float, depth: float, at: tuple[float, float], through: bool) -> Feature:
    sizes = (size("diameter_mm", diameter), size("length_mm" if through else "depth_mm", depth))
    ways = (UP, DOWN) if through else (UP,)
    return Feature(
        name, "bore", sizes, UP, (*at, depth / 2), through=through, inside=True, area_mm2=3.14 * diameter * depth,
        reached_from=ways,
    )  # fmt: skip


def _sunk(
    name: str, kind: FeatureKind, box: tuple[float, float, float], at: Vec3, limits: tuple[float, float] | None = None
) -> Feature:
    length, width, depth = box
    sizes = (size("width_mm", width, limits), size("depth_mm", depth), size("length_mm", length))
    return Feature(name, kind, sizes, UP, at, through=False, inside=True, area_mm2=length * width, reached_from=(UP,))


@cache
def bearing_plate(limits: tuple[float, float] | None = None) -> Part:
    """80 x 50 x 20 mm with a pocket from above and four holes through."""
    filled = np.ones((80, 50, 20), dtype=np.bool_)
    x, y = np.meshgrid(np.arange(80) + 0.5, np.arange(50) + 0.5, indexing="ij")
    filled[20:60, 12:38, 12:] = False
    centres = ((8.0, 8.0), (72.0, 8.0), (8.0, 42.0), (72.0, 42.0))
    for cx, cy in centres:
        filled[np.hypot(x - cx, y - cy) <= 4.25] = False
    holes = tuple(_hole(f"H{n}", 8.5, 20.0, at, True) for n, at in enumerate(centres, 1))
    pocket = _sunk("P1", "pocket", (40.0, 26.0, 8.0), (40.0, 25.0, 16.0), limits)
    return _part("bearing plate", filled, (*faces(80.0, 50.0, 20.0), pocket, *holes))


@cache
def plain_block(length: int = 60, width: int = 40, height: int = 20) -> Part:
    """A block and nothing else."""
    filled = np.ones((length, width, height), dtype=np.bool_)
    return _part("block", filled, faces(length, width, height))


@cache
def slotted_bar() -> Part:
    """100 x 30 x 30 mm with a slot along the top, 10 wide and 12 deep, and a hole into one end."""
    filled = np.ones((100, 30, 30), dtype=np.bool_)
    filled[:, 10:20, 18:] = False
    slot = _sunk("S1", "slot", (100.0, 10.0, 12.0), (50.0, 15.0, 24.0), (10.0, 10.058))
    return _part("slotted bar", filled, (*faces(100.0, 30.0, 30.0), slot))


@cache
def tall_block() -> Part:
    """A block so high that the lowest parallels do."""
    return plain_block(80, 72, 68)


BLOCKS = (bearing_plate, plain_block, slotted_bar)
