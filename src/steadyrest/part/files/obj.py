"""OBJ: text, corners as `v x y z`, faces as `f a b c` or `f a/t/n ...`, counted from 1 or back from the last.

Curves, free surfaces, materials and groups are left out; a file that has only those says so.
"""

from __future__ import annotations

from itertools import pairwise

import numpy as np

from steadyrest.part.files.meshes import Raw, numbers, too_many
from steadyrest.shop.figure import because
from steadyrest.trouble import BadInput


def read(data: bytes, name: str) -> Raw:
    """The corners and triangles of an OBJ file.

    Args:
        data: the file. name: for messages.
    Returns: corners, triangles (polygons cut into fans); no unit.
    Raises: BadInput: a line that cannot be read (its number is given), no faces.
    """
    corners: list[bytes] = []
    triangles: list[tuple[int, int, int]] = []
    smooth = 0
    for number, line in enumerate(data.replace(b"\\\n", b" ").replace(b"\\\r\n", b" ").splitlines(), 1):
        if line[:2] in (b"v ", b"v\t"):
            words = line.split()
            if len(words) < 4:
                raise _bad(name, number, line)
            corners.append(b" ".join(words[1:4]))
        elif line[:2] in (b"f ", b"f\t"):
            triangles += _face(line, len(corners), name=name, number=number)
        elif line[:5] in (b"curv ", b"surf "):
            smooth += 1
    too_many(len(triangles), where=name)
    if not triangles:
        raise BadInput(where=name, what="it holds no faces.", do="Export the surface as triangles.")
    points = numbers(b" ".join(corners), where=name)
    if len(points) != 3 * len(corners):
        raise BadInput(where=name, what="a corner cannot be read.", do="Export it again.")
    lost = (because("mesh.smooth_surfaces", count=float(smooth)),) if smooth else ()
    return Raw(points.reshape(-1, 3), np.array(triangles, dtype=np.int64), lost=lost)


def _face(line: bytes, known: int, *, name: str, number: int) -> list[tuple[int, int, int]]:
    ring: list[int] = []
    try:
        for word in line.split()[1:]:
            if word.startswith(b"#"):
                break
            index = int(word.partition(b"/")[0])
            if index == 0 or abs(index) > 10**12:
                raise ValueError
            ring.append(index - 1 if index > 0 else known + index)
    except ValueError:
        raise _bad(name, number, line) from None
    if len(ring) < 3:
        raise _bad(name, number, line)
    return [(ring[0], b, c) for b, c in pairwise(ring[1:])]


def _bad(name: str, number: int, line: bytes) -> BadInput:
    shown = line[:50].decode("latin-1")
    return BadInput(where=f"{name}, line {number}", what=f"{shown!r} cannot be read.", do="Export it again.")
