"""The door for mesh files: which format the bytes really are, and their cleaned mesh."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from pathlib import PurePath

import numpy as np
import numpy.typing as npt

from steadyrest.part.triangles.mesh import Mesh, cleaned
from steadyrest.shop.figure import Reason, because
from steadyrest.trouble import BadInput

MOST_TRIANGLES = 20_000_000


@dataclass(frozen=True, slots=True)
class Raw:
    """What a format's reader hands over: corners (n, 3), triangles (m, 3), the unit the file names, what was mended."""

    vertices: npt.NDArray[np.float64]
    faces: npt.NDArray[np.int64]
    unit: str | None = None
    repaired: tuple[Reason, ...] = ()
    lost: tuple[Reason, ...] = ()


def read_mesh(data: bytes, name: str) -> Mesh:
    """The mesh in a file, by its content: PLY, STL, OBJ or 3MF.

    Args:
        data: the file's bytes.
        name: its name, for messages; a wrong ending is said, never trusted.
    Returns: the cleaned mesh, in the file's own unit.
    Raises: BadInput: empty, cut short, damaged, no mesh, or not one of these formats.
    """
    kind = mesh_kind(data)
    if kind is None:
        raise BadInput(where=name, what=_not_a_mesh(data), do="Give a mesh as STL, PLY, OBJ or 3MF.")
    raw = _reader(kind)(data, name)
    repaired = raw.repaired
    ending = PurePath(name).suffix.lower().lstrip(".")
    if ending and ending != kind:
        repaired = (because("mesh.wrong_ending", ending=ending, kind=kind.upper()), *repaired)
    return cleaned(raw.vertices, raw.faces, where=name, unit=raw.unit, repaired=repaired, lost=raw.lost)


def mesh_kind(data: bytes) -> str | None:
    """Which mesh format these bytes are: "ply", "stl", "obj", "3mf", or None if none of them."""
    from steadyrest.part.files import stl

    head = data[:4096].lstrip(b"\xef\xbb\xbf \t\r\n")
    if head[:3] == b"ply" and head[3:4] in (b"\n", b"\r", b" "):
        return "ply"
    if data[:4] == b"PK\x03\x04":
        return "3mf"
    if stl.looks_binary(data) or stl.looks_text(data):
        return "stl"
    lines = head.split(b"\n")
    if any(line.split()[:1] in ([b"v"], [b"f"], [b"vn"], [b"vt"]) for line in lines):
        return "obj"
    return "stl" if stl.looks_binary_cut(data) else None


def _reader(kind: str) -> Callable[[bytes, str], Raw]:
    from steadyrest.part.files import obj, ply, stl, threemf

    readers: Mapping[str, Callable[[bytes, str], Raw]] = {
        "ply": ply.read,
        "stl": stl.read,
        "obj": obj.read,
        "3mf": threemf.read,
    }
    return readers[kind]


SIGNS = (
    (b"ISO-10303-21", "this is a STEP file, not a mesh."),
    (b"%PDF", "this is a PDF."),
    (b"\x89PNG", "this is a picture."),
    (b"\xff\xd8\xff", "this is a picture."),
    (b"\x1f\x8b", "this is packed with gzip."),
    (b"glTF", "this is a glTF file."),
    (b"AutoCAD Binary DXF", "this is a DXF file."),
)


def _not_a_mesh(data: bytes) -> str:
    if not data.strip(b"\0 \t\r\n"):
        return "the file is empty."
    head = data[:512].lstrip()
    for sign, what in SIGNS:
        if head.startswith(sign):
            return what
    return "this is no mesh file."


def too_many(count: int, *, where: str) -> None:
    """Refuses counts that no desk computer holds.

    Args:
        count: triangles declared. where: the file.
    Raises: BadInput: more than MOST_TRIANGLES.
    """
    if count > MOST_TRIANGLES:
        raise BadInput(
            where=where,
            what=f"it declares {count:,} triangles.".replace(",", " "),
            do="Thin the scan below five million triangles.",
        )


def numbers(text: bytes, *, where: str) -> npt.NDArray[np.float64]:
    """All numbers of a text, in order.

    Args:
        text: numbers with white space between. where: for the message.
    Returns: (n,) floats.
    Raises: BadInput: something in between is no number.
    """
    import warnings

    with warnings.catch_warnings():
        warnings.simplefilter("error")
        try:
            return np.fromstring(text.decode("ascii"), dtype=np.float64, sep=" ") if text.strip() else np.empty(0)
        except (DeprecationWarning, ValueError, UnicodeDecodeError):
            raise BadInput(where=where, what="a number cannot be read.", do="Export it again.") from None
