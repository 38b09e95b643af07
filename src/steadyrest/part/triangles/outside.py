"""The outside of a part as triangles, in mm and where the file has it: what a program must not cut into."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import numpy.typing as npt

from steadyrest.part.files.step import checked_text, is_step
from steadyrest.trouble import BadInput

UNIT_MM = {"mm": 1.0, "cm": 10.0, "m": 1000.0, "in": 25.4, "ft": 304.8, "um": 0.001}
WITHIN_MM = 0.02  # far below what counts as a gouge

Outside = tuple[npt.NDArray[np.float64], npt.NDArray[np.int64]]


def outside(
    data: bytes, name: str, *, unit: str | None, progress: Callable[[str, float], None], stop: Callable[[], bool]
) -> Outside:
    """The outside of a part in a file.

    Args:
        data: the file: STEP, STL, PLY, OBJ or 3MF.
        name: its name, for messages.
        unit: "mm", "in" or "m" for a file that names none; None if nobody said.
        progress: told what is being done.
        stop: asked now and then.
    Returns: (n, 3) corners in mm and (m, 3) triangles, both read-only, counter-clockwise seen from outside.
    Raises: BadInput: no solid, no closed mesh, or no unit. InterruptedError: stop said so.
    """
    progress("reading the part", 0.0)
    corners, faces = _solid(data, name, stop) if is_step(data) else _mesh(data, name, unit)
    corners.setflags(write=False)
    faces.setflags(write=False)
    progress("reading the part", 1.0)
    return corners, faces


def _solid(data: bytes, name: str, stop: Callable[[], bool]) -> Outside:
    from steadyrest.part.solid.kernel.faceting import NotFaceted, faceted
    from steadyrest.part.solid.kernel.sound_shape import NotSound

    checked_text(data, name)
    try:
        found = faceted(data, within_mm=WITHIN_MM, stop=stop)
    except NotSound:
        what = "its surfaces do not close to a sound solid."
        raise BadInput(where=name, what=what, do="Heal or export it again where it was drawn.") from None
    except NotFaceted:
        what = "one of its surfaces cannot be laid out in triangles."
        raise BadInput(where=name, what=what, do="Export the part as STL, and give that.") from None
    if found is None:
        raise BadInput(where=name, what="it holds no solid.", do="Export the part itself as a solid.")
    return found


def _mesh(data: bytes, name: str, unit: str | None) -> Outside:
    from steadyrest.part.files.meshes import read_mesh

    mesh = read_mesh(data, name)
    said = mesh.unit or unit
    if said not in UNIT_MM:
        raise BadInput(where=name, what="the file does not say its unit.", do="Give it: --unit mm or --unit in.")
    if mesh.volume is None:
        what = "its surface is open, so nobody knows what is inside."
        raise BadInput(where=name, what=what, do="Give the finished part as a solid or a closed mesh.")
    return mesh.vertices * UNIT_MM[said], mesh.faces.astype(np.int64)
