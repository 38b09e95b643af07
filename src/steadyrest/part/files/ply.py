"""PLY: named elements with named properties, as text or as bytes of either order.

Only `vertex` x y z and `face` vertex_indices are used; colours, normals and quality are skipped, and so are elements
that this does not know. A scanner's file without faces is a cloud of points: that is said, not guessed.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

import numpy as np
import numpy.typing as npt

from steadyrest.part.files.meshes import Raw, numbers, too_many
from steadyrest.trouble import BadInput

TYPES = {
    "char": "i1", "int8": "i1", "uchar": "u1", "uint8": "u1", "short": "i2", "int16": "i2", "ushort": "u2",
    "uint16": "u2", "int": "i4", "int32": "i4", "uint": "u4", "uint32": "u4", "float": "f4", "float32": "f4",
    "double": "f8", "float64": "f8",
}  # fmt: skip
ORDERS = {"ascii": "", "binary_little_endian": "<", "binary_big_endian": ">"}
LONGEST_HEAD = 1 << 20


@dataclass(frozen=True, slots=True)
class Property:
    """One column. counted: the type of a list's length, or "" for a single value."""

    name: str
    type: str
    counted: str = ""


@dataclass(frozen=True, slots=True)
class Element:
    name: str
    count: int
    properties: tuple[Property, ...]

    @property
    def plain(self) -> bool:
        return not any(p.counted for p in self.properties)


def read(data: bytes, name: str) -> Raw:
    """The corners and triangles of a PLY file.

    Args:
        data: the file. name: for messages.
    Returns: corners, triangles (polygons cut into fans); no unit.
    Raises: BadInput: a damaged header, cut short, no faces.
    """
    order, elements, body = _header(data, name)
    by_name = {element.name: element for element in elements}
    if "vertex" not in by_name:
        raise BadInput(where=name, what="it has no vertices.", do="Export it again.")
    if not {"x", "y", "z"} <= {p.name for p in by_name["vertex"].properties}:
        raise BadInput(where=name, what="its vertices have no x, y and z.", do="Export it again.")
    if not any(by_name[k].count for k in ("face", "tristrips") if k in by_name):
        raise BadInput(where=name, what="it holds points and no triangles.", do="Have the scanner's program mesh it.")
    if "face" not in by_name:
        raise BadInput(where=name, what="its surface is stored as strips.", do="Export it with plain faces.")
    too_many(by_name["face"].count, where=name)
    corners, faces = (_text if order == "" else _binary)(data[body:], elements, order, name)
    return Raw(corners, faces)


def _header(data: bytes, name: str) -> tuple[str, tuple[Element, ...], int]:
    end = data.find(b"end_header", 0, LONGEST_HEAD)
    if end < 0:
        raise BadInput(where=name, what="its header has no end.", do="Copy or export it again.")
    body = end + len(b"end_header")
    body += 2 if data[body : body + 2] == b"\r\n" else 1
    order: str | None = None
    elements: list[Element] = []
    for number, line in enumerate(data[:end].decode("latin-1").splitlines(), 1):
        words = line.split()
        match words:
            case ["format", kind, *_] if kind in ORDERS:
                order = ORDERS[kind]
            case ["element", element, count] if count.isdecimal() and len(count) < 19:
                elements.append(Element(element, int(count), ()))
            case ["property", "list", counted, kind, label] if elements and {counted, kind} <= TYPES.keys():
                elements[-1] = _with(elements[-1], Property(label, TYPES[kind], TYPES[counted]))
            case ["property", kind, label] if elements and kind in TYPES:
                elements[-1] = _with(elements[-1], Property(label, TYPES[kind]))
            case [] | ["ply" | "comment" | "obj_info", *_]:
                pass
            case _:
                raise BadInput(
                    where=f"{name}, line {number}", what=f"its header says {line[:60]!r}.", do="Export it again."
                )
    if order is None:
        raise BadInput(where=name, what="its header names no format.", do="Export it again.")
    return order, tuple(elements), body


def _with(element: Element, column: Property) -> Element:
    return Element(element.name, element.count, (*element.properties, column))


def _short(name: str, element: str) -> BadInput:
    return BadInput(where=name, what=f"it ends within its {element} list: cut short.", do="Copy or export it again.")


def _binary(
    body: bytes, elements: tuple[Element, ...], order: str, name: str
) -> tuple[npt.NDArray[np.float64], npt.NDArray[np.int64]]:
    at = 0
    corners = np.empty((0, 3))
    faces = np.empty((0, 3), dtype=np.int64)
    for element in elements:
        if element.plain:
            row = np.dtype([(f"{k}.{p.name}", order + p.type) for k, p in enumerate(element.properties)])
            if row.itemsize * element.count > len(body) - at:
                raise _short(name, element.name)
            if element.name == "vertex":
                table = np.frombuffer(body, dtype=row, count=element.count, offset=at)
                columns = {p.name: f"{k}.{p.name}" for k, p in enumerate(element.properties)}
                corners = np.stack([table[columns[c]].astype(np.float64) for c in "xyz"], axis=1)
            at += row.itemsize * element.count
        else:
            if element.count > len(body) - at:
                raise _short(name, element.name)
            found, at = _lists(body, at, element, order, name)
            if element.name == "face":
                faces = found
    return corners, faces


