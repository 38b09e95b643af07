"""Mesh files: what is in them comes out, and whatever is wrong with them is one line."""

from __future__ import annotations

import io
import struct
import zipfile

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from steadyrest.part.files.meshes import read_mesh
from steadyrest.trouble import BadInput

CUBE = np.array([(x, y, z) for x in (0.0, 2.0) for y in (0.0, 3.0) for z in (0.0, 4.0)])
FACES = np.array([
    (0, 1, 3), (0, 3, 2), (4, 6, 7), (4, 7, 5), (0, 4, 5), (0, 5, 1),
    (2, 3, 7), (2, 7, 6), (0, 2, 6), (0, 6, 4), (1, 5, 7), (1, 7, 3),
])  # fmt: skip


def stl_binary(head: bytes = b"made by hand") -> bytes:
    rows = b"".join(struct.pack("<12fH", 0, 0, 0, *CUBE[f].reshape(-1), 0) for f in FACES)
    return head.ljust(80, b" ") + struct.pack("<I", len(FACES)) + rows


def stl_text() -> bytes:
    lines = ["solid cube"]
    for f in FACES:
        lines += ["facet normal 0 0 0", "outer loop"]
        lines += ["vertex " + " ".join(f"{c:.6e}" for c in CUBE[k]) for k in f]
        lines += ["endloop", "endfacet"]
    return "\n".join([*lines, "endsolid cube", ""]).encode()


def ply(order: str = "binary_little_endian", quads: bool = False, extra: bool = False) -> bytes:
    mark = {"ascii": None, "binary_little_endian": "<", "binary_big_endian": ">"}[order]
    sides = [(0, 1, 3, 2), (4, 6, 7, 5), (0, 4, 5, 1), (2, 3, 7, 6), (0, 2, 6, 4), (1, 5, 7, 3)]
    faces = sides if quads else [tuple(int(k) for k in f) for f in FACES]
    head = ["ply", f"format {order} 1.0", "comment a cube", f"element vertex {len(CUBE)}"]
    head += ["property float x", "property float y", "property double z"]
    head += ["property uchar red"] if extra else []
    head += [f"element face {len(faces)}", "property list uchar int vertex_indices"]
    head += ["property float quality"] if extra else []
    out = ("\n".join([*head, "end_header"]) + "\n").encode()
    for x, y, z in CUBE:
        out += f"{x} {y} {z}{' 7' if extra else ''}\n".encode() if mark is None else (
            struct.pack(mark + "ffd", x, y, z) + (b"\x07" if extra else b""))  # fmt: skip
    for f in faces:
        if mark is None:
            out += (" ".join(map(str, (len(f), *f))) + (" 0.5" if extra else "") + "\n").encode()
        else:
            out += struct.pack(f"{mark}B{len(f)}i", len(f), *f) + (struct.pack(mark + "f", 0.5) if extra else b"")
    return out


def obj() -> bytes:
    lines = ["# a cube", "mtllib none.mtl", *(f"v {x} {y} {z}" for x, y, z in CUBE), "vt 0 0", "vn 0 0 1"]
    lines += [f"f {a + 1}/1/1 {b + 1}//1 {c - 8}" for a, b, c in FACES]
    return "\n".join(lines).encode()


def threemf(unit: str = "inch") -> bytes:
    vertices = "".join(f'<vertex x="{x}" y="{y}" z="{z}"/>' for x, y, z in CUBE)
    triangles = "".join(f'<triangle v1="{a}" v2="{b}" v3="{c}"/>' for a, b, c in FACES)
    model = (
        f'<?xml version="1.0"?><model unit="{unit}" xmlns="http://schemas.microsoft.com/3dmanufacturing/core/2015/02">'
        f'<resources><object id="1" type="model"><mesh><vertices>{vertices}</vertices>'
        f"<triangles>{triangles}</triangles>"
        '</mesh></object></resources><build><item objectid="1"/></build></model>'
    )
    kept = io.BytesIO()
    with zipfile.ZipFile(kept, "w", zipfile.ZIP_DEFLATED) as packed:
        packed.writestr("[Content_Types].xml", '<?xml version="1.0"?><Types/>')
        packed.writestr("3D/3dmodel.model", model)
    return kept.getvalue()


