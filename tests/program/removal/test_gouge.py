"""Gouges: what cuts into the finished part is told, what cuts along it is not."""

from __future__ import annotations

import manifold3d
import numpy as np
import pytest

from steadyrest.program.removal.blank import MeshBlank
from steadyrest.program.removal.gouge import gouges
from steadyrest.program.removal.tool_shape import tool_shape
from tests.program.removal.paths import Path

TOOLS = {
    1: tool_shape(1, "end mill", diameter_mm=10.0),
    2: tool_shape(2, "drill", diameter_mm=8.0),
    3: tool_shape(3, "ball end mill", diameter_mm=6.0),
}


def plate() -> MeshBlank:
    """60 x 40 x 20, top at 0, with a round pocket of 30, 6 deep."""
    solid = manifold3d.Manifold.cube((60.0, 40.0, 20.0)).translate((0.0, 0.0, -20.0))
    solid -= manifold3d.Manifold.cylinder(10.0, 15.0, 15.0, 720).translate((30.0, 20.0, -6.0))
    mesh = solid.to_mesh()
    return MeshBlank(np.array(mesh.vert_properties[:, :3], dtype=float), np.array(mesh.tri_verts, dtype=np.int64))


def pocket(radius: float, deep: float) -> Path:
    path = Path().rapid(30, 20).rapid(z=2).feed(z=deep).feed(x=34).arc((30, 20, 0), (34, 20, deep))
    return path.feed(x=30 + radius).arc((30, 20, 0), (30 + radius, 20, deep)).feed(x=30).rapid(z=5)


def found(path: Path) -> list[tuple[int, float]]:
    made = gouges(path.moves(), plate(), TOOLS, allowed_mm=0.05, resolution_mm=0.2)
    return [(gouge.move, gouge.depth_mm) for gouge in made]


def test_a_pocket_cut_to_size_gouges_nothing() -> None:
    assert found(pocket(10.0, -6.0)) == []
    assert found(pocket(9.9, -5.9)) == []


def test_a_floor_cut_too_deep_is_told_with_its_depth() -> None:
    told = found(pocket(10.0, -6.3))
    assert told[0][0] == 2
    assert told[0][1] == pytest.approx(0.3, abs=0.01)


def test_a_wall_cut_too_far_is_told_by_the_move_that_does() -> None:
    told = found(pocket(10.4, -5.5))
    assert {move for move, _ in told} <= {5, 6}
    assert max(depth for _, depth in told) == pytest.approx(5.5, abs=0.1)


def test_a_tool_of_unknown_size_says_nothing_of_the_part() -> None:
    path = Path().tool(9).rapid(5, 5).feed(z=-10)
    assert found(path) == []


def test_what_is_allowed_must_be_something() -> None:
    with pytest.raises(ValueError, match="allowed_mm"):
        gouges(pocket(10.0, -6.0).moves(), plate(), TOOLS, allowed_mm=0.0)
