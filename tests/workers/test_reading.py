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
