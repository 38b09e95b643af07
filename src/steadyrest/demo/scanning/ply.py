"""Binary PLY, little endian: the header in words, then vertices and triangles as they are."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import numpy.typing as npt


def write_ply(path: Path, vertices: npt.NDArray[np.float64], faces: npt.NDArray[np.int32]) -> None:
    """Write a triangle mesh as binary little-endian PLY with single-precision coordinates.

    Args:
        path: the file to write; replaced if there.
        vertices: (n, 3) in whatever unit; PLY names none.
        faces: (m, 3) vertex numbers from 0.
    Raises: OSError: the file cannot be written.
    """
    header = (
        "ply\nformat binary_little_endian 1.0\n"
        f"element vertex {len(vertices)}\nproperty float x\nproperty float y\nproperty float z\n"
        f"element face {len(faces)}\nproperty list uchar int vertex_indices\nend_header\n"
    )
    rows = np.empty(len(faces), dtype=[("count", "u1"), ("corners", "<i4", (3,))])
    rows["count"] = 3
    rows["corners"] = faces
    path.write_bytes(header.encode("ascii") + vertices.astype("<f4").tobytes() + rows.tobytes())