WELL = {
    "cube.stl": stl_binary(),
    "solid first.stl": stl_binary(b"solid from a program that says so in binary"),
    "text.stl": stl_text(),
    "little.ply": ply(),
    "big.ply": ply("binary_big_endian"),
    "text.ply": ply("ascii"),
    "quads.ply": ply("binary_big_endian", quads=True),
    "text quads.ply": ply("ascii", quads=True, extra=True),
    "coloured.ply": ply(extra=True),
    "cube.obj": obj(),
    "cube.3mf": threemf(),
}


@pytest.mark.parametrize("name", WELL)
def test_every_format_gives_the_same_cube(name):
    mesh = read_mesh(WELL[name], name)
    assert len(mesh.vertices) == 8
    assert len(mesh.faces) == 12
    assert mesh.volume == pytest.approx(24)
    assert (mesh.open_edges, mesh.crooked_edges, mesh.shells) == (0, 0, 1)
    assert mesh.unit == ("in" if name.endswith("3mf") else None)
    assert not mesh.lost
    assert not mesh.vertices.flags.writeable
    assert not mesh.faces.flags.writeable


def test_a_wrong_ending_is_said_and_not_believed():
    mesh = read_mesh(WELL["little.ply"], "part.stl")
    assert mesh.repaired[0].key == "mesh.wrong_ending"
    assert dict(mesh.repaired[0].given) == {"ending": "stl", "kind": "PLY"}


def test_a_closed_surface_inside_out_is_turned_and_said():
    flipped = stl_binary()
    rows = b"".join(struct.pack("<12fH", 0, 0, 0, *CUBE[f[::-1]].reshape(-1), 0) for f in FACES)
    mesh = read_mesh(flipped[:84] + rows, "cube.stl")
    assert mesh.volume == pytest.approx(24)
    assert [r.key for r in mesh.repaired] == ["mesh.inside_out"]


def test_one_turned_triangle_is_turned_back():
    rows = [FACES[0][::-1], *FACES[1:]]
    body = b"".join(struct.pack("<12fH", 0, 0, 0, *CUBE[f].reshape(-1), 0) for f in rows)
    mesh = read_mesh(stl_binary()[:84] + body, "cube.stl")
    assert mesh.volume == pytest.approx(24)
    assert dict(mesh.repaired[0].given) == {"count": 1.0}


def test_doubled_and_degenerate_triangles_are_dropped_and_said():
    rows = [*FACES, FACES[3], FACES[5][::-1], (0, 0, 1)]
    body = b"".join(struct.pack("<12fH", 0, 0, 0, *CUBE[list(f)].reshape(-1), 0) for f in rows)
    mesh = read_mesh(stl_binary()[:80] + struct.pack("<I", len(rows)) + body, "cube.stl")
    assert mesh.volume == pytest.approx(24)
    assert {r.key for r in mesh.repaired} == {"mesh.doubled", "mesh.degenerate"}


def test_a_hole_and_a_second_shell_are_doubts():
    hole = stl_binary()[:80] + struct.pack("<I", 11) + stl_binary()[84:-50]
    mesh = read_mesh(hole, "cube.stl")
    assert mesh.volume is None
    assert mesh.open_edges == 3
    assert [r.key for r in mesh.doubted] == ["mesh.open"]
    far = b"".join(struct.pack("<12fH", 0, 0, 0, *(CUBE[f] + 10).reshape(-1), 0) for f in FACES)
    two = read_mesh(stl_binary()[:80] + struct.pack("<I", 24) + stl_binary()[84:] + far, "cubes.stl")
    assert (two.shells, two.volume) == (2, pytest.approx(48))


def _patched(data: bytes, at: int, new: bytes) -> bytes:
    return data[:at] + new + data[at + len(new) :]


