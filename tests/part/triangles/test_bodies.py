"""Several bodies in one mesh, split against boxes whose place is known."""

from __future__ import annotations

import manifold3d
import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from steadyrest.part.segment.graph import never, quietly, scan_graph
from steadyrest.part.triangles.bodies import bodies_of, one_body
from steadyrest.part.triangles.mesh import cleaned
from steadyrest.trouble import BadInput

CORNERS = np.array([[x, y, z] for x in (0, 1) for y in (0, 1) for z in (0, 1)], dtype=float)
SIDES = np.array([[0, 1, 3], [0, 3, 2], [4, 6, 7], [4, 7, 5], [0, 4, 5], [0, 5, 1], [2, 3, 7], [2, 7, 6], [0, 2, 6],
                  [0, 6, 4], [1, 5, 7], [1, 7, 3]])  # fmt: skip


def mesh(*boxes, open_last=False):
    """Boxes given as (low corner, size, outward)."""
    points, faces = [], []
    for k, (low, size, outward) in enumerate(boxes):
        sides = SIDES if outward else SIDES[:, ::-1]
        sides = sides[:-2] if open_last and k == len(boxes) - 1 else sides
        faces.append(sides + 8 * k)
        points.append(CORNERS * size + np.array(low))
    return cleaned(np.concatenate(points), np.concatenate(faces), where="boxes")


@settings(deadline=None)
@given(st.lists(st.tuples(st.floats(1, 5), st.floats(1, 5), st.floats(1, 5)), min_size=2, max_size=6))
def test_bodies_side_by_side_are_counted_in_the_file_s_order_with_their_sizes(sizes):
    whole = mesh(*(((10 * k, 0, 0), size, True) for k, size in enumerate(sizes)))
    found = bodies_of(whole)
    assert [body.number for body in found] == list(range(1, len(sizes) + 1))
    for body, size in zip(found, sizes, strict=True):
        assert body.size_mm == pytest.approx(size)
        assert body.volume_mm3 == pytest.approx(np.prod(size))
    assert sum(body.volume_mm3 for body in found) == pytest.approx(whole.volume)


def test_a_hollow_belongs_to_the_body_round_it():
    whole = mesh(((0, 0, 0), 6, True), ((1, 1, 1), 2, False), ((20, 0, 0), 4, True))
    found = bodies_of(whole)
    assert [round(body.volume_mm3) for body in found] == [216 - 8, 64]
    assert len(one_body(whole, 1, "boxes").faces) == 24
    assert one_body(whole, 2, "boxes").volume == pytest.approx(64)


def test_one_body_dust_and_open_pieces_are_no_assembly():
    assert bodies_of(mesh(((0, 0, 0), 6, True))) == ()
    assert bodies_of(mesh(((0, 0, 0), 6, True), ((10, 0, 0), 0.2, True))) == ()
    assert bodies_of(mesh(((0, 0, 0), 6, True), ((10, 0, 0), 5, True), open_last=True)) == ()


@pytest.mark.parametrize(("many", "bodies"), [(8, 0), (24, 2)])
def test_a_small_stud_of_many_triangles_is_a_body_and_one_of_few_is_dust(many, bodies):
    stud = manifold3d.Manifold.sphere(0.25, 4 * many).to_mesh()  # 8 * many^2 triangles: 512 and 4608
    ball = np.asarray(stud.vert_properties[:, :3], dtype=np.float64) + np.array([10.0, 0, 0])
    points = np.concatenate((CORNERS * 6, ball))
    faces = np.concatenate((SIDES, np.asarray(stud.tri_verts, dtype=np.int64) + 8))
    assert len(bodies_of(cleaned(points, faces, where="table and stud"))) == bodies


@pytest.mark.parametrize("number", [0, 3, 99])
def test_a_body_that_is_not_there_is_refused_with_how_many_there_are(number):
    with pytest.raises(BadInput, match="no body"):
        one_body(mesh(((0, 0, 0), 6, True), ((10, 0, 0), 5, True)), number, "boxes")
    with pytest.raises(BadInput, match="one body only"):
        one_body(mesh(((0, 0, 0), 6, True)), 2, "boxes")


@pytest.mark.parametrize(
    ("boxes", "solids"),
    [
        ([((0, 0, 0), 6, True)], 1),
        ([((0, 0, 0), 6, True), ((1, 1, 1), 2, False)], 1),  # a hollow is no solid
        ([((0, 0, 0), 6, True), ((10, 0, 0), 0.2, True)], 1),  # nor is dust
        ([((0, 0, 0), 6, True), ((10, 0, 0), 5, True), ((11, 1, 1), 2, False)], 2),
    ],
)
def test_a_mesh_has_as_many_solids_as_bodies(boxes, solids):
    assert scan_graph(mesh(*boxes), progress=quietly, stop=never).solids == solids