def _lists(body: bytes, at: int, element: Element, order: str, name: str) -> tuple[npt.NDArray[np.int64], int]:
    """The triangles of an element with lists: all threes at one stroke, anything else row by row."""
    columns = element.properties
    wanted = _indices_column(element)
    if sum(bool(p.counted) for p in columns) == 1:
        fields: list[tuple[str, str] | tuple[str, str, int]] = []
        for k, p in enumerate(columns):
            fields += (
                [(f"{k}n", order + p.counted), (f"{k}", order + p.type, 3)] if p.counted else [(f"{k}", order + p.type)]
            )
        row = np.dtype(fields)
        if row.itemsize * element.count <= len(body) - at:
            table = np.frombuffer(body, dtype=row, count=element.count, offset=at)
            if (table[f"{wanted}n"] == 3).all():
                return _whole(table[f"{wanted}"], name), at + row.itemsize * element.count
    triangles: list[tuple[int, int, int]] = []
    for _ in range(element.count):
        for k, p in enumerate(columns):
            one = np.dtype(order + p.type)
            length = 1
            if p.counted:
                count = np.dtype(order + p.counted)
                if at + count.itemsize > len(body):
                    raise _short(name, element.name)
                length = int(np.frombuffer(body, count, 1, at)[0])
                at += count.itemsize
            if length < 0 or at + length * one.itemsize > len(body):
                raise _short(name, element.name)
            if k == wanted and element.name == "face" and length >= 3:
                ring = [int(i) for i in _whole(np.frombuffer(body, one, length, at), name)]
                triangles += [(ring[0], b, c) for b, c in pairwise(ring[1:])]
            at += length * one.itemsize
    return np.array(triangles, dtype=np.int64).reshape(-1, 3), at


def _whole(indices: npt.NDArray[np.generic], name: str) -> npt.NDArray[np.int64]:
    if indices.dtype.kind == "f":
        raise BadInput(where=name, what="its faces are numbered with fractions.", do="Export it again.")
    return indices.astype(np.int64)


def _indices_column(element: Element) -> int:
    lists = [k for k, p in enumerate(element.properties) if p.counted]
    named = [k for k in lists if element.properties[k].name in ("vertex_indices", "vertex_index")]
    return (named or lists)[0]


def _text(
    body: bytes, elements: tuple[Element, ...], order: str, name: str
) -> tuple[npt.NDArray[np.float64], npt.NDArray[np.int64]]:
    del order
    everything = numbers(body, where=name)
    at = 0
    corners = np.empty((0, 3))
    faces = np.empty((0, 3), dtype=np.int64)
    for element in elements:
        width = len(element.properties)
        if width * element.count > len(everything) - at:
            raise _short(name, element.name)
        if element.plain:
            if element.name == "vertex":
                table = everything[at : at + width * element.count].reshape(-1, width)
                columns = {p.name: k for k, p in enumerate(element.properties)}
                corners = np.ascontiguousarray(table[:, [columns[c] for c in "xyz"]])
            at += width * element.count
            continue
        found, at = _text_lists(everything, at, element, name)
        if element.name == "face":
            faces = found
    return corners, faces


def _text_lists(
    everything: npt.NDArray[np.float64], at: int, element: Element, name: str
) -> tuple[npt.NDArray[np.int64], int]:
    columns, wanted = element.properties, _indices_column(element)
    if len(columns) == 1 and 4 * element.count <= len(everything) - at:
        table = everything[at : at + 4 * element.count].reshape(-1, 4)
        if (table[:, 0] == 3).all() and (np.abs(table) < 2**53).all():
            return table[:, 1:].astype(np.int64), at + 4 * element.count
    triangles: list[tuple[int, int, int]] = []
    for _ in range(element.count):
        for k, p in enumerate(columns):
            length = 1
            if p.counted:
                if at >= len(everything) or not 0 <= everything[at] <= len(everything) - at - 1:
                    raise _short(name, element.name)
                length = int(everything[at])
                at += 1
            if at + length > len(everything):
                raise _short(name, element.name)
            ring = everything[at : at + length]
            if k == wanted and element.name == "face" and length >= 3 and (np.abs(ring) < 2**53).all():
                whole = [int(i) for i in ring]
                triangles += [(whole[0], b, c) for b, c in pairwise(whole[1:])]
            at += length
    return np.array(triangles, dtype=np.int64).reshape(-1, 3), at
