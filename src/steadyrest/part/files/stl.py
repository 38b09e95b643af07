"""STL: triangles without a unit and without shared corners, binary or text.

A binary file's length tells it apart (84 bytes and 50 a triangle), not its first word: many begin with "solid" too.
"""

from __future__ import annotations

import numpy as np

from steadyrest.part.files.meshes import Raw, numbers, too_many
from steadyrest.trouble import BadInput

RECORD = np.dtype([("normal", "<f4", 3), ("corners", "<f4", (3, 3)), ("attribute", "<u2")])
HEAD = 84


def looks_binary(data: bytes) -> bool:
    """Whether the length fits a binary file of the declared count, with a tail of up to 1 kB."""
    if len(data) < HEAD:
        return False
    rest = len(data) - HEAD - 50 * _declared(data)
    return (0 <= rest <= 1024 and _declared(data) > 0) or (rest == 0)


def looks_text(data: bytes) -> bool:
    """Whether it is the text form: begins with "solid" and speaks of facets (or ends at once)."""
    head = data[:4096].lstrip(b"\xef\xbb\xbf \t\r\n").lower()
    return head.startswith(b"solid") and (b"facet" in head or b"endsolid" in head or b"\0" not in head)


def looks_binary_cut(data: bytes) -> bool:
    """Whether it may be a binary file that was cut short: a count that its length could have begun to hold."""
    return len(data) > HEAD and 0 < len(data) - HEAD < 50 * _declared(data) and b"\0" in data[:HEAD]


def read(data: bytes, name: str) -> Raw:
    """The triangles of an STL file.

    Args:
        data: the file. name: for messages.
    Returns: unwelded corners and triangles; no unit.
    Raises: BadInput: cut short, or not readable.
    """
    return _binary(data, name) if looks_binary(data) or not looks_text(data) else _text(data, name)


def _declared(data: bytes) -> int:
    return int.from_bytes(data[80:84], "little")


def _binary(data: bytes, name: str) -> Raw:
    count = _declared(data)
    held = (len(data) - HEAD) // 50
    if held < count:
        raise BadInput(
            where=name,
            what=f"it declares {count} triangles and holds {held}: cut short.",
            do="Copy or export it again.",
        )
    too_many(count, where=name)
    triangles = np.frombuffer(data, dtype=RECORD, count=count, offset=HEAD)
    return Raw(triangles["corners"].reshape(-1, 3).astype(np.float64), _in_threes(3 * count))


def _text(data: bytes, name: str) -> Raw:
    lower = data.lower()
    chunks = lower.split(b"vertex")
    if len(chunks) < 2:
        if b"facet" not in lower and b"endsolid" not in lower:
            raise BadInput(where=name, what="it begins as text STL but holds no facet.", do="Export it again.")
        return Raw(np.empty((0, 3)), np.empty((0, 3), dtype=np.int64))
    whole = lower.count(b"endfacet") * 3 == len(chunks) - 1
    if not whole or b"endsolid" not in chunks[-1]:
        raise BadInput(where=name, what="its end is missing: cut short.", do="Copy or export it again.")
    too_many((len(chunks) - 1) // 3, where=name)
    words = [part for chunk in chunks[1:] for part in chunk.split(None, 3)[:3]]
    if len(words) != 3 * (len(chunks) - 1):
        raise BadInput(where=name, what="a corner has fewer than three coordinates.", do="Export it again.")
    corners = numbers(b" ".join(words), where=name).reshape(-1, 3)
    return Raw(corners, _in_threes(len(corners)))


def _in_threes(count: int) -> np.ndarray[tuple[int, int], np.dtype[np.int64]]:
    return np.arange(count, dtype=np.int64).reshape(-1, 3)
