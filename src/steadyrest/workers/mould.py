"""A mould's surface out of a stranger's file, read in a process of its own."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from steadyrest.workers.reading import ReadingLimits, bytes_of, check
from steadyrest.workers.running import Progress, Stop, run

if TYPE_CHECKING:
    from steadyrest.part.triangles.outside import Outside

BIGGEST_MB = 200.0


def read_mould(path: Path, *, name: str, unit: str, progress: Progress, stop: Stop) -> Outside:
    """The surface of a mould.

    Args:
        path: a mesh: STL, PLY, OBJ or 3MF.
        name: as the request names it.
        unit: "mm", "in" or "m" as the request says; empty if it does not.
        progress: called with words and a share from 0 to 1.
        stop: asked every 50 ms; True ends it.
    Returns: (n, 3) corners in mm and (m, 3) triangles. It may be open: the cavity's surface alone is a mould too.
    Raises: BadInput: one line on what is wrong with the file, or nobody says its unit. Stopped, Failed: as run.
    """
    limits = ReadingLimits(file_mb=BIGGEST_MB)
    check(path, name, limits)
    return run(
        mould_in_child, (str(path.absolute()), name, unit), name=name, time_s=limits.time_s,
        memory_mb=limits.memory_mb, progress=progress, stop=stop,
    )  # fmt: skip


def mould_in_child(path: str, name: str, unit: str, *, progress: Progress) -> Outside:
    """What the worker process does."""
    import numpy as np

    from steadyrest.part.files.meshes import read_mesh
    from steadyrest.part.triangles.outside import UNIT_MM
    from steadyrest.trouble import BadInput

    mesh = read_mesh(bytes_of(path, name), name)
    said = mesh.unit or unit
    if said not in UNIT_MM:
        raise BadInput(where=name, what="nobody says its unit.", do='Write mould_unit = "mm" or "in" in the request.')
    progress("reading the mould", 1.0)
    return mesh.vertices * UNIT_MM[said], mesh.faces.astype(np.int64)