WRONG = {
    "nothing.stl": b"",
    "blank.obj": b" \n\n ",
    "zeros.stl": bytes(500),
    "cut.stl": stl_binary()[:-30],
    "cut text.stl": stl_text()[:-200],
    "cut.ply": ply()[:-5],
    "cut text.ply": ply("ascii")[:-30],
    "half.3mf": threemf()[: len(threemf()) // 2],
    "huge count.stl": _patched(stl_binary(), 80, b"\xff\xff\xff\xee"),
    "huge count.ply": ply().replace(b"element face 12", b"element face 4000000000"),
    "huge text.ply": ply("ascii").replace(b"element vertex 8", b"element vertex 4000000000"),
    "huge list.ply": ply().replace(b"list uchar int", b"list uint  int"),
    "no faces.ply": ply().replace(b"element face 12", b"element face 0 "),
    "nan.stl": _patched(stl_binary(), 96, struct.pack("<f", float("nan"))),
    "infinite.stl": _patched(stl_binary(), 96, struct.pack("<f", float("inf"))),
    "enormous.stl": _patched(stl_binary(), 96, struct.pack("<f", 1e30)),
    "out of range.ply": ply("ascii").replace(b"3 0 1 3\n", b"3 0 1 9\n"),
    "negative.ply": ply("ascii").replace(b"3 0 1 3\n", b"3 0 1 -3\n"),
    "out of range.obj": obj() + b"\nf 1 2 99",
    "nought.obj": obj() + b"\nf 0 1 2",
    "words.obj": obj() + b"\nf one two three",
    "words.ply": ply("ascii").replace(b"0.0 3.0", b"0.0 abc"),
    "points.obj": b"v 0 0 0\nv 1 0 0\n",
    "solid.step": b"ISO-10303-21;\nHEADER;",
    "picture.stl": b"\x89PNG\r\n\x1a\n" + bytes(200),
    "other.3mf": b"PK\x03\x04" + bytes(100),
    "flat.obj": b"v 0 0 0\nv 0 0 0\nv 0 0 0\nf 1 2 3\n",
    "unit.3mf": threemf("parsec"),
}


@pytest.mark.parametrize("name", WRONG)
def test_a_wrong_file_is_one_line(name):
    with pytest.raises(BadInput) as trouble:
        read_mesh(WRONG[name], name)
    line = trouble.value.line()
    assert name in line
    assert "\n" not in line
    assert len(line) < 200


@settings(max_examples=150, deadline=None)
@given(
    base=st.sampled_from(sorted(set(WELL) - {"cube.3mf"})),
    cuts=st.lists(st.tuples(st.integers(0, 2000), st.binary(min_size=1, max_size=6)), max_size=4),
    keep=st.floats(0, 1),
)
def test_whatever_is_done_to_a_file_it_is_a_mesh_or_one_line(base, cuts, keep):
    data = WELL[base]
    for at, new in cuts:
        at %= len(data)
        data = data[:at] + new + data[at + len(new) :]
    try:
        mesh = read_mesh(data[: int(len(data) * keep)] if keep < 0.9 else data, base)
    except BadInput:
        pass
    else:
        assert np.isfinite(mesh.vertices).all()
        assert mesh.faces.min() >= 0
        assert mesh.faces.max() < len(mesh.vertices)


@settings(max_examples=25, deadline=None)
@given(at=st.integers(0, len(WELL["cube.3mf"]) - 1), new=st.binary(min_size=1, max_size=4))
def test_whatever_is_done_to_a_3mf_it_is_a_mesh_or_one_line(at, new):
    data = _patched(WELL["cube.3mf"], at, new)
    try:
        found = read_mesh(data, "cube.3mf")
    except BadInput:
        pass
    else:
        assert len(found.faces)


def test_a_3mf_of_bodies_without_end_is_one_line():
    """Seed 5 of tests/corpus/damaged.py: thirty objects, each made of ten of the next; and one made of itself."""
    for many, each, last in ((30, 10, 31), (1, 1, 1)):
        objects = "".join(
            f'<object id="{i}"><components>'
            + f'<component objectid="{last if i == many else i + 1}"/>' * each
            + "</components></object>"
            for i in range(1, many + 1)
        )
        kept = io.BytesIO()
        with zipfile.ZipFile(kept, "w") as packed:
            packed.writestr("3D/3dmodel.model", f"<model><resources>{objects}</resources></model>")
        with pytest.raises(BadInput, match=r"made of"):
            read_mesh(kept.getvalue(), "cubes.3mf")


@settings(max_examples=60, deadline=None)
@given(data=st.binary(max_size=400))
def test_random_bytes_are_one_line(data):
    with pytest.raises(BadInput):
        read_mesh(data, "random.stl")
