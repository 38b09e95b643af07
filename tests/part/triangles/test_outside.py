"""The outside of a part as triangles: closed, the right way out, where the file has it, against exact volumes."""

from __future__ import annotations

import math

import numpy as np
import pytest

from steadyrest.part.triangles.outside import outside
from steadyrest.trouble import BadInput


def volume(corners: np.ndarray, faces: np.ndarray) -> float:
    a, b, c = (corners[faces[:, k]] for k in range(3))
    return float(np.einsum("ij,ij->i", a, np.cross(b, c)).sum()) / 6.0


def read(data: bytes, name: str, unit: str | None = None):
    return outside(data, name, unit=unit, progress=lambda _what, _share: None, stop=lambda: False)


def stl(scale: float = 1.0) -> bytes:
    """A box of 1 x 2 x 3 with its low corner at (5, 0, -3), as text."""
    low, size = np.array([5.0, 0.0, -3.0]), np.array([1.0, 2.0, 3.0])
    lines = ["solid box"]
    for axis in range(3):
        u, v = (axis + 1) % 3, (axis + 2) % 3
        for side in (0.0, 1.0):
            square = []
            for p, q in ((0, 0), (1, 0), (1, 1), (0, 1)):
                point = np.zeros(3)
                point[axis], point[u], point[v] = side, p, q
                square.append((low + point * size) * scale)
            square = square if side else square[::-1]
            for three in ((0, 1, 2), (0, 2, 3)):
                corners = "".join(f"vertex {' '.join(f'{x:.6f}' for x in square[k])}\n" for k in three)
                lines.append(f"facet normal 0 0 0\nouter loop\n{corners}endloop\nendfacet")
    return "\n".join([*lines, "endsolid box"]).encode()


def test_a_mesh_comes_out_in_mm_where_it_lies() -> None:
    corners, faces = read(stl(), "box.stl", "mm")
    assert volume(corners, faces) == pytest.approx(6.0)
    assert corners.min(axis=0) == pytest.approx([5.0, 0.0, -3.0])
    corners, faces = read(stl(), "box.stl", "in")
    assert volume(corners, faces) == pytest.approx(6.0 * 25.4**3)


def test_a_mesh_without_a_unit_or_with_an_open_surface_is_refused() -> None:
    with pytest.raises(BadInput, match="unit"):
        read(stl(), "box.stl")
    text = stl().decode()
    first = text.index("endfacet") + len("endfacet")
    with pytest.raises(BadInput, match="open"):
        read(("solid box" + text[first:]).encode(), "box.stl", "mm")


def test_a_solid_is_laid_out_closed_within_its_tolerance() -> None:
    pytest.importorskip("OCP")
    corners, faces = read(cylinder_step(), "pin.step")
    # Chords of at most 0.02 mm off a radius of 10: the volume is short by no more than that share.
    assert volume(corners, faces) == pytest.approx(math.pi * 100.0 * 30.0, rel=0.004)
    assert corners.min(axis=0)[2] == pytest.approx(-30.0, abs=1e-6)


def cylinder_step() -> bytes:
    """A pin of 20 by 30 below z = 0, written by the kernel."""
    from OCP.BRepPrimAPI import BRepPrimAPI_MakeCylinder
    from OCP.gp import gp_Ax2, gp_Dir, gp_Pnt

    from steadyrest.part.solid.kernel.building import written

    axis = gp_Ax2(gp_Pnt(0.0, 0.0, -30.0), gp_Dir(0.0, 0.0, 1.0))
    return written(BRepPrimAPI_MakeCylinder(axis, 10.0, 30.0).Shape(), name="pin", notes=())
