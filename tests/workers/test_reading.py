"""Reading a file in a process of its own: what is seen before it is opened."""

from __future__ import annotations

from pathlib import Path

import pytest

from steadyrest.trouble import BadInput
from steadyrest.workers.reading import ReadingLimits, read_part


def refused(path, **limits):
    with pytest.raises(BadInput) as said:
        read_part(path, unit=None, progress=lambda *_: None, stop=lambda: False, limits=ReadingLimits(**limits))
    return said.value.line()


def test_what_is_no_file_is_refused_before_any_process_is_started(tmp_path):
    (tmp_path / "empty.stl").touch()
    (tmp_path / "big.stl").write_bytes(bytes(2_000_000))
    assert refused(tmp_path / "none.ply").startswith("none.ply: cannot be opened (")
    assert refused(tmp_path).endswith("is not a file. Give one file, such as shaft.ply.")
    assert refused(tmp_path / "empty.stl") == "empty.stl: is empty. Export or copy it again."
    assert refused(tmp_path / "big.stl", file_mb=1).startswith("big.stl: is 2 MB, above the 1 MB that are read.")
    assert refused(Path("nul\0byte.stl")).startswith("nul\0byte.stl: cannot be opened")


def test_a_file_that_is_none_of_ours_is_one_line_from_the_process_under_the_name_people_know(tmp_path):
    (tmp_path / "3f9a").write_bytes(bytes(range(256)) * 40)
    with pytest.raises(BadInput) as said:
        read_part(tmp_path / "3f9a", name="shaft.ply", unit="mm", progress=lambda *_: None, stop=lambda: False)
    assert said.value.line().startswith("shaft.ply: ")


def test_a_file_is_read_into_a_part_in_the_process(tmp_path):
    corners = [(x, y, z) for x in (0, 30) for y in (0, 20) for z in (0, 10)]
    faces = [(0, 1, 3, 2), (4, 6, 7, 5), (0, 4, 5, 1), (2, 3, 7, 6), (0, 2, 6, 4), (1, 5, 7, 3)]
    triangles = [(a, b, c) for a, b, c, d in faces] + [(a, c, d) for a, b, c, d in faces]
    rows = "".join(
        "facet normal 0 0 0\nouter loop\n"
        + "".join(f"vertex {x} {y} {z}\n" for x, y, z in (corners[i] for i in triangle))
        + "endloop\nendfacet\n"
        for triangle in triangles
    )
    (tmp_path / "block.stl").write_text(f"solid block\n{rows}endsolid block\n")
    told = []
    part = read_part(
        tmp_path / "block.stl", unit="mm", progress=lambda _, share: told.append(share), stop=lambda: False
    )
    assert part.size_mm == pytest.approx((30, 20, 10))
    assert part.volume_mm3 == pytest.approx(6000)
    assert told[-1] == 1.0
